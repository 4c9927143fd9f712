package page

import (
	"bytes"
	"cmp"
	"html/template"
	"net/http"
	"net/url"
	"os"
	"path"
	"slices"
	"strings"
	"sync"
	"time"
)

// invitations are links that each let one device in, once, within some minutes. They are
// in memory only.
type invitations struct {
	now func() time.Time

	mu   sync.Mutex
	open []invitation // the newest last
}

type invitation struct {
	hash  string // of the token
	until time.Time
}

const (
	invitedFor      = 15 * time.Minute
	mostInvitations = 100
)

// add makes a token.
func (in *invitations) add() string {
	in.mu.Lock()
	defer in.mu.Unlock()
	token := random()
	in.open = append(in.open, invitation{hashOf(token), in.now().Add(invitedFor)})
	in.open = in.open[max(0, len(in.open)-mostInvitations):]
	return token
}

// at is the index of a token that can be taken, -1 for none. The caller holds the lock.
func (in *invitations) at(token string) int {
	hash, now := hashOf(token), in.now()
	return slices.IndexFunc(in.open, func(x invitation) bool { return x.hash == hash && now.Before(x.until) })
}

// good reports whether a token can be taken.
func (in *invitations) good(token string) bool {
	in.mu.Lock()
	defer in.mu.Unlock()
	return in.at(token) >= 0
}

// take uses a token up.
func (in *invitations) take(token string) bool {
	in.mu.Lock()
	defer in.mu.Unlock()
	i := in.at(token)
	if i < 0 {
		return false
	}
	in.open = slices.Delete(in.open, i, i+1)
	return true
}

// renew makes a link for the next device and says it where the program runs, where the one
// that it said last cannot be taken any more.
func (s *server) renew() {
	if s.options.Invite == nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.invitations.good(s.announced) {
		s.announced = s.invitations.add()
		s.options.Invite(s.link(s.guard.reachable(), s.announced))
	}
}

func (s *server) link(host, token string) string {
	return s.guard.scheme() + "://" + host + "/join?token=" + url.QueryEscape(token)
}

// invite responds with a link for one device.
func (s *server) invite(w http.ResponseWriter, r *http.Request) error {
	if !s.options.Shared {
		return problem{409, "not_shared", "The page is open on this machine only. Start it with --lan to share it."}
	}
	address := s.link(s.guard.reachableFrom(r.Host), s.invitations.add())
	picture, err := codeSVG(address)
	if err != nil {
		return err
	}
	return answer(w, 200, map[string]any{"url": address, "qr_svg": picture, "minutes": invitedFor.Minutes()})
}

// joining asks whether the device is to be let in. It uses nothing up, so that a preview
// of the link does not.
func (s *server) joining(w http.ResponseWriter, r *http.Request) error {
	token := r.URL.Query().Get("token")
	switch {
	case !s.options.Shared || s.devices.of(r) != "":
		http.Redirect(w, r, "/", http.StatusSeeOther)
	case !s.invitations.good(token):
		s.refuse(w)
	default:
		// A form under no-referrer has the origin null, which the guard refuses.
		w.Header().Set("Referrer-Policy", "same-origin")
		framed{Title: "Let this device in?", Folder: folderTitle(s.store.root.Name()), Token: token, Name: kindOf(r), Plain: !s.options.Secure}.write(w, http.StatusOK)
	}
	return nil
}

// join lets the device in that has a link.
func (s *server) join(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, mostForm)
	if err := r.ParseForm(); err != nil {
		return problem{400, "broken_off", "The form broke off, or is too long."}
	}
	if s.options.Shared && s.devices.of(r) == "" {
		if !s.invitations.take(r.PostForm.Get("token")) {
			s.refuse(w)
			return nil
		}
		if err := s.devices.admit(w, cmp.Or(deviceName(r.PostForm.Get("name")), kindOf(r))); err != nil {
			return err
		}
		s.renew()
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

const mostForm = 4 << 10

func (s *server) refuse(w http.ResponseWriter) {
	s.renew()
	framed{Title: "This link does not work", Text: "Each link lets one device in, once, within 15 minutes. Scan the code on the screen of the program's machine, or ask somebody on the page for a link."}.write(w, http.StatusForbidden)
}

// folderTitle is the last part of a folder's path.
func folderTitle(name string) string { return path.Base(strings.ReplaceAll(name, "\\", "/")) }

// framed is a page for a browser that has not loaded the page itself: a text, or the
// question whether the device is to be let in.
type framed struct {
	Title, Text         string
	Folder, Token, Name string
	Plain               bool // http: anybody in the network can listen
	Machine             string
}

var frame = template.Must(template.ParseFS(embedded, "static/frame.html"))

func (f framed) write(w http.ResponseWriter, status int) {
	f.Machine, _ = os.Hostname()
	var b bytes.Buffer
	if err := frame.Execute(&b, f); err != nil {
		fail(w, err)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	w.Write(b.Bytes())
}
