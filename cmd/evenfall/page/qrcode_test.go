package page

import (
	"strings"
	"testing"

	"rsc.io/qr"
)

// A code has each module where the encoder put it, light blocks for light modules,
// and the border of four light modules that ISO/IEC 18004 asks for.
func TestCodeText(t *testing.T) {
	const address = "http://192.0.2.17:8642/join?token=0123456789-abcdefghijklmnopqrstuvwxyz_ABCDEF"
	code, err := qr.Encode(address, qr.M)
	if err != nil {
		t.Fatal(err)
	}
	size := code.Size + 8
	light := func(x, y int) bool { return !code.Black(x-4, y-4) }
	ascii, err := CodeText(address, false)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(ascii, "\n"), "\n")
	if len(lines) != size {
		t.Fatalf("%d lines, want %d", len(lines), size)
	}
	for y, line := range lines {
		for x := range size {
			if got := line[2*x:2*x+2] == "##"; len(line) != 2*size || got != light(x, y) {
				t.Fatalf("module %d, %d is %v", x, y, got)
			}
		}
	}
	blocks, err := CodeText(address, true)
	if err != nil {
		t.Fatal(err)
	}
	lines = strings.Split(strings.TrimSuffix(blocks, "\n"), "\n")
	if len(lines) != (size+1)/2 {
		t.Fatalf("%d lines of blocks, want %d", len(lines), (size+1)/2)
	}
	for row, line := range lines {
		for x, r := range []rune(line) {
			upper, lower := r == '█' || r == '▀', r == '█' || r == '▄'
			if upper != light(x, 2*row) || 2*row+1 < size && lower != light(x, 2*row+1) {
				t.Fatalf("column %d of line %d is %q", x, row, r)
			}
		}
		if n := len([]rune(line)); n != size || n > 80 {
			t.Errorf("line %d is %d wide, want %d", row, n, size)
		}
	}
	svg, err := codeSVG(address)
	if err != nil || !strings.HasPrefix(svg, "<svg ") || strings.Contains(svg, "style=") || strings.Contains(svg, "<script") {
		t.Errorf("%v %.200s", err, svg)
	}
}
