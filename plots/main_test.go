package plots

import (
	"flag"
	"testing"
)

// Each check of a property draws a picture: fewer than usual keep the tests quick, and
// -rapid.checks asks for more.
func TestMain(m *testing.M) {
	if err := flag.Set("rapid.checks", "30"); err != nil {
		panic(err)
	}
	m.Run()
}
