package page

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// letter is a site that is shared, with the links that it announced and a clock that can be
// put forward.
type letter struct {
	*site
	links   []string
	forward atomic.Int64 // ns
}

func share(t *testing.T, folder, file string) *letter {
	t.Helper()
	l := &letter{}
	l.site = serve(t, folder, Options{Shared: true, Hosts: []string{"Stage.Example"}, Devices: file, Invite: func(address string) { l.links = append(l.links, address) }})
	now := func() time.Time { return time.Now().Add(time.Duration(l.forward.Load())) }
	l.server.devices.now, l.server.invitations.now = now, now
	return l
}

// knock asks for a link's page with a method.
func (l *letter) knock(method, link string) *http.Response {
	l.t.Helper()
	r, _ := http.NewRequest(method, l.address+link[strings.Index(link, "/join"):], nil)
	r.Host = "stage.example:" + l.server.guard.port
	answer, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		l.t.Fatal(err)
	}
	content, _ := io.ReadAll(answer.Body)
	answer.Body.Close()
	answer.Body = io.NopCloser(strings.NewReader(string(content)))
	return answer
}

// press presses the button of a link's page.
func (l *letter) press(link, name string) (int, []*http.Cookie) {
	l.t.Helper()
	u, err := url.Parse(link)
	if err != nil {
		l.t.Fatal(err)
	}
	form := url.Values{"token": {u.Query().Get("token")}, "name": {name}}
	r, _ := http.NewRequest("POST", l.address+"/join", strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", l.address)
	answer, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		l.t.Fatal(err)
	}
	answer.Body.Close()
	return answer.StatusCode, answer.Cookies()
}

func with(c *http.Cookie) func(*http.Request) { return func(r *http.Request) { r.AddCookie(c) } }

func (l *letter) last() string { return l.links[len(l.links)-1] }

// A link lets one device in, once, when the button is pressed within 15 minutes; looking at
// it uses nothing up.
func TestInvitations(t *testing.T) {
	s := share(t, t.TempDir(), "")
	port := s.server.guard.port
	if len(s.links) != 1 || !strings.HasPrefix(s.links[0], "http://stage.example:"+port+"/join?token=") {
		t.Fatalf("links %v", s.links)
	}
	for _, path := range []string{"/", "/api/folder", "/files/x.csv", "/report", "/api/devices"} {
		if status, _ := s.ask("GET", path, ""); status != 401 {
			t.Errorf("%s before the link: %d", path, status)
		}
	}
	for _, wrong := range []string{"/join?token=", "/join", "/join?token=abc", s.links[0][:len(s.links[0])-1]} {
		if answer := s.knock("GET", wrong); answer.StatusCode != 403 || len(answer.Cookies()) > 0 {
			t.Errorf("%s: %s %v", wrong, answer.Status, answer.Cookies())
		}
		if status, cookies := s.press(wrong, "x"); status != 403 || len(cookies) > 0 {
			t.Errorf("button of %s: %d %v", wrong, status, cookies)
		}
	}
	for range 3 {
		for _, method := range []string{"HEAD", "GET"} {
			answer := s.knock(method, s.links[0])
			page, _ := io.ReadAll(answer.Body)
			if answer.StatusCode != 200 || len(answer.Cookies()) > 0 || method == "GET" && !strings.Contains(string(page), "read and write the surveys of the folder <b>"+filepath.Base(s.folder)+"</b>") {
				t.Fatalf("%s: %s %v %s", method, answer.Status, answer.Cookies(), page)
			}
			// A form under no-referrer sends the origin null.
			if got := answer.Header.Get("Referrer-Policy"); got != "same-origin" {
				t.Errorf("referrer policy %q", got)
			}
		}
	}
	// The button of a page elsewhere is not this page's.
	r := func(r *http.Request) {
		r.Header.Set("Origin", "http://light.example")
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if status, _ := s.ask("POST", "/join", "token="+strings.SplitAfter(s.links[0], "token=")[1], r); status != 403 {
		t.Errorf("button elsewhere: %d", status)
	}
	status, cookies := s.press(s.links[0], "phone")
	if status != 303 || len(cookies) != 1 {
		t.Fatalf("button: %d %+v", status, cookies)
	}
	if c := cookies[0]; !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || len(c.Value) != 43 || c.MaxAge != 7*24*3600 || c.Path != "/" {
		t.Errorf("cookie %+v", c)
	}
	if len(s.links) != 2 || s.links[1] == s.links[0] {
		t.Errorf("links %v", s.links)
	}
	if status, second := s.press(s.links[0], "x"); status != 403 || len(second) > 0 {
		t.Errorf("link used twice: %d %v", status, second)
	}
	if status, _ := s.ask("GET", "/api/folder", "", with(cookies[0])); status != 200 {
		t.Errorf("with the cookie: %d", status)
	}
	for _, wrong := range []string{"", "x", strings.Repeat("A", 43)} {
		if status, _ := s.ask("GET", "/api/folder", "", with(&http.Cookie{Name: cookies[0].Name, Value: wrong})); status != 401 {
			t.Errorf("cookie %q: %d", wrong, status)
		}
	}
	if status, _ := s.ask("GET", "/api/folder", "", with(cookies[0]), header("Host", "other.example:"+port)); status != 421 {
		t.Errorf("unknown name: %d", status)
	}

	// Two invitations of devices on the page are two links.
	invite := func() string {
		var invited struct {
			URL string `json:"url"`
		}
		status, body := s.ask("POST", "/api/invite", "", with(cookies[0]))
		if json.Unmarshal([]byte(body), &invited); status != 200 || !strings.Contains(body, "<svg") {
			t.Fatalf("invite: %d %s", status, body)
		}
		return invited.URL
	}
	one, two := invite(), invite()
	s.forward.Store(int64(14 * time.Minute))
	_, phone := s.press(two, "phone")
	if len(phone) != 1 || phone[0].Value == cookies[0].Value {
		t.Errorf("each device has a cookie of its own: %v", phone)
	}
	s.forward.Store(int64(16 * time.Minute))
	announced := len(s.links)
	if status, _ := s.press(one, "late"); status != 403 {
		t.Errorf("after 16 minutes: %d", status)
	}
	if len(s.links) != announced+1 {
		t.Errorf("who comes too late finds a new link: %v", s.links)
	}
	if status, _ := s.press(s.last(), "late"); status != 303 {
		t.Errorf("the new link: %d", status)
	}
	var list struct{ Devices []shownDevice }
	_, body := s.ask("GET", "/api/devices", "", with(cookies[0]))
	json.Unmarshal([]byte(body), &list)
	names := map[string]bool{}
	for _, d := range list.Devices {
		names[d.Name] = true
	}
	if len(list.Devices) != 3 || !names["phone"] || !names["phone 2"] || !names["late"] {
		t.Errorf("devices %+v", list.Devices)
	}
}

// A program that starts anew knows the devices, and nobody can read a cookie in its file;
// they are removed one by one, at once, and go by themselves after a week.
func TestDevicesStayLetIn(t *testing.T) {
	folder, file := t.TempDir(), filepath.Join(t.TempDir(), "new", "devices.json")
	s := share(t, folder, file)
	name := func() string {
		status, cookies := s.press(s.last(), "tablet")
		if status != 303 {
			t.Fatal(status)
		}
		return cookies[0].Name + "=" + cookies[0].Value
	}
	first, second := name(), name()
	has := func(cookie string) func(*http.Request) { return header("Cookie", cookie) }
	s.stop()
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, cookie := range []string{first, second} {
		if _, secret, _ := strings.Cut(cookie, "="); strings.Contains(string(content), secret) || !strings.Contains(string(content), hashOf(secret)) {
			t.Errorf("the file has %s", content)
		}
	}
	if left, _ := os.ReadDir(folder); len(left) > 0 {
		t.Errorf("the folder has %v", left)
	}

	port := s.server.guard.port
	s = share(t, folder, file)
	// Tests get a free port, so the cookie's name is another one.
	first = strings.Replace(first, port, s.server.guard.port, 1)
	second = strings.Replace(second, port, s.server.guard.port, 1)
	for _, cookie := range []string{first, second} {
		if status, _ := s.ask("GET", "/api/folder", "", has(cookie)); status != 200 {
			t.Errorf("after a start anew: %d", status)
		}
	}
	id := func(cookie string) string { _, secret, _ := strings.Cut(cookie, "="); return hashOf(secret) }
	if status, body := s.ask("POST", "/api/devices/"+id(second), `{"name":"ladder"}`, has(first)); status != 200 || !strings.Contains(body, `"ladder"`) {
		t.Errorf("rename: %d %s", status, body)
	}
	for _, bad := range []string{"", "=1+1", strings.Repeat("x", 31), "a;b", "\u202ex"} {
		content, _ := json.Marshal(map[string]string{"name": bad})
		if status, body := s.ask("POST", "/api/devices/"+id(second), string(content), has(first)); status != 400 {
			t.Errorf("rename to %q: %d %s", bad, status, body)
		}
	}
	survey := "cloth.csv"
	os.WriteFile(filepath.Join(folder, survey), []byte(small), 0o666)
	r, _ := http.NewRequest("GET", s.address+"/api/surveys/"+survey+"/events", nil)
	r.Header.Set("Cookie", second)
	events, err := http.DefaultClient.Do(r)
	if err != nil || events.StatusCode != 200 {
		t.Fatal(events, err)
	}
	defer events.Body.Close()
	ended := make(chan bool)
	go func() {
		for lines := bufio.NewScanner(events.Body); lines.Scan(); {
		}
		close(ended)
	}()
	if status, _ := s.ask("DELETE", "/api/devices/"+id(second), "", has(first), header("Origin", "http://light.example")); status != 403 {
		t.Errorf("removed from elsewhere: %d", status)
	}
	if status, body := s.ask("DELETE", "/api/devices/"+id(second), "", has(first)); status != 200 || strings.Contains(body, "ladder") {
		t.Errorf("remove: %d %s", status, body)
	}
	select {
	case <-ended:
	case <-time.After(10 * time.Second):
		t.Error("who was removed still hears of each reading")
	}
	if status, _ := s.ask("GET", "/api/folder", "", has(second)); status != 401 {
		t.Errorf("removed: %d", status)
	}
	if status, _ := s.ask("DELETE", "/api/devices/"+id(second), "", has(first)); status != 404 {
		t.Errorf("removed twice: %d", status)
	}
	s.forward.Store(int64(letInFor - time.Hour))
	if status, _ := s.ask("GET", "/api/folder", "", has(first)); status != 200 {
		t.Errorf("within a week: %d", status)
	}
	s.forward.Store(int64(letInFor + time.Hour))
	if status, _ := s.ask("GET", "/api/folder", "", has(first)); status != 401 {
		t.Errorf("after a week: %d", status)
	}
	s.stop()
	os.WriteFile(file, []byte("{"), 0o666)
	if _, err := newDevices(Options{Devices: file}, "1"); err == nil || !strings.Contains(err.Error(), "expected the list of devices") {
		t.Errorf("a broken list: %v", err)
	}
}

// A device holds the place that it is about to read for a minute after its last word; the
// others hear of it, and may type there all the same.
func TestHolds(t *testing.T) {
	folder := t.TempDir()
	s := share(t, folder, "")
	os.WriteFile(filepath.Join(folder, "cloth.csv"), []byte(small), 0o666)
	var cookies []*http.Cookie
	for _, name := range []string{"phone", "tablet"} {
		_, c := s.press(s.last(), name)
		cookies = append(cookies, c...)
	}
	hold := func(k int, label string) string {
		status, body := s.ask("POST", "/api/surveys/cloth.csv/hold", fmt.Sprintf(`{"label":%q,"lamp":""}`, label), with(cookies[k]))
		if status != 200 {
			t.Fatalf("hold %s: %d %s", label, status, body)
		}
		return strings.TrimSpace(body)
	}
	const none = `{"held":[]}`
	at := func(label, by string) string {
		return fmt.Sprintf(`{"held":[{"label":%q,"lamp":"","by":%q}]}`, label, by)
	}
	for _, step := range []struct {
		who   int
		label string
		after time.Duration
		want  string
	}{
		{0, "A1", 0, none},
		{1, "A2", 0, at("A1", "phone")},
		{0, "A1", 30 * time.Second, at("A2", "tablet")},
		{1, "A2", 59 * time.Second, at("A1", "phone")},   // phone's last word is 29 s old
		{1, "A2", 91 * time.Second, none},                // now 61
		{0, "A2", 100 * time.Second, at("A2", "tablet")}, // two may be at one place
		{1, "", 101 * time.Second, at("A2", "phone")},
		{0, "A1", 102 * time.Second, none},
	} {
		s.forward.Store(int64(step.after))
		if got := hold(step.who, step.label); got != step.want {
			t.Errorf("%v: %d at %s hears %s, expected %s", step.after, step.who, step.label, got, step.want)
		}
	}
	if status, _ := s.ask("POST", "/api/surveys/cloth.csv/hold", `{"label":"Z9"}`, with(cookies[0])); status != 404 {
		t.Errorf("a place that is none: %d", status)
	}
	// What another holds can be typed.
	body := fmt.Sprintf(`{"entries":[{"id":"1","label":"A1","at":%d,"kind":"read","text":"701"}]}`, time.Now().UnixMilli())
	if _, text := s.ask("POST", "/api/surveys/cloth.csv/entries", body, with(cookies[1])); !strings.Contains(text, `"outcome":"stored"`) {
		t.Errorf("typed where phone is: %s", text)
	}
	_, list := s.ask("GET", "/api/devices", "", with(cookies[0]))
	if !strings.Contains(list, `"survey":"cloth.csv","label":"A1"`) || !strings.Contains(list, `"name":"tablet","you":false`) || !strings.Contains(list, `"readings":1`) {
		t.Errorf("devices %s", list)
	}
}

// The key of a certificate is for nobody else to read, even in a folder that all may.
func TestCertificateIsPrivate(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("modes are of Unix")
	}
	folder := t.TempDir()
	if err := os.Chmod(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(folder, "certificate.pem")
	if _, _, err := Certificate(file, nil); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm()&0o077 != 0 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
}
