// Package page serves the page on which readings are entered on the set: surveys
// of one folder, each a CSV file, for several devices at once.
//
// What a caller may rely on:
//
//   - What was acknowledged is on the disk, whole, in a file that evenfall surface
//     and any spreadsheet program read. The page keeps nothing but the files.
//   - Entries may be sent again, late and in any order, by several devices; the
//     table that they end in is the same (see Entry).
//   - A file that somebody else changes is found out, and both versions are kept.
//   - Nothing outside the folder is read or written, nothing is asked of another
//     machine, and only this program's own page is answered (see guard).
//
// No formula lives here: numbers come from packages survey and evenness, words and
// maps from answers and plots.
package page

import (
	"bytes"
	"cmp"
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
	"sync"
	"time"

	"evenfall/cmd/evenfall/outfile"
)

// Options are how the page is served.
type Options struct {
	Shared  bool     // to other devices; each needs a link that works once
	Secure  bool     // the listener speaks TLS
	Hosts   []string // further host names that the page is known by
	Devices string   // the file that keeps who was let in; "" keeps it in memory
	// Invite is called with the address of the link for the next device, first when
	// serving begins, and then after its use or when somebody comes with it too late. It
	// is not called where the page is not shared.
	Invite func(address string)

	fault func() error // of the disk, for tests
}

// limits of one request.
const (
	mostBody    = 1 << 20
	mostEntries = 2000
	mostHeader  = 16 << 10
)

type server struct {
	store       *store
	guard       *guard
	devices     *devices
	invitations *invitations
	options     Options
	ending      chan struct{}
	trial       trial

	mu        sync.Mutex
	announced string // the token of the link where the program runs
}

// Serve serves the folder at root on a listener until the context ends.
func Serve(ctx context.Context, listener net.Listener, root *os.Root, options Options) error {
	outfile.Sweep(root, outfile.Stale)
	s, err := newServer(listener, root, options)
	if err != nil {
		return err
	}
	defer s.devices.end()
	defer s.trial.end()
	return s.serve(ctx, listener)
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
	ended := make(chan error, 1)
	stop := context.AfterFunc(ctx, func() {
		close(s.ending)
		grace, cancel := context.WithTimeout(context.Background(), 500*time.Millisecond)
		defer cancel()
		err := web.Shutdown(grace)
		if err != nil {
			err = web.Close()
		}
		ended <- err
	})
	if err := web.Serve(listener); stop() {
		return err // though nobody asked for it
	}
	return <-ended
}

func newServer(listener net.Listener, root *os.Root, options Options) (*server, error) {
	_, port, _ := net.SplitHostPort(listener.Addr().String())
	known, err := newDevices(options, port)
	if err != nil {
		return nil, err
	}
	s := &server{store: newStore(root), devices: known, options: options, ending: make(chan struct{}),
		invitations: &invitations{now: time.Now}}
	s.store.fault = options.fault
	s.guard = newGuard(options, port, func(r *http.Request) bool { return known.of(r) != "" })
	if !options.Shared {
		s.options.Invite = nil
	}
	s.renew()
	return s, nil
}

// handler handles all requests.
func (s *server) handler() http.Handler {
	mux := http.NewServeMux()
	for pattern, answers := range map[string]handle{
		"GET /{$}":                                      s.index,
		"GET /join":                                     s.joining,
		"POST /join":                                    s.join,
		"GET /api/devices":                              s.devices.list,
		"POST /api/devices/{id}":                        s.devices.change,
		"DELETE /api/devices/{id}":                      s.devices.change,
		"GET /static/{path...}":                         func(w http.ResponseWriter, r *http.Request) error { return embeddedFile(w, r.PathValue("path")) },
		"GET /favicon.ico":                              func(w http.ResponseWriter, _ *http.Request) error { return embeddedFile(w, "icon.svg") },
		"POST /api/invite":                              s.invite,
		"GET /api/folder":                               s.folder,
		"GET /api/form":                                 s.form,
		"POST /api/surveys":                             begins(s.store.create),
		"POST /api/marks":                               begins(s.store.createMarks),
		"POST /api/dials":                               begins(s.store.createDials),
		"POST /api/morning":                             begins(s.newMorning),
		"POST /api/trial":                               s.newTrial,
		"POST /api/surveys/{name}/trim":                 beginsOf(s, s.newTrim),
		"POST /api/surveys/{name}/again":                beginsOf(s, s.again),
		"POST /api/surveys/{name}/screen":               beginsOf(s, s.newScreen),
		"GET /api/surveys/{name}":                       s.ofSurvey(s.state),
		"POST /api/surveys/{name}/entries":              s.ofSurvey(s.entries),
		"POST /api/surveys/{name}/hold":                 s.ofSurvey(s.holds),
		"POST /api/surveys/{name}/notices/{id}/dismiss": s.ofSurvey(s.dismiss),
		"GET /api/surveys/{name}/events":                s.ofSurvey(s.events),
		"GET /api/surveys/{name}/map.svg":               s.ofSurvey(drawing("svg")),
		"GET /api/surveys/{name}/picture.png":           s.ofSurvey(drawing("png")),
		"GET /files/{name}":                             s.ofSurvey(s.file),
		"GET /report":                                   s.report,
		"GET /api/match":                                s.match,
		"/":                                             func(http.ResponseWriter, *http.Request) error { return errNothingHere },
	} {
		mux.Handle(pattern, answers)
	}
	return s.guard.wrap(mux)
}

// handle responds to a request; an error that it returns becomes the response.
type handle func(http.ResponseWriter, *http.Request) error

func (h handle) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if err := h(w, r); err != nil {
		fail(w, err)
	}
}

// ofSurvey opens the survey that an address names for what answers with it.
func (s *server) ofSurvey(answers func(*live, http.ResponseWriter, *http.Request) error) handle {
	return func(w http.ResponseWriter, r *http.Request) error {
		st := s.storeOf(r.PathValue("name"))
		if st == nil {
			return errNoSurvey
		}
		l, err := st.open(r.PathValue("name"))
		if err != nil {
			return err
		}
		return answers(l, w, r)
	}
}

// answer writes a response in JSON.
func answer(w http.ResponseWriter, status int, value any) error {
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	w.Write(b.Bytes())
	return nil
}

// fail responds with an error message.
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

func (s *server) state(l *live, w http.ResponseWriter, r *http.Request) error {
	state, err := l.state(true)
	if err != nil {
		return err
	}
	state.Held = s.devices.held(l.name, s.devices.of(r))
	return answer(w, 200, state)
}

func (s *server) entries(l *live, w http.ResponseWriter, r *http.Request) error {
	var call struct {
		Entries []Entry `json:"entries"`
	}
	if err := body(w, r, &call); err != nil {
		return err
	}
	if len(call.Entries) > mostEntries {
		return problem{413, "too_many", fmt.Sprintf("Found %d entries, expected at most %d at once.", len(call.Entries), mostEntries)}
	}
	id := s.devices.of(r)
	outcomes, err := l.enter(call.Entries, s.devices.nameOf(id))
	if err != nil {
		return err
	}
	s.devices.count(id, outcomes)
	state, err := l.state(false)
	if err != nil {
		return err
	}
	return answer(w, 200, map[string]any{"revision": state.Revision, "entries": outcomes, "state": state, "now": state.Now})
}

func (s *server) dismiss(l *live, w http.ResponseWriter, r *http.Request) error {
	id, err := strconv.Atoi(r.PathValue("id"))
	if err != nil {
		return problem{404, "no_notice", "There is no such notice."}
	}
	l.dismiss(id)
	return answer(w, 200, map[string]bool{"dismissed": true})
}

// drawing responds with a map.
func drawing(format string) func(*live, http.ResponseWriter, *http.Request) error {
	return func(l *live, w http.ResponseWriter, r *http.Request) error {
		asked := r.URL.Query()
		kind := cmp.Or(asked.Get("kind"), "level")
		l.mu.Lock()
		a, revision := l.analysis, l.revision
		l.mu.Unlock()
		content, err := a.file(mapKey{kind, asked.Get("narrow") != "", format})
		if err != nil {
			return problem{404, "no_map", "There is no such map: " + words("", err) + "."}
		}
		if asked.Get("r") == strconv.FormatInt(revision, 10) {
			w.Header().Set("Cache-Control", "private, max-age=86400, immutable")
		}
		w.Header().Set("Content-Type", types["."+format])
		if format == "png" {
			download(w, stem(l.name)+"-"+kind+".png")
		}
		if format == "svg" {
			content = themed(content, asked.Get("theme"))
		}
		w.Write(content)
		return nil
	}
}

// file responds with a survey's file.
func (s *server) file(l *live, w http.ResponseWriter, r *http.Request) error {
	l.mu.Lock()
	content := l.content
	l.mu.Unlock()
	w.Header().Set("Content-Type", types[strings.ToLower(path.Ext(l.name))])
	download(w, l.name)
	w.Write(content)
	return nil
}

// download makes the browser save the response under a name.
func download(w http.ResponseWriter, name string) {
	w.Header().Set("Content-Disposition", "attachment; filename*=UTF-8''"+url.PathEscape(name))
}
