// Package page serves the page on which readings are entered on the set: surveys
// of one folder, each a CSV file, for several devices at once.
//
// What a caller may rely on:
//
//   - What was acknowledged is on the disk, whole, in a file that evenfall surface
//     and any spreadsheet program read. The page keeps nothing beside the files.
//   - Entries may be sent again, late and in any order, by several devices; the
//     table that they end in is the same (see Entry).
//   - A file that somebody else changes is found out, and both versions are kept.
//   - Nothing outside the folder is read or written, nothing is asked of another
//     machine, and only this program's own page is answered (see guard).
//
// No formula lives here: numbers and words come from packages survey, plots and
// screen.
package page

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path"
	"strconv"
	"strings"
	"time"

	"evenfall/cmd/evenfall/outfile"
)

// Options are how the page is served.
type Options struct {
	Version string
	Shared  bool     // to other devices; each needs a link that works once
	Hosts   []string // further host names that the page is known by
	// Invite is told the address of the link for the next device, first when
	// serving begins and then after each use. It is not called where the page is
	// not shared.
	Invite func(address string)
}

// limits of one request.
const (
	mostBody    = 1 << 20
	mostEntries = 2000
	mostHeader  = 16 << 10
)

type server struct {
	store   *store
	guard   *guard
	options Options
	ending  chan struct{}
}

// Serve serves the folder at root on a listener until the context ends.
func Serve(ctx context.Context, listener net.Listener, root *os.Root, options Options) error {
	outfile.Sweep(root, time.Hour)
	return newServer(listener, root, options).serve(ctx, listener)
}

func (s *server) serve(ctx context.Context, listener net.Listener) error {
	web := &http.Server{
		Handler:           s.handler(),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       30 * time.Second,
		WriteTimeout:      60 * time.Second, // events set their own
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    mostHeader,
	}
	done := make(chan error, 1)
	go func() { done <- web.Serve(listener) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	close(s.ending)
	grace, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := web.Shutdown(grace); err != nil {
		return web.Close()
	}
	return nil
}

func newServer(listener net.Listener, root *os.Root, options Options) *server {
	_, port, _ := net.SplitHostPort(listener.Addr().String())
	s := &server{store: newStore(root), guard: newGuard(options.Shared, port, options.Hosts), options: options, ending: make(chan struct{})}
	if options.Shared && options.Invite != nil {
		s.guard.link = func() { options.Invite(s.address()) }
		s.guard.link()
	}
	return s
}

// address is the link for the next device, where others can reach it.
func (s *server) address() string {
	return "http://" + s.guard.reachable() + s.guard.invitation()
}

// handler answers all requests.
func (s *server) handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.index)
	mux.HandleFunc("GET /join", s.join)
	mux.HandleFunc("GET /static/{path...}", s.static)
	mux.HandleFunc("GET /favicon.ico", s.icon)
	mux.HandleFunc("POST /api/invite", s.invite)
	mux.HandleFunc("GET /api/folder", s.folder)
	mux.HandleFunc("GET /api/kinds", s.kinds)
	mux.HandleFunc("POST /api/surveys", s.newSurvey)
	mux.HandleFunc("GET /api/surveys/{name}", s.state)
	mux.HandleFunc("POST /api/surveys/{name}/entries", s.entries)
	mux.HandleFunc("POST /api/surveys/{name}/notices/{id}/dismiss", s.dismiss)
	mux.HandleFunc("GET /api/surveys/{name}/events", s.events)
	mux.HandleFunc("GET /api/surveys/{name}/map.svg", s.drawing("svg"))
	mux.HandleFunc("GET /api/surveys/{name}/picture.png", s.drawing("png"))
	mux.HandleFunc("GET /files/{name}", s.file)
	mux.HandleFunc("GET /report", s.report)
	mux.HandleFunc("GET /api/ratio", s.ratio)
	mux.HandleFunc("GET /api/match", s.match)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		fail(w, problem{404, "not_found", "There is nothing at this address."})
	})
	return s.guard.wrap(mux)
}

// answer writes JSON.
func answer(w http.ResponseWriter, status int, value any) {
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		http.Error(w, "this program could not write its answer: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	w.Write(b.Bytes())
}

// fail answers with an error in words.
func fail(w http.ResponseWriter, err error) {
	var p problem
	if !errors.As(err, &p) {
		p = problem{500, "failed", "Something went wrong in this program: " + words("", err) + "."}
	}
	w.Header().Set("Cache-Control", "no-store")
	answer(w, p.status, map[string]any{"error": map[string]string{"code": p.code, "text": p.text}})
}

// body reads the JSON that a request brings.
func body(w http.ResponseWriter, r *http.Request, into any) error {
	kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";")
	if !strings.EqualFold(strings.TrimSpace(kind), "application/json") {
		return problem{415, "not_json", "Expected Content-Type: application/json."}
	}
	content, err := io.ReadAll(http.MaxBytesReader(w, r.Body, mostBody))
	var over *http.MaxBytesError
	switch {
	case errors.As(err, &over):
		return problem{413, "too_large", fmt.Sprintf("More than %d KiB at once.", mostBody>>10)}
	case err != nil:
		return problem{400, "broken_off", "The request broke off."}
	}
	if err := json.Unmarshal(content, into); err != nil {
		return problem{400, "not_json", "The request is no JSON of the expected form: " + strings.TrimPrefix(err.Error(), "json: ") + "."}
	}
	return nil
}

// escape is a name as a part of a path.
func escape(name string) string { return url.PathEscape(name) }

func (s *server) join(w http.ResponseWriter, r *http.Request) {
	switch {
	case !s.options.Shared, s.guard.admitted(r):
	case s.guard.redeem(r.URL.Query().Get("token")):
		s.guard.admit(w)
	default:
		plainPage(w, http.StatusForbidden, "This link does not work", "Each link lets one device in, once. Scan the code that is on the screen where the program runs now, or ask somebody on the page for a link.")
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

func (s *server) invite(w http.ResponseWriter, r *http.Request) {
	if !s.options.Shared {
		fail(w, problem{409, "not_shared", "The page is open on this machine only. Start it with --lan to share it."})
		return
	}
	address := "http://" + s.guard.reachableFrom(r.Host) + s.guard.invitation()
	picture, err := codeSVG(address)
	if err != nil {
		fail(w, err)
		return
	}
	answer(w, 200, map[string]string{"url": address, "qr_svg": picture})
}

func (s *server) newSurvey(w http.ResponseWriter, r *http.Request) {
	var n NewSurvey
	if err := body(w, r, &n); err != nil {
		fail(w, err)
		return
	}
	name, err := s.store.create(n)
	if err != nil {
		fail(w, err)
		return
	}
	w.Header().Set("Location", "/api/surveys/"+escape(name))
	answer(w, 201, map[string]string{"name": name})
}

func (s *server) state(w http.ResponseWriter, r *http.Request) {
	l, err := s.store.open(r.PathValue("name"))
	if err != nil {
		fail(w, err)
		return
	}
	state, err := l.state(true)
	if err != nil {
		fail(w, err)
		return
	}
	answer(w, 200, state)
}

func (s *server) entries(w http.ResponseWriter, r *http.Request) {
	var call struct {
		Device  string  `json:"device"`
		Entries []Entry `json:"entries"`
	}
	if err := body(w, r, &call); err != nil {
		fail(w, err)
		return
	}
	if len(call.Entries) > mostEntries {
		fail(w, problem{413, "too_many", fmt.Sprintf("Found %d entries, expected at most %d at once.", len(call.Entries), mostEntries)})
		return
	}
	l, err := s.store.open(r.PathValue("name"))
	if err != nil {
		fail(w, err)
		return
	}
	outcomes, err := l.enter(call.Entries)
	if err != nil {
		fail(w, err)
		return
	}
	state, err := l.state(false)
	if err != nil {
		fail(w, err)
		return
	}
	answer(w, 200, map[string]any{"revision": state.Revision, "entries": outcomes, "state": state, "now": state.Now})
}

func (s *server) dismiss(w http.ResponseWriter, r *http.Request) {
	id, err := strconv.Atoi(r.PathValue("id"))
	l, openErr := s.store.open(r.PathValue("name"))
	switch {
	case openErr != nil:
		fail(w, openErr)
		return
	case err != nil:
		fail(w, problem{404, "no_notice", "There is no such notice."})
		return
	}
	l.dismiss(id)
	answer(w, 200, map[string]bool{"dismissed": true})
}

// drawing answers with a map.
func (s *server) drawing(format string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		l, err := s.store.open(r.PathValue("name"))
		if err != nil {
			fail(w, err)
			return
		}
		kind := r.URL.Query().Get("kind")
		if kind == "" {
			kind = "level"
		}
		l.mu.Lock()
		a, revision := l.analysis, l.revision
		l.mu.Unlock()
		content, err := a.write(kind, format, r.URL.Query().Get("narrow") != "")
		if err != nil {
			fail(w, problem{404, "no_map", "There is no such map: " + words("", err) + "."})
			return
		}
		if r.URL.Query().Get("r") == strconv.FormatInt(revision, 10) {
			w.Header().Set("Cache-Control", "private, max-age=86400, immutable")
		}
		w.Header().Set("Content-Type", map[string]string{"svg": "image/svg+xml", "png": "image/png"}[format])
		if format == "png" {
			download(w, strings.TrimSuffix(l.name, path.Ext(l.name))+"-"+kind+".png")
		}
		w.Write(content)
	}
}

// file answers with a survey's file.
func (s *server) file(w http.ResponseWriter, r *http.Request) {
	l, err := s.store.open(r.PathValue("name"))
	if err != nil {
		fail(w, err)
		return
	}
	l.mu.Lock()
	content := l.content
	l.mu.Unlock()
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	if strings.EqualFold(path.Ext(l.name), ".xlsx") {
		w.Header().Set("Content-Type", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
	}
	download(w, l.name)
	w.Write(content)
}

// download has the browser save the answer under a name.
func download(w http.ResponseWriter, name string) {
	w.Header().Set("Content-Disposition", "attachment; filename*=UTF-8''"+url.PathEscape(name))
}
