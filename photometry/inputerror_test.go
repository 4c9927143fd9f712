package photometry

import (
	"testing"
	"unicode"
)

// Letters that unicode's simple case folding (Unicode Standard, CaseFolding.txt) holds to be
// one have one key.
func TestNameKey(t *testing.T) {
	for r := rune(0); r <= unicode.MaxRune; r++ {
		for f := unicode.SimpleFold(r); f != r; f = unicode.SimpleFold(f) {
			if a, b := string(r)+" 1", " "+string(f)+" 1 "; NameKey(a) != NameKey(b) || !SameName(a, b) {
				t.Errorf("%q and %q", a, b)
			}
		}
	}
	if NameKey("left") == NameKey("right") || SameName("left", "right") {
		t.Error("two names are one")
	}
}
