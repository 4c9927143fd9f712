package falloff

import (
	"flag"
	"testing"
)

// Each check of a property fits two series: fewer than usual keep the tests quick, and
// -rapid.checks asks for more.
func TestMain(m *testing.M) {
	if err := flag.Set("rapid.checks", "30"); err != nil {
		panic(err)
	}
	m.Run()
}
