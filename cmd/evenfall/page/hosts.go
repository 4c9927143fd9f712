package page

import (
	"net"
	"net/netip"
	"os"
	"slices"
	"strings"
)

// loopback reports whether a host is this machine itself.
func loopback(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	ip, err := netip.ParseAddr(strings.Trim(host, "[]"))
	return strings.EqualFold(host, "localhost") || err == nil && ip.IsLoopback()
}

// localAddresses are the addresses of this machine's networks.
func localAddresses() (out []netip.Addr) {
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range addresses {
		if prefix, err := netip.ParsePrefix(a.String()); err == nil {
			out = append(out, prefix.Addr().Unmap())
		}
	}
	return out
}

// localNames are the addresses of this machine's networks and the names that it has there.
// Networks come and go on a set, so they are looked up each time.
func localNames() (names []string) {
	for _, a := range localAddresses() {
		names = append(names, a.WithZone("").String())
	}
	if name, err := os.Hostname(); err == nil && name != "" {
		name = plainHost(name)
		first, _, _ := strings.Cut(name, ".")
		names = append(names, name, first, first+".local")
	}
	return names
}

// plainHost is the name of a host as it is compared.
func plainHost(name string) string { return strings.ToLower(strings.TrimSuffix(name, ".")) }

// reachable is the host and port under which other devices find this one: a name
// that was given, or else the address of its network.
func (g *guard) reachable() string {
	if len(g.names) > 0 {
		return net.JoinHostPort(g.names[0], g.port)
	}
	addresses := slices.DeleteFunc(localAddresses(), func(a netip.Addr) bool { return a.IsLoopback() || a.IsLinkLocalUnicast() })
	for _, better := range []func(netip.Addr) bool{func(a netip.Addr) bool { return a.Is4() && a.IsPrivate() }, netip.Addr.Is4, netip.Addr.IsValid} {
		if i := slices.IndexFunc(addresses, better); i >= 0 {
			return net.JoinHostPort(addresses[i].String(), g.port)
		}
	}
	return net.JoinHostPort("localhost", g.port)
}

// reachableFrom is the host that a device used already, which works in its
// network, unless that is the machine itself.
func (g *guard) reachableFrom(host string) string {
	if loopback(host) {
		return g.reachable()
	}
	return host
}
