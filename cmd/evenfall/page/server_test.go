package page

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"evenfall/photometry/tolerance"
)

// site is a page served for a test, on a real listener, and a device that uses it.
type site struct {
	t       *testing.T
	folder  string
	address string // http://127.0.0.1:PORT
	server  *server
	stop    func()
}

func serve(t *testing.T, folder string, options Options) *site {
	t.Helper()
	root, err := os.OpenRoot(folder)
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	s, err := newServer(listener, root, options)
	if err != nil {
		t.Fatal(err)
	}
	go func() { done <- s.serve(ctx, listener) }()
	stopped := false
	stop := func() {
		if stopped {
			return
		}
		stopped = true
		cancel()
		if err := <-done; err != nil {
			t.Errorf("serving ended with %v", err)
		}
		root.Close()
	}
	t.Cleanup(stop)
	return &site{t, folder, "http://" + listener.Addr().String(), s, stop}
}

// ask sends a request as the page would and returns status and body. change may
// alter the request.
func (s *site) ask(method, path, body string, change ...func(*http.Request)) (int, string) {
	s.t.Helper()
	r, err := http.NewRequest(method, s.address+path, strings.NewReader(body))
	if err != nil {
		s.t.Fatal(err)
	}
	if isWrite(method) {
		r.Header.Set("Origin", s.address)
		r.Header.Set("Content-Type", "application/json")
	}
	for _, c := range change {
		c(r)
	}
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }, Timeout: 20 * time.Second}
	answer, err := client.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer answer.Body.Close()
	content, err := io.ReadAll(answer.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return answer.StatusCode, string(content)
}

// get asks for JSON that must come.
func (s *site) get(path string, into any) {
	s.t.Helper()
	status, body := s.ask("GET", path, "")
	if status != 200 {
		s.t.Fatalf("GET %s: %d %s", path, status, body)
	}
	if err := json.Unmarshal([]byte(body), into); err != nil {
		s.t.Fatal(err)
	}
}

// sent is the answer to entries.
type sent struct {
	Revision int64
	Entries  []Outcome
	State    State
}

func (s *site) send(name string, entries ...Entry) sent {
	s.t.Helper()
	body, _ := json.Marshal(map[string]any{"device": "test", "entries": entries})
	status, text := s.ask("POST", "/api/surveys/"+url.PathEscape(name)+"/entries", string(body))
	if status != 200 {
		s.t.Fatalf("entries: %d %s", status, text)
	}
	var out sent
	if err := json.Unmarshal([]byte(text), &out); err != nil {
		s.t.Fatal(err)
	}
	return out
}

const nineByFive = `{"title":"Green cloth","kind":"screen","width_m":4.8,"height_m":2.4,"columns":9,"rows":5,"unit":"lx"}`

// begin makes a survey of 9 × 5 places.
func (s *site) begin() string {
	s.t.Helper()
	status, body := s.ask("POST", "/api/surveys", nineByFive)
	if status != 201 || !strings.Contains(body, `"green-cloth.csv"`) {
		s.t.Fatalf("new survey: %d %s", status, body)
	}
	return "green-cloth.csv"
}

func code(body string) string {
	var e struct{ Error struct{ Code, Text string } }
	json.Unmarshal([]byte(body), &e)
	if e.Error.Text == "" {
		return "no error: " + body
	}
	return e.Error.Code
}

func header(name, value string) func(*http.Request) {
	return func(r *http.Request) {
		if name == "Host" {
			r.Host = value
			return
		}
		if value == "" {
			r.Header.Del(name)
			return
		}
		r.Header.Set(name, value)
	}
}

func TestWhoIsAnswered(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	port := s.server.guard.port
	write := "/api/surveys"
	for _, c := range []struct {
		name, method, path string
		change             func(*http.Request)
		status             int
		code               string
	}{
		{"by name", "GET", "/api/folder", header("Host", "localhost:"+port), 200, ""},
		{"by address", "GET", "/api/folder", header("Host", "[::1]:"+port), 200, ""},
		{"rebound name", "GET", "/api/folder", header("Host", "light.example:"+port), 421, "host"},
		{"rebound name, no port", "GET", "/", header("Host", "light.example"), 421, "host"},
		{"another port", "GET", "/api/folder", header("Host", "localhost:1"), 421, "host"},
		{"another address", "GET", "/api/folder", header("Host", "192.0.2.1:"+port), 421, "host"},
		{"localhost as a part", "GET", "/api/folder", header("Host", "localhost.light.example:"+port), 421, "host"},
		{"write from elsewhere", "POST", write, header("Origin", "http://light.example"), 403, "origin"},
		{"write from another port", "POST", write, header("Origin", "http://127.0.0.1:1"), 403, "origin"},
		{"write from a file", "POST", write, header("Origin", "null"), 403, "origin"},
		{"write over https", "POST", write, header("Origin", "https://127.0.0.1:"+port), 403, "origin"},
		{"write without origin", "POST", write, header("Origin", ""), 403, "origin"},
		{"form from elsewhere", "POST", write, func(r *http.Request) {
			r.Header.Del("Origin")
			r.Header.Set("Sec-Fetch-Site", "cross-site")
		}, 403, "origin"},
		{"read from elsewhere", "GET", "/api/folder", func(r *http.Request) {
			r.Header.Set("Sec-Fetch-Site", "cross-site")
			r.Header.Set("Sec-Fetch-Mode", "no-cors")
		}, 403, "origin"},
		{"a link to the page from elsewhere", "GET", "/", func(r *http.Request) {
			r.Header.Set("Sec-Fetch-Site", "cross-site")
			r.Header.Set("Sec-Fetch-Mode", "navigate")
		}, 200, ""},
		{"no JSON", "POST", write, header("Content-Type", "text/plain"), 415, "not_json"},
		{"another method", "DELETE", "/api/surveys/x.csv", header("X", "y"), 404, "not_found"},
		{"invite where nothing is shared", "POST", "/api/invite", header("X", "y"), 409, "not_shared"},
	} {
		t.Run(c.name, func(t *testing.T) {
			status, body := s.ask(c.method, c.path, nineByFive, c.change)
			if status != c.status || c.code != "" && code(body) != c.code {
				t.Errorf("%d %s, want %d %s", status, body, c.status, c.code)
			}
		})
	}
	if files, _ := os.ReadDir(s.folder); len(files) > 0 {
		t.Errorf("a refused write left %v", files)
	}
	status, _ := s.ask("POST", write, nineByFive, func(r *http.Request) {
		r.Header.Del("Origin")
		r.Header.Set("Sec-Fetch-Site", "same-origin")
	})
	if status != 201 {
		t.Errorf("own page without Origin: %d", status)
	}
}

func TestHeadersKeepOthersOut(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	for _, path := range []string{"/", "/static/index.html", "/api/folder", "/nowhere"} {
		answer, err := http.Get(s.address + path)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		policy := answer.Header.Get("Content-Security-Policy")
		if !strings.Contains(policy, "default-src 'self'") || !strings.Contains(policy, "frame-ancestors 'none'") || strings.Contains(policy, "unsafe") {
			t.Errorf("%s: policy %q", path, policy)
		}
		if answer.Header.Get("X-Content-Type-Options") != "nosniff" || answer.Header.Get("Referrer-Policy") != "no-referrer" {
			t.Errorf("%s: headers %v", path, answer.Header)
		}
	}
}

func TestNothingOutsideTheFolder(t *testing.T) {
	outside := t.TempDir()
	secret := filepath.Join(outside, "secret.csv")
	if err := os.WriteFile(secret, []byte(small), 0o666); err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	for name, target := range map[string]string{"link.csv": secret, "up.csv": "../" + filepath.Base(outside) + "/secret.csv"} {
		if err := os.Symlink(target, filepath.Join(folder, name)); err != nil {
			t.Skip("no links here: ", err)
		}
	}
	if err := os.Symlink(outside, filepath.Join(folder, "kept")); err != nil {
		t.Fatal(err)
	}
	os.MkdirAll(filepath.Join(folder, "folder.csv"), 0o777)
	os.WriteFile(filepath.Join(folder, ".hidden.csv"), []byte(small), 0o666)
	t.Setenv("TMPDIR", t.TempDir())
	t.Setenv("TMP", os.Getenv("TMPDIR"))
	killed, running := filepath.Join(os.TempDir(), trialPlace+"1", trialFolder), filepath.Join(os.TempDir(), trialPlace+"2", trialFolder)
	for i, place := range []string{killed, running} {
		os.MkdirAll(place, 0o700)
		os.Chtimes(place, time.Time{}, time.Now().Add(time.Duration(2*i-2)*24*time.Hour))
	}
	s := serve(t, folder, Options{})
	if status, body := s.ask("POST", "/api/trial", ""); status != 201 { // so that there is a folder of invented readings too
		t.Fatal(status, body)
	}
	left, _ := filepath.Glob(filepath.Join(os.TempDir(), trialPlace+"*", trialFolder))
	if slices.Contains(left, killed) || !slices.Contains(left, running) || len(left) != 2 {
		t.Errorf("invented readings are left in %v", left)
	}
	for _, name := range []string{"link.csv", "up.csv", "folder.csv", ".hidden.csv", "..%2Fsecret.csv", "%2e%2e%2fsecret.csv", "..%5Csecret.csv", "%2Fetc%2Fpasswd", "a%00.csv",
		"NUL.csv", "con.csv", "x.csv%20", "x.txt", "kept%2Fsecret.csv", "invented%2Fsecret.csv", "invented%2F..%2Fsecret.csv", "trims%2Finvented%2F..%2Fsecret.csv", strings.Repeat("a", 300) + ".csv", "%ff.csv", "x.csv:stream", "nothing.csv"} {
		for _, path := range []string{"/files/" + name, "/api/surveys/" + name, "/api/surveys/" + name + "/map.svg", "/api/surveys/" + name + "/events"} {
			status, body := s.ask("GET", path, "")
			if status < 300 || strings.Contains(body, "green cloth") || strings.Contains(body, folder) || strings.Contains(body, outside) {
				t.Errorf("GET %s: %d %.200s", path, status, body)
			}
		}
		if status, _ := s.ask("POST", "/api/surveys/"+name+"/entries", `{"entries":[{"label":"A1","at":1,"text":"7","kind":"set"}]}`); status < 300 {
			t.Errorf("entries to %s: %d", name, status)
		}
	}
	for _, path := range []string{"/static/../static.go", "/static/..%2fstatic.go", "/static/", "/static/nothing.js", "/../../etc/passwd"} {
		if status, body := s.ask("GET", path, ""); status < 300 || strings.Contains(body, "package") {
			t.Errorf("GET %s: %d", path, status)
		}
	}
	for _, name := range []string{"../x", "a/b", `a\\b`, ".x", "NUL", "com1.csv", "x..csv", "a:b", "\\u0000", "\\u202ex", "link"} {
		status, body := s.ask("POST", "/api/surveys", strings.Replace(nineByFive, `{`, `{"name":"`+name+`",`, 1))
		if status < 400 || status >= 500 {
			t.Errorf("new survey named %q: %d %s", name, status, body)
		}
	}
	if got, _ := os.ReadFile(secret); string(got) != small {
		t.Errorf("the file outside is %q now", got)
	}
	if files, _ := os.ReadDir(outside); len(files) != 1 {
		t.Errorf("outside there is %v now", files)
	}
}

func TestTooMuch(t *testing.T) {
	t.Parallel()
	s := serve(t, t.TempDir(), Options{})
	name := s.begin()
	entries := "/api/surveys/" + name + "/entries"
	if status, body := s.ask("POST", entries, `{"device":"`+strings.Repeat("x", mostBody)+`"}`); status != 413 || code(body) != "too_large" {
		t.Errorf("large body: %d %s", status, body)
	}
	many := strings.Repeat(`{"label":"A1"},`, mostEntries+1)
	if status, body := s.ask("POST", entries, `{"entries":[`+many[:len(many)-1]+`]}`); status != 413 || code(body) != "too_many" {
		t.Errorf("many entries: %d %s", status, body)
	}
	if status, body := s.ask("POST", "/api/surveys", strings.Replace(nineByFive, `"columns":9`, `"columns":600`, 1)); status != 400 || code(body) != "bad_survey" {
		t.Errorf("many places: %d %s", status, body)
	}
	if status, _ := s.ask("GET", "/api/folder", "", header("X-Long", strings.Repeat("x", 3*mostHeader))); status != 431 {
		t.Errorf("long header: %d", status)
	}
	for _, broken := range []string{``, `{`, `[]`, `{"entries":5}`, `{"entries":[{"at":"now"}]}`, `{"entries":[{"at":1e300}]}`} {
		if status, body := s.ask("POST", entries, broken); status != 400 || code(body) != "not_json" {
			t.Errorf("%s: %d %s", broken, status, body)
		}
	}
	// Rows end at the limit, by repeats of all places.
	var state State
	s.get("/api/surveys/"+name, &state)
	var labels []string
	for _, p := range state.Places {
		labels = append(labels, p.Label)
	}
	var out sent
	for batch := 0; batch < 3; batch++ {
		var all []Entry
		for i := range mostEntries {
			all = append(all, Entry{ID: fmt.Sprint(i), Label: labels[i%len(labels)], At: time.Now().UnixMilli() - 10_000_000 + int64(batch*mostEntries+i), Text: "742", Kind: kindAgain})
		}
		out = s.send(name, all...)
	}
	last := out.Entries[mostEntries-1]
	if last.Outcome != refused || !strings.Contains(last.Text, "5000 rows") {
		t.Errorf("beyond the limit: %+v", last)
	}
	s.get("/api/surveys/"+name, &state)
	repeats := 0
	for _, cell := range state.Cells[""] {
		repeats += len(cell.Repeats)
	}
	if repeats != mostRows-2*len(labels) {
		t.Errorf("%d repeats kept", repeats)
	}
}

// The form of a new survey gets each kind of surface, and examples of its fields
// that a new survey takes.
func TestForm(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	var form struct {
		Kinds []kind
		Notes map[string]struct{ Example, Help string }
	}
	s.get("/api/form", &form)
	if len(form.Kinds) != len(tolerance.Kinds)+1 || form.Kinds[1].Stops != tolerance.Kinds[0].Acceptable || len(form.Notes) < 6 {
		t.Errorf("%+v", form)
	}
	of := func(field string) string { return form.Notes[field].Example }
	asked := fmt.Sprintf(`{"title":%q,"width_m":4.8,"height_m":2.4,"columns":9,"rows":5,"tolerance":%q,"repeatability_percent":%s,"iso":%s,"shutter":%q,"reference":%q}`,
		of("title"), of("tolerance"), of("repeatability_percent"), of("iso"), of("shutter"), of("reference"))
	if status, body := s.ask("POST", "/api/surveys", asked); status/100 != 2 {
		t.Errorf("%s: %d %s", asked, status, body)
	}
}
