package canvas

import (
	"bytes"
	"hash/adler32"
	"slices"
	"testing"

	_ "gonum.org/v1/plot" // the fonts
	"gonum.org/v1/plot/font"
	"pgregory.net/rapid"
)

func TestJoinAdler(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.SliceOf(rapid.Byte()).Draw(t, "a"), rapid.SliceOf(rapid.Byte()).Draw(t, "b")
		if pad := rapid.IntRange(0, 200000).Draw(t, "pad"); pad > 0 {
			b = append(b, bytes.Repeat([]byte{255}, pad)...)
		}
		got := combineAdler32(adler32.Checksum(a), adler32.Checksum(b), len(b))
		if want := adler32.Checksum(append(slices.Clone(a), b...)); got != want {
			t.Fatalf("%08x, want %08x", got, want)
		}
	})
}

func TestDrawable(t *testing.T) {
	f := font.DefaultCache.Lookup(font.Font{Typeface: "Liberation", Variant: "Sans"}, 12)
	for in, want := range map[string]string{
		"plain text":    "plain text",
		"± ≤ − × Δu′v′": "± ≤ − × Δu′v′",
		"◆ reference":   "♦ reference",
		"🎬 scene":       "scene",
		"a 🎬 b":         "a b",
		"緑の布":           "□□□",
	} {
		if got := drawableText(f, in); got != want {
			t.Errorf("%q draws as %q, want %q", in, got, want)
		}
	}
}
