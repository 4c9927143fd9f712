package page

import (
	"fmt"
	"strings"

	"rsc.io/qr"
)

// quiet is the width of the light border that readers of codes need, in modules
// (ISO/IEC 18004).
const quiet = 4

// CodeText draws an address as a QR code for a terminal, light on dark: two
// modules a character with half blocks, or two characters a module in plain ASCII.
func CodeText(address string, unicode bool) (string, error) {
	code, err := qr.Encode(address, qr.M)
	if err != nil {
		return "", err
	}
	// What a character shows: one bit a module, set for a light one, the upper first.
	shapes, modules := []string{" ", "▀", "▄", "█"}, 2
	if !unicode {
		shapes, modules = []string{"  ", "##"}, 1
	}
	size := code.Size + 2*quiet
	var b strings.Builder
	for y := 0; y < size; y += modules {
		for x := range size {
			shape := 0
			for k := range modules {
				if y+k < size && !code.Black(x-quiet, y+k-quiet) {
					shape |= 1 << k
				}
			}
			b.WriteString(shapes[shape])
		}
		b.WriteByte('\n')
	}
	return b.String(), nil
}

// codeSVG draws an address as a QR code for a page.
func codeSVG(address string) (string, error) {
	code, err := qr.Encode(address, qr.M)
	if err != nil {
		return "", err
	}
	var dark strings.Builder
	for y := range code.Size {
		for x := range code.Size {
			if code.Black(x, y) {
				fmt.Fprintf(&dark, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	size := code.Size + 2*quiet
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-label="QR code of the link" shape-rendering="crispEdges">`+
		`<rect width="%d" height="%d" fill="#fff"/><path fill="#000" d="%s"/></svg>`, size, size, size, size, dark.String()), nil
}
