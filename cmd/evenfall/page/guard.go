package page

import (
	"crypto/rand"
	"encoding/base64"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"slices"
	"strings"
)

// guard decides which requests are answered: those that name this program's own
// host, that come from its own page, and, where the page is shared, from a device
// that was let in. The files that every program of this sort has are for all who ask.
type guard struct {
	shared bool
	port   string
	names  []string // further host names, in lower case
	secure bool     // over TLS
	admits func(*http.Request) bool
}

func newGuard(o Options, port string, admits func(*http.Request) bool) *guard {
	g := &guard{shared: o.Shared, secure: o.Secure, port: port, admits: admits}
	for _, name := range o.Hosts {
		g.names = append(g.names, plainHost(name))
	}
	return g
}

// random is 256 bits for a URL.
func random() string {
	var b [32]byte
	rand.Read(b[:])
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// scheme is how the page is addressed.
func (g *guard) scheme() string {
	if g.secure {
		return "https"
	}
	return "http"
}

// knows reports whether a Host is this program's own: a page elsewhere whose name
// was made to point here (DNS rebinding) names its own host.
func (g *guard) knows(host string) bool {
	name, port, err := net.SplitHostPort(host)
	if err != nil {
		// Browsers leave the port out only where it is 80.
		name, port = strings.Trim(host, "[]"), "80"
	}
	if port != g.port {
		return false
	}
	name = plainHost(name)
	if name == "localhost" {
		return true
	}
	if ip, err := netip.ParseAddr(name); err == nil {
		ip = ip.Unmap().WithZone("")
		return ip == netip.AddrFrom4([4]byte{127, 0, 0, 1}) || ip == netip.IPv6Loopback() || g.shared && slices.Contains(localNames(), ip.String())
	}
	return g.shared && (slices.Contains(g.names, name) || slices.Contains(localNames(), name))
}

// ownOrigin reports whether a request was made by this program's own page.
func (g *guard) ownOrigin(r *http.Request) bool {
	if origin := r.Header.Get("Origin"); origin != "" {
		u, err := url.Parse(origin)
		return err == nil && u.Scheme == g.scheme() && strings.EqualFold(u.Host, r.Host)
	}
	return r.Header.Get("Sec-Fetch-Site") == "same-origin"
}

// isWrite reports whether a method may change something.
func isWrite(method string) bool { return method != http.MethodGet && method != http.MethodHead }

// headers are set on every response.
var headers = map[string]string{
	"Content-Security-Policy":      "default-src 'self'; img-src 'self' data:; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'",
	"X-Content-Type-Options":       "nosniff",
	"X-Frame-Options":              "DENY",
	"Referrer-Policy":              "no-referrer",
	"Cross-Origin-Resource-Policy": "same-origin",
	"Cache-Control":                "no-store",
}

// wrap puts the guard before a handler.
func (g *guard) wrap(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for name, value := range headers {
			w.Header().Set(name, value)
		}
		if loopback(r.Host) {
			// Browsers heed it, and complain about it, by how far they trust a host.
			w.Header().Set("Cross-Origin-Opener-Policy", "same-origin")
		}
		joins := r.URL.Path == "/join"
		site := r.Header.Get("Sec-Fetch-Site")
		switch {
		case !g.knows(r.Host):
			fail(w, problem{http.StatusMisdirectedRequest, "host", "This program does not answer under that name. Open the address that it printed, or start it with --host NAME."})
		case isWrite(r.Method) && !g.ownOrigin(r):
			fail(w, problem{http.StatusForbidden, "origin", "Only this program's own page may write."})
		case (site == "cross-site" || site == "same-site") && !joins && r.Header.Get("Sec-Fetch-Mode") != "navigate":
			fail(w, problem{http.StatusForbidden, "origin", "Only this program's own page may read this."})
		case !joins && !strings.HasPrefix(r.URL.Path, "/static/") && g.shared && !g.admits(r):
			g.askForLink(w, r)
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// askForLink responds to a device that was not admitted.
func (g *guard) askForLink(w http.ResponseWriter, r *http.Request) {
	p := problem{http.StatusUnauthorized, "not_joined", "This device is not let in, or was removed. Scan the code on the screen where it runs, or ask somebody on the page for a link."}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		fail(w, p)
		return
	}
	framed{Title: "Not let in yet", Text: p.text}.write(w, p.status)
}
