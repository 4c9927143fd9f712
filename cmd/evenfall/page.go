package main

import (
	"crypto/sha256"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"

	"github.com/charmbracelet/colorprofile"
	"github.com/spf13/cobra"

	"evenfall/cmd/evenfall/page"
	"evenfall/plots/document"
)

// pageFlags say where the page is served.
type pageFlags struct {
	listen string
	lan    bool
	tls    bool
	hosts  []string
}

func (a *app) pageCommand() *cobra.Command {
	var flags pageFlags
	command := &cobra.Command{
		Use:   "page [FOLDER]",
		Short: "Serve a local page to enter readings on the set, with a live map",
		Long: `Page serves a web page on which readings are entered on the set, for this folder or
the one named. Surveys are begun and filled in; map, verdict and what to change
follow each reading. Every reading is kept in a plain CSV file of the folder before
the page says so. The first line printed is the address to open. Ctrl-C ends it.

Only this machine can open the page, unless --lan shares it with phones and tablets
of the same network. Then each device is let in by a link that works once within 15
minutes. It is printed also as a code to scan. A device stays let in for a week, or
until somebody removes it on the page. Nothing leaves the network.

With --tls nobody else in the network can listen, and browsers that want https keep
the screen on. The certificate is this program's own: each browser asks once
whether to trust it. It shows a fingerprint to compare with the printed one.`,
		Example: "  evenfall page\n  evenfall page --lan\n  evenfall page . --listen 127.0.0.1:9000",
		Args:    cobra.MaximumNArgs(1),
		RunE:    func(_ *cobra.Command, args []string) error { return a.page(flags, args) },
	}
	command.Flags().StringVar(&flags.listen, "listen", "127.0.0.1:8642", "serve at this `address`, host:port; with --lan its port on all networks")
	command.Flags().BoolVar(&flags.lan, "lan", false, "share the page with devices of the same network")
	command.Flags().BoolVar(&flags.tls, "tls", false, "serve over https with a certificate of this program's own")
	command.Flags().StringArrayVar(&flags.hosts, "host", nil, "with --lan: a further `name` that devices know this machine by")
	return command
}

// page serves until it is interrupted.
func (a *app) page(flags pageFlags, args []string) error {
	folder := firstOr(args, ".")
	root, err := openFolder(folder, "a folder")
	if err != nil {
		return err
	}
	defer root.Close()
	lock, err := page.Lock(root.Root)
	if err != nil {
		return fmt.Errorf("%s: %w", folder, err)
	}
	defer lock.Close()
	if !page.Locks {
		a.note("This system cannot lock a folder: serve it by one page at a time.")
	}
	listener, err := flags.open()
	if err != nil {
		return err
	}
	defer listener.Close()
	options := page.Options{Shared: flags.lan, Hosts: flags.hosts, Secure: flags.tls}
	kept, err := os.UserConfigDir()
	switch {
	case err != nil && flags.tls:
		return fmt.Errorf("--tls: no configuration folder of the user to keep the certificate in: %w", err)
	case err != nil && flags.lan:
		a.note("There is no configuration folder of the user: devices are let in again when the page starts anew.")
	case flags.lan: // alone on this machine nothing is kept
		if options.Devices, err = devicesFile(kept, root.Root.Name()); err != nil {
			return err
		}
	}
	scheme := "http"
	if flags.tls {
		scheme = "https"
		pair, fingerprint, err := page.Certificate(filepath.Join(kept, "evenfall", "certificate.pem"), flags.hosts)
		if err != nil {
			return fmt.Errorf("--tls: %w", err)
		}
		a.note("SHA-256 fingerprint of the certificate, as browsers show it:\n%s", fingerprint)
		listener = tls.NewListener(listener, &tls.Config{Certificates: []tls.Certificate{pair}})
	}
	if !flags.lan {
		if _, err := fmt.Fprintf(a.stdout, "%s://%s/\n", scheme, listener.Addr()); err != nil {
			return err
		}
		a.note("Serving the folder %s to this machine; Ctrl-C ends it.", root.Root.Name())
	}
	first := true
	options.Invite = func(address string) {
		out := a.stderr // the result is the first link; the others are told beside it
		if first {
			out = a.stdout
		} else {
			fmt.Fprintln(out, "\nThe link for the next device:")
		}
		fmt.Fprintln(out, address)
		if code, err := page.CodeText(address, document.SpeaksUnicode(a.getenv)); err == nil {
			fmt.Fprint(out, a.lightOnDark(code))
		}
		if first {
			a.note("Serving the folder %s to this network; the link lets one device in. Ctrl-C ends it.", root.Root.Name())
		}
		first = false
	}
	return page.Serve(a.context(), listener, root.Root, options)
}

// devicesFile is where the devices are listed that were let into a folder.
func devicesFile(kept, folder string) (string, error) {
	folder, err := filepath.Abs(folder)
	if err != nil {
		return "", err
	}
	if real, err := filepath.EvalSymlinks(folder); err == nil {
		folder = real
	}
	sum := sha256.Sum256([]byte(folder))
	return filepath.Join(kept, "evenfall", fmt.Sprintf("devices-%x.json", sum[:8])), nil
}

// lightOnDark makes sure of the colors of a code where the terminal has any: the
// blocks are the light modules.
func (a *app) lightOnDark(code string) string {
	if colorprofile.Detect(a.stdout, a.env) < colorprofile.ANSI {
		return code
	}
	var b strings.Builder
	for line := range strings.Lines(code) {
		b.WriteString("\x1b[97;40m" + strings.TrimSuffix(line, "\n") + "\x1b[0m\n")
	}
	return b.String()
}

// open listens where the flags say.
func (f pageFlags) open() (net.Listener, error) {
	host, port, err := net.SplitHostPort(f.listen)
	number, portErr := strconv.Atoi(port)
	if err != nil || portErr != nil || number < 0 || number > 65535 {
		return nil, fmt.Errorf("--listen: found %q, expected an address and a port such as 127.0.0.1:8642", f.listen)
	}
	ip := net.ParseIP(host)
	for _, name := range f.hosts {
		if name == "" || strings.ContainsAny(name, "/:@ \t") {
			return nil, fmt.Errorf("--host: found %q, expected a name without port such as stage.local", name)
		}
	}
	switch {
	case len(f.hosts) > 0 && !f.lan:
		return nil, errors.New("--host: the page is shared with --lan only")
	case f.lan:
		host = "" // all networks of this machine
	case host != "localhost" && (ip == nil || !ip.IsLoopback()):
		return nil, fmt.Errorf("--listen: found %q, expected an address of this machine alone such as 127.0.0.1:%s; --lan shares the page", f.listen, port)
	case ip != nil && !ip.Equal(net.IPv4(127, 0, 0, 1)) && !ip.Equal(net.IPv6loopback):
		return nil, fmt.Errorf("--listen: found %q, expected 127.0.0.1:%s or [::1]:%s", f.listen, port, port)
	}
	listener, err := net.Listen("tcp", net.JoinHostPort(host, port))
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, fmt.Errorf("--listen: port %s is taken, perhaps by this page in another window; expected a free one such as --listen 127.0.0.1:%d", port, number+1)
	case err != nil:
		return nil, fmt.Errorf("--listen: cannot serve at %s: %w", f.listen, cause(err))
	}
	return listener, nil
}
