package page_test

import (
	"context"
	"crypto/tls"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"maps"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// stage is a folder that is served, and can go away and come back at the same
// address.
type stage struct {
	t       testing.TB
	folder  string
	address string
	options page.Options
	stop    func()
}

func serve(t testing.TB, options page.Options) *stage {
	t.Helper()
	s := &stage{t: t, folder: t.TempDir(), address: "127.0.0.1:0", options: options}
	s.start()
	t.Cleanup(func() { s.stop() })
	return s
}

func (s *stage) start() {
	s.t.Helper()
	listener, err := net.Listen("tcp", s.address)
	if err != nil {
		s.t.Fatal(err)
	}
	s.address = listener.Addr().String()
	if s.options.Secure {
		pair, _, err := page.Certificate(filepath.Join(s.t.TempDir(), "certificate.pem"), s.options.Hosts)
		if err != nil {
			s.t.Fatal(err)
		}
		listener = tls.NewListener(listener, &tls.Config{Certificates: []tls.Certificate{pair}})
	}
	root, err := os.OpenRoot(s.folder)
	if err != nil {
		s.t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- page.Serve(ctx, listener, root, s.options) }()
	s.stop = sync.OnceFunc(func() {
		cancel()
		if err := <-done; err != nil {
			s.t.Errorf("serving ended with %v", err)
		}
		root.Close()
	})
}

func (s *stage) url() string {
	if s.options.Secure {
		return "https://" + s.address + "/"
	}
	return "http://" + s.address + "/"
}

// blank writes a survey of the puppet theatre's cloth to be filled in.
func (s *stage) blank(name string, columns, rows int, more string) {
	s.t.Helper()
	text := "# surface: green cloth\n# for: screen\n# width: 4.8\n# height: 2.4\n" + fmt.Sprintf("# grid: %dx%d\n", columns, rows) + more
	s.write(name, text)
}

func (s *stage) write(name, text string) {
	s.t.Helper()
	if err := os.WriteFile(filepath.Join(s.folder, name), []byte(text), 0o644); err != nil {
		s.t.Fatal(err)
	}
}

// rows reads a file of the folder as a spreadsheet does: a map a row, by the
// header's words.
func (s *stage) rows(name string) []map[string]string {
	s.t.Helper()
	file, err := os.Open(filepath.Join(s.folder, name))
	if err != nil {
		s.t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment, reader.FieldsPerRecord = '#', -1
	records, err := reader.ReadAll()
	if err != nil {
		s.t.Fatal(err)
	}
	var out []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, cell := range record {
			row[records[0][i]] = cell
		}
		out = append(out, row)
	}
	return out
}

// levels are the first readings of a column by label, for one lamp.
func (s *stage) levels(name, column, lamp string) map[string]string {
	out := map[string]string{}
	for _, row := range s.rows(name) {
		if row["lamp"] == lamp && row[column] != "" && out[row["label"]] == "" {
			out[row["label"]] = row[column]
		}
	}
	return out
}

// device is a tab with somebody before it. What goes wrong in it is noted.
type device struct {
	t        testing.TB
	tab      context.Context
	mu       sync.Mutex
	troubles []string
	hosts    map[string]bool
	asked    map[network.RequestID]bool // and not answered yet
	presses  int                        // keys pressed or taps made
}

// newDevice watches a tab.
func newDevice(t testing.TB, tab context.Context) *device {
	t.Helper()
	d := &device{t: t, tab: tab, hosts: map[string]bool{}, asked: map[network.RequestID]bool{}}
	err := chromedp.Listen(tab, func(event any) {
		d.mu.Lock()
		defer d.mu.Unlock()
		switch e := event.(type) {
		case *network.EventRequestWillBeSent:
			if u, err := url.Parse(e.Request.URL); err == nil {
				d.hosts[u.Host] = true
			}
			if e.Type != network.ResourceTypeEventSource {
				d.asked[e.RequestID] = true
			}
		case *network.EventLoadingFinished:
			delete(d.asked, e.RequestID)
		case *network.EventLoadingFailed:
			delete(d.asked, e.RequestID)
		case *runtime.EventExecutionContextsCleared: // another page, which waits for nothing of the last one's
			clear(d.asked)
		case *runtime.EventExceptionThrown:
			d.troubles = append(d.troubles, "exception: "+e.ExceptionDetails.Text+fmt.Sprint(e.ExceptionDetails.Exception))
		case *runtime.EventConsoleAPICalled:
			if e.Type == "error" || e.Type == "warning" {
				d.troubles = append(d.troubles, "console: "+string(e.Type)+fmt.Sprint(e.Args))
			}
		case *log.EventEntryAdded:
			if e.Entry.Level == "error" || e.Entry.Level == "warning" {
				d.troubles = append(d.troubles, "log: "+e.Entry.Text+" "+e.Entry.URL)
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	enable := chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, network.Enable, network.EnableParams{})
		return err
	})
	browsertest.Do(t, tab, enable)
	return d
}

// clean fails where the page complained or asked another host for something.
// expected are parts of complaints that the test itself provokes.
func (d *device) clean(host string, expected ...string) {
	d.t.Helper()
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, trouble := range d.troubles {
		if !slices.ContainsFunc(expected, func(part string) bool { return strings.Contains(trouble, part) }) {
			d.t.Errorf("the page complains: %s", trouble)
		}
	}
	if others := slices.DeleteFunc(slices.Sorted(maps.Keys(d.hosts)), func(h string) bool { return h == host || h == "" }); len(others) > 0 {
		d.t.Errorf("the page asks other hosts: %v", others)
	}
}

func (d *device) open(address string) {
	d.t.Helper()
	browsertest.Do(d.t, d.tab, chromedp.Navigate(address))
}

// turn shows another view of the page that is in the tab, as its links do.
func (d *device) turn(hash string) {
	d.t.Helper()
	script := `new Promise((there) => {
		if (location.hash === ` + quote(hash) + `) return there(true);
		addEventListener("hashchange", () => there(true), {once: true}); // after the page's own
		location.hash = ` + quote(hash) + `;
	})`
	browsertest.Get(d.t, d.tab, chromedp.Evaluate[bool](script, chromedp.EvalAwaitPromise))
}

// eval gives the value of a script.
func eval[T any](d *device, script string) T {
	d.t.Helper()
	return browsertest.Get(d.t, d.tab, chromedp.Evaluate[T](script))
}

// until asks again and again whether something holds, and fails with what the page shows
// where it never does. Its limit is for a machine that is slow and shared.
func (d *device) until(holds func() bool, otherwise func() string) {
	d.t.Helper()
	deadline := time.Now().Add(45 * time.Second)
	for pause := 4 * time.Millisecond; time.Now().Before(deadline); pause = min(pause*3/2, 60*time.Millisecond) {
		if holds() {
			return
		}
		time.Sleep(pause)
	}
	d.t.Fatalf("%s\nstatus: %s\npage: %s\ntroubles: %v", otherwise(), eval[string](d, `document.getElementById("status")?.textContent ?? ""`),
		eval[string](d, `document.body.innerText.slice(0, 1500)`), d.troubles)
}

// wait waits until a script's value is true.
func (d *device) wait(script string) {
	d.t.Helper()
	d.until(func() bool {
		ok, err := chromedp.Run(d.tab, chromedp.Evaluate[bool]("Boolean("+script+")"))
		return err == nil && ok
	}, func() string { return "never true: " + script })
}

// shows waits until an element's text has a part.
func (d *device) shows(selector, part string) {
	d.t.Helper()
	d.wait(fmt.Sprintf(`[...document.querySelectorAll(%s)].some(n => n.checkVisibility() && n.textContent.includes(%s))`, quote(selector), quote(part)))
}

// at waits until a place is the one to read.
func (d *device) at(label string) {
	d.t.Helper()
	d.wait(fmt.Sprintf(`document.getElementById("place")?.textContent === %s`, quote(label)))
}

// saved waits until the program has everything.
func (d *device) saved() {
	d.t.Helper()
	d.wait(`document.getElementById("status").textContent.startsWith("all saved")`)
}

func quote(text string) string {
	b, _ := json.Marshal(text)
	return string(b)
}

// more opens the menu.
func (d *device) more() {
	d.t.Helper()
	d.press(`document.getElementById("menu-open")`)
}

// point finds where to press an element as soon as it is there and nothing covers it, and
// fails where that never comes.
func (d *device) point(find string) (x, y float64) {
	d.t.Helper()
	look := `(() => {
		const n = ` + find + `;
		if (!n) return [];
		n.scrollIntoView({block: "nearest", inline: "nearest"});
		const b = n.getBoundingClientRect(), x = b.left + b.width / 2, y = b.top + b.height / 2;
		const hit = document.elementFromPoint(x, y);
		return hit && (n === hit || n.contains(hit)) ? [x, y] : [];
	})()`
	var where []float64
	d.until(func() bool { where = eval[[]float64](d, look); return len(where) == 2 },
		func() string { return "cannot press " + find })
	return where[0], where[1]
}

// press presses elements that a script finds with a real pointer.
func (d *device) press(find string) {
	d.t.Helper()
	x, y := d.point(find)
	browsertest.Do(d.t, d.tab, chromedp.MouseClickXY(x, y))
	d.presses++
}

// quiet waits until the page has the answers to all that it asked, so that nothing
// moves from under the pointer.
func (d *device) quiet() {
	d.t.Helper()
	d.until(func() bool {
		d.mu.Lock()
		defer d.mu.Unlock()
		return len(d.asked) == 0
	}, func() string { return fmt.Sprintf("never answered: %v", d.asked) })
}

// ready waits until what came up in the keypad's place takes taps.
func (d *device) ready() {
	d.t.Helper()
	d.wait(`!document.querySelector(".keys").inert`)
}

// button presses a button or link by its text.
func (d *device) button(text string) {
	d.t.Helper()
	d.quiet()
	d.press(fmt.Sprintf(`[...document.querySelectorAll("button, a, summary, .choice label")].find(n => n.checkVisibility() && !n.closest("[inert]") && [n, n.firstChild].some(t => t?.textContent.trim() === %s))`, quote(text)))
}

// pad presses keys of the keypad.
func (d *device) pad(keys ...string) {
	d.t.Helper()
	for _, key := range keys {
		if key == "Next" {
			d.press(`document.querySelector(".pad .next")`)
			continue
		}
		d.press(fmt.Sprintf(`[...document.querySelectorAll(".pad button")].find(n => n.checkVisibility() && n.textContent === %s)`, quote(key)))
	}
}

// typed presses the keypad for a level and goes on.
func (d *device) typed(level string) {
	d.t.Helper()
	for _, r := range level {
		d.pad(string(r))
	}
	d.pad("Next")
}

// keys presses keys of a keyboard. A key that the page takes for itself types no
// character, as in life, which takes key and character in one event.
func (d *device) keys(keys string, modifiers ...chromedp.Modifier) {
	d.t.Helper()
	for _, r := range keys {
		d.presses++
		press := chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
			events := kb.Encode(r)
			down, up := events[0], events[len(events)-1]
			if len(events) == 3 && len(modifiers) == 0 {
				down.Text = events[1].Text
			}
			for _, m := range modifiers {
				down.Modifiers |= int64(m)
			}
			for _, e := range []*input.DispatchKeyEventParams{down, up} {
				if _, err := cdp.Call(ctx, tab, input.DispatchKeyEvent, *e); err != nil {
					return err
				}
			}
			return nil
		})
		browsertest.Do(d.t, d.tab, press)
	}
}

// place is the label that is next.
func (d *device) place() string {
	return eval[string](d, `document.getElementById("place").textContent`)
}
