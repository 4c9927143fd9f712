package page

import (
	"bytes"
	"cmp"
	"html/template"
	"maps"
	"net/http"
	"net/url"
	"os"
	"path"
	"strings"
	"sync"
	"time"
)

// invitations are links that each let one device in, once, within some minutes. They are
// in memory only.
type invitations struct {
	now func() time.Time

	mu   sync.Mutex
	open map[string]time.Time // until when, by the hash of the token
}

const (
	invitedFor      = 15 * time.Minute
	mostInvitations = 100
)

// add makes a token.
func (in *invitations) add() string {
	in.mu.Lock()
	defer in.mu.Unlock()
	now := in.now()
	maps.DeleteFunc(in.open, func(_ string, until time.Time) bool { return now.After(until) })
	for len(in.open) >= mostInvitations {
		in.dropOldest()
	}
	token := random()
	in.open[hashOf(token)] = now.Add(invitedFor)
	return token
}

func (in *invitations) dropOldest() {
	oldest := ""
	for hash, until := range in.open {
		if oldest == "" || until.Before(in.open[oldest]) {
			oldest = hash
		}
	}
	delete(in.open, oldest)
}

// good reports whether a token can be taken.
func (in *invitations) good(token string) bool {
	in.mu.Lock()
	defer in.mu.Unlock()
	until, ok := in.open[hashOf(token)]
	return ok && in.now().Before(until)
}

// take uses a token up.
func (in *invitations) take(token string) bool {
	good := in.good(token)
	in.mu.Lock()
	defer in.mu.Unlock()
	hash := hashOf(token)
	_, there := in.open[hash]
	delete(in.open, hash)
	return good && there
}

// announce makes a link for the next device and says it where the program runs.
func (s *server) announce() {
	s.mu.Lock()
	s.announced = s.invitations.add()
	address := s.link(s.guard.reachable(), s.announced)
	s.mu.Unlock()
	s.options.Invite(address)
}

// renew announces another link where the announced one cannot be taken any more.
func (s *server) renew() {
	s.mu.Lock()
	old := s.options.Invite != nil && !s.invitations.good(s.announced)
	s.mu.Unlock()
	if old {
		s.announce()
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
	plainPage(w, http.StatusForbidden, "This link does not work", "Each link lets one device in, once, within 15 minutes. Scan the code on the screen of the program's machine, or ask somebody on the page for a link.")
}

// folderTitle is the last part of a folder's path.
func folderTitle(name string) string { return path.Base(strings.ReplaceAll(name, "\\", "/")) }

// framed is a page for a browser that has not loaded the page itself: a text, or the
// question whether the device is to be let in.
type framed struct {
	Title, Text         string
	Folder, Token, Name string
	Plain               bool // http: anybody in the network can listen
}

// Machine is what this machine is called.
func (framed) Machine() string {
	name, _ := os.Hostname()
	return name
}

var frame = template.Must(template.ParseFS(embedded, "static/frame.html"))

func (f framed) write(w http.ResponseWriter, status int) {
	var b bytes.Buffer
	if err := frame.Execute(&b, f); err != nil {
		fail(w, err)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	w.Write(b.Bytes())
}

// plainPage responds with a text.
func plainPage(w http.ResponseWriter, status int, title, text string) {
	framed{Title: title, Text: text}.write(w, status)
}
