package page

import (
	"net"
	"net/netip"
	"slices"
	"strconv"
	"strings"

	"rsc.io/qr"
)

// reachable is the host and port under which other devices find this one: a name
// that was given, or else the address of its network.
func (g *guard) reachable() string {
	if len(g.names) > 0 {
		return net.JoinHostPort(g.names[0], g.port)
	}
	addresses := slices.DeleteFunc(localAddresses(), func(a netip.Addr) bool { return a.IsLoopback() || a.IsLinkLocalUnicast() })
	rank := func(a netip.Addr) int {
		switch {
		case a.Is4() && a.IsPrivate():
			return 0
		case a.Is4():
			return 1
		}
		return 2
	}
	slices.SortStableFunc(addresses, func(a, b netip.Addr) int { return rank(a) - rank(b) })
	if len(addresses) == 0 {
		return net.JoinHostPort("localhost", g.port)
	}
	return net.JoinHostPort(addresses[0].String(), g.port)
}

// reachableFrom is the host that a device used already, which works in its
// network, unless that is the machine itself.
func (g *guard) reachableFrom(host string) string {
	if loopback(host) {
		return g.reachable()
	}
	return host
}

// quiet is the width of the light border that readers of codes need, in modules
// (ISO/IEC 18004).
const quiet = 4

// dark tells whether a module of a code with its border is dark.
func dark(code *qr.Code, x, y int) bool { return code.Black(x-quiet, y-quiet) }

// CodeText draws an address as a QR code for a terminal, light on dark: two
// modules a character with half blocks, or two characters a module in plain ASCII.
func CodeText(address string, unicode bool) (string, error) {
	code, err := qr.Encode(address, qr.M)
	if err != nil {
		return "", err
	}
	size := code.Size + 2*quiet
	var b strings.Builder
	if !unicode {
		for y := range size {
			for x := range size {
				if dark(code, x, y) {
					b.WriteString("  ")
				} else {
					b.WriteString("##")
				}
			}
			b.WriteByte('\n')
		}
		return b.String(), nil
	}
	for y := 0; y < size; y += 2 {
		for x := range size {
			upper, lower := !dark(code, x, y), y+1 < size && !dark(code, x, y+1)
			switch {
			case upper && lower:
				b.WriteRune('█')
			case upper:
				b.WriteRune('▀')
			case lower:
				b.WriteRune('▄')
			default:
				b.WriteByte(' ')
			}
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
	size := strconv.Itoa(code.Size + 2*quiet)
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ` + size + " " + size + `" role="img" aria-label="QR code of the link" shape-rendering="crispEdges"><rect width="` + size + `" height="` + size + `" fill="#fff"/><path fill="#000" d="`)
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			from := x
			for x < code.Size && code.Black(x, y) {
				x++
			}
			if x > from {
				b.WriteString("M" + strconv.Itoa(from+quiet) + " " + strconv.Itoa(y+quiet) + "h" + strconv.Itoa(x-from) + "v1h-" + strconv.Itoa(x-from) + "z")
			}
		}
	}
	b.WriteString(`"/></svg>`)
	return b.String(), nil
}
