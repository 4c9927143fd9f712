package page_test

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	devtools "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// another opens a second device: a browser context of its own, with its own
// storage and cookies.
func another(t testing.TB, browser context.Context) context.Context {
	t.Helper()
	tab, closeTab := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	t.Cleanup(closeTab)
	browsertest.Do(t, tab, chromedp.EmulateViewport(768, 1024))
	return tab
}

// cut keeps a device's requests to some addresses from leaving it; "" lets it go on.
func (d *device) cut(addresses string) {
	d.t.Helper()
	browsertest.Do(d.t, d.tab, chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		params := network.SetBlockedURLsParams{}
		if addresses != "" {
			params.URLPatterns = []*network.BlockPattern{{URLPattern: "*://*:*" + addresses, Block: true}}
		}
		_, err := cdp.Call(ctx, tab, network.SetBlockedURLs, params)
		return err
	}))
}

// before runs a script in each page before the page's own.
func (d *device) before(script string) {
	d.t.Helper()
	browsertest.Do(d.t, d.tab, chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, devtools.AddScriptToEvaluateOnNewDocument, devtools.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return err
	}))
}

// cell waits until a place of the small grid shows a text.
func (d *device) cell(label, text string) {
	d.t.Helper()
	d.wait(fmt.Sprintf(`[...document.querySelectorAll(".places > *")].some(n => n.querySelector("b").textContent === %s && n.querySelector("span").textContent === %s)`, quote(label), quote(text)))
}

// Two devices see each other's entries, and share the walk out: neither is sent where the
// other is, and both may go there.
func TestBrowserTwoDevices(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	tab := browsertest.Open(t, 390, 844)
	phone, tablet := newDevice(t, tab), newDevice(t, another(t, tab))
	phone.open(s.url() + "#/s/cloth.csv")
	phone.at("A1")
	tablet.open(s.url() + "#/s/cloth.csv")
	tablet.at("A5")
	tablet.cell("A1", "held")
	phone.cell("A5", "held")
	phone.typed("700")
	phone.at("A9")
	tablet.cell("A1", "700")
	tablet.cell("A9", "held")
	tablet.typed("710")
	tablet.at("C9")
	phone.cell("A5", "710")
	phone.jump("C9")
	phone.shows(".why", "computer 2 is about to read it too")
	phone.typed("720")
	phone.at("C5")
	tablet.cell("C9", "720")
	tablet.open("about:blank")
	phone.cell("C9", "720")
	phone.more()
	phone.button("Devices")
	phone.shows(".devices", "computer (this device)")
	phone.shows(".devices", "holds C5; 2 readings")
	phone.shows(".devices", "holds nothing; 1 reading")
	phone.press(`document.querySelectorAll(".devices button")[0]`)
	phone.keys("ladder\r")
	phone.shows(".devices", "ladder (this device)")
	phone.button("Go on at C5")
	phone.at("C5")
	phone.button("Result")
	phone.shows(".verdict", "apart")
	phone.button("Read")
	phone.wait(`document.getElementById("place")`)
	phone.clean(s.address)
	tablet.clean(s.address)
}

// After the quick nine the page marks where the light runs steeply.
func TestBrowserHelpfulPlace(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	d := newDevice(t, browsertest.Open(t, 360, 740))
	d.open(s.url() + "#/s/cloth.csv")
	d.at("A1")
	for range 9 {
		// Three stops from camera left to right.
		d.typed(map[byte]string{'1': "200", '5': "560", '9': "1600"}[d.place()[1]])
	}
	d.saved()
	d.shows(".why", "9 of 45 read; ")
	place := eval[string](d, `document.querySelector(".places .helpful b").textContent`)
	d.shows(".why", place+" would help most")
	browsertest.Screenshot(t, d.tab, "helpful-dark-360")
	d.jump(place)
	d.clean(s.address)
}

// What is to be done is to read on where it would help most, once the quick nine are read;
// before that in the order of the walk, behind the reference where that alone is read.
func TestBrowserReadOnWhereItHelps(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	read := func(name string, labels map[string]string) {
		s.write(name, grown(9, 5, clothNotes+"label,time,E (lx)\n", func(label string) string {
			if level, ok := labels[label]; ok {
				return "2026-03-04 10:0" + label[1:] + ":00," + level
			}
			return ","
		}))
	}
	nine := map[string]string{}
	for _, row := range "ACE" { // a third of a stop darker on both sides
		nine[string(row)+"1"], nine[string(row)+"5"], nine[string(row)+"9"] = "600", "750", "600"
	}
	read("nine.csv", nine)
	read("reference.csv", map[string]string{"C5": "750"})
	d := newDevice(t, browsertest.Open(t, 360, 740))
	d.open(s.url() + "#/s/nine.csv")
	d.wait(`document.querySelector(".places .helpful b")`)
	place := eval[string](d, `document.querySelector(".places .helpful b").textContent`)
	d.turn("#/s/nine.csv/map")
	d.shows(".ask .todo", "Read on: 36 places to go")
	d.shows(".ask .todo + .why", place+", ")
	d.turn("#/s/reference.csv/map")
	d.shows(".ask .todo", "Read on: 44 places to go")
	d.shows(".ask .todo + .why", "C1, ")
	d.clean(s.address)
}

// Somebody saves the file in a spreadsheet meanwhile: the page shows what is there
// now and says so until it is seen.
func TestBrowserFileChangedOutside(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url() + "#/s/cloth.csv")
	d.at("A1")
	d.typed("701")
	d.saved()
	s.write("cloth.csv", strings.Replace(sheet(), "A2,,,,\n", "A2,,666,,\n", 1))
	d.shows(".notices", "cloth.csv")
	d.cell("A2", "666")
	d.cell("A1", "·")
	browsertest.Screenshot(t, d.tab, "notice-dark-390")
	for _, finding := range browsertest.Axe(t, d.tab) {
		t.Error(finding)
	}
	d.button("Seen")
	d.wait(`!document.querySelector(".notices").textContent`)
	d.clean(s.address)
}

// The program goes away for a while: readings wait, in words, and are sent when it
// is back at the same address.
func TestBrowserOutage(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url() + "#/s/cloth.csv")
	d.at("A1")
	d.typed("701")
	d.saved()
	s.stop()
	for _, level := range []string{"702", "703", "704"} {
		d.typed(level)
	}
	d.shows("#status", "3 waiting: no answer since")
	if status := eval[string](d, `document.getElementById("status").textContent`); !regexp.MustCompile(`^3 waiting: no answer since \d\d:\d\d$`).MatchString(status) {
		t.Errorf("the status is %q", status)
	}
	if next := d.place(); next != "C5" {
		t.Errorf("the walk is at %s, expected C5 as with the program there", next)
	}
	browsertest.Screenshot(t, d.tab, "outage-dark-390")
	for _, finding := range browsertest.Axe(t, d.tab) {
		t.Error(finding)
	}
	// Undo of what was tried but not answered waits too, behind it.
	d.button("Undo")
	d.shows("#status", "4 waiting")
	s.start()
	d.saved()
	for label, want := range map[string]string{"A1": "701", "A5": "702", "A9": "703", "C9": ""} {
		if got := strings.Join(s.readings("cloth.csv", label, ""), " "); got != want {
			t.Errorf("%s: %q on the disk, expected %q", label, got, want)
		}
	}
	d.clean(s.address, "ERR_CONNECTION", "ERR_INCOMPLETE_CHUNKED_ENCODING", "ERR_EMPTY_RESPONSE")
}

// A reload loses nothing: neither when the program is back but has not been sent
// the readings yet, nor while it is away and the page itself cannot come back.
func TestBrowserReload(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url() + "#/s/cloth.csv")
	d.at("A1")
	s.stop()
	d.typed("701")
	d.typed("702")
	d.shows("#status", "2 waiting")
	d.cut("/api/surveys/:name/entries")
	s.start()
	browsertest.Do(t, d.tab, chromedp.Reload())
	d.at("A9")
	d.cell("A5", "702")
	d.shows("#status", "2 waiting")
	if got := s.readings("cloth.csv", "A1", ""); len(got) > 0 {
		t.Fatalf("A1 was sent before it could be: %q", got)
	}
	d.cut("")
	d.disk(s, "A5", "", "702")
	d.disk(s, "A1", "", "701")

	s.stop()
	d.typed("703")
	d.shows("#status", "1 waiting")
	if _, err := chromedp.Run(d.tab, chromedp.Reload()); err == nil {
		t.Fatal("the page came back without the program")
	}
	s.start()
	d.open(s.url() + "#/s/cloth.csv")
	d.disk(s, "A9", "", "703")
	d.at("C9")
	// Who looked at a read place goes on with the walk: nothing is replaced by mistake.
	d.jump("A5")
	d.shows(".pad .next", "Replace 702")
	d.saved()
	browsertest.Do(t, d.tab, chromedp.Reload())
	d.at("C9")
	d.shows(".pad .next b", "Next")
	d.clean(s.address, "ERR_CONNECTION", "ERR_INCOMPLETE_CHUNKED_ENCODING", "ERR_BLOCKED_BY_CLIENT", "ERR_EMPTY_RESPONSE")
}

// Two tabs of one browser share its storage: none sends what is the other's, and
// none loses it, not even when a tab is closed with readings waiting.
func TestBrowserTwoTabs(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	tab := browsertest.Open(t, 390, 844)
	first := newDevice(t, tab)
	second := newDevice(t, browsertest.Tab(t, tab, 390, 844))
	sent := map[string][]string{} // by entry: the tabs that sent it
	var mu sync.Mutex
	for name, d := range map[string]*device{"first": first, "second": second} {
		err := chromedp.Listen(d.tab, func(event any) {
			e, ok := event.(*network.EventRequestWillBeSent)
			if !ok || !strings.HasSuffix(e.Request.URL, "/entries") {
				return
			}
			mu.Lock()
			defer mu.Unlock()
			for _, id := range entryIDs(e.Request) {
				if list := sent[id]; len(list) == 0 || list[len(list)-1] != name {
					sent[id] = append(list, name)
				}
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		d.open(s.url() + "#/s/cloth.csv")
		d.wait(`document.getElementById("place")`)
	}
	s.stop()
	first.typed("701")
	second.jump("E9")
	second.typed("908")
	first.typed("702")
	first.shows("#status", "2 waiting")
	first.shows("#status", "1 in another tab")
	second.shows("#status", "2 in another tab")
	s.start()
	first.saved()
	second.saved()
	for label, want := range map[string]string{"A1": "701", "A5": "702", "E9": "908"} {
		if got := strings.Join(s.readings("cloth.csv", label, ""), " "); got != want {
			t.Errorf("%s: %q on the disk, expected %q", label, got, want)
		}
	}
	mu.Lock()
	for id, tabs := range sent {
		if len(tabs) != 1 {
			t.Errorf("entry %s was sent by the tabs %v", id, tabs)
		}
	}
	if len(sent) != 3 {
		t.Errorf("%d entries were sent, expected 3", len(sent))
	}
	mu.Unlock()

	s.stop()
	second.jump("D9")
	second.typed("909")
	second.shows("#status", "1 waiting")
	second.open("about:blank") // leaves
	s.start()
	first.wait(`document.getElementById("status").textContent === "all saved"`)
	if got := strings.Join(s.readings("cloth.csv", "D9", ""), " "); got != "909" {
		t.Errorf("D9: %q on the disk, expected what the tab that left had", got)
	}
	first.clean(s.address, "ERR_CONNECTION", "ERR_INCOMPLETE_CHUNKED_ENCODING", "ERR_EMPTY_RESPONSE")
	second.clean(s.address, "ERR_CONNECTION", "ERR_INCOMPLETE_CHUNKED_ENCODING", "ERR_EMPTY_RESPONSE")
}

// entryIDs are the entries of a request.
func entryIDs(r *network.Request) (ids []string) {
	for _, part := range r.PostDataEntries {
		var call struct{ Entries []struct{ ID string } }
		if json.Unmarshal(part.Bytes, &call) == nil {
			for _, e := range call.Entries {
				ids = append(ids, e.ID)
			}
		}
	}
	return ids
}

// A browser that keeps nothing says so, and saves all the same.
func TestBrowserWithoutStorage(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.before(`Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };`)
	d.open(s.url() + "#/s/cloth.csv")
	d.shows("#status", "this browser keeps nothing: leave the page open")
	d.at("A1")
	s.stop()
	d.typed("701")
	d.shows("#status", "1 waiting: no answer since")
	s.start()
	d.disk(s, "A1", "", "701")
	d.clean(s.address, "ERR_CONNECTION", "ERR_INCOMPLETE_CHUNKED_ENCODING", "ERR_EMPTY_RESPONSE")
}

// A phone whose clock is an hour ahead stamps readings by the program's clock.
func TestBrowserClock(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.before(`const now = Date.now; Date.now = () => now() + 3600e3;`)
	d.open(s.url() + "#/s/cloth.csv")
	d.at("A1")
	d.typed("701")
	d.disk(s, "A1", "", "701")
	for _, row := range s.rows("cloth.csv") {
		if row["E (lx)"] == "" {
			continue
		}
		at, err := time.Parse(time.RFC3339, row["time"])
		if off := time.Since(at); err != nil || off < -5*time.Second || off > 30*time.Second {
			t.Errorf("the reading is stamped %s, %v ago (%v)", row["time"], off, err)
		}
	}
	d.clean(s.address)
}

// A phone on the network of the set knows the program by a name, over plain http:
// no secure context, so no locks, no clipboard and no random UUIDs.
func TestBrowserOnTheNetwork(t *testing.T) {
	t.Parallel()
	links := make(chan string, 10)
	s := serve(t, page.Options{Shared: true, Hosts: []string{"stage.test"}, Devices: filepath.Join(t.TempDir(), "devices.json"), Invite: func(address string) { links <- address }})
	s.write("cloth.csv", sheet())
	tab := browsertest.Open(t, 390, 844)
	d := newDevice(t, tab)
	link := <-links
	if !strings.HasPrefix(link, "http://stage.test:") {
		t.Fatalf("the link is %s", link)
	}
	home, _, _ := strings.Cut(link, "join")
	host := strings.TrimSuffix(strings.TrimPrefix(home, "http://"), "/")
	d.open(home)
	d.wait(`!document.getElementById("place") && !document.querySelector(".surveys li")`)
	d.open(link)
	d.shows("h1", "Let this device in?")
	browsertest.Screenshot(t, tab, "join-dark-390")
	for _, finding := range browsertest.Axe(t, tab) {
		t.Error(finding)
	}
	d.open(link) // looking uses nothing up
	d.press(`document.getElementById("name")`)
	d.keys(" one")
	d.button("Let this device in")
	d.shows(".surveys", "green cloth")
	if eval[bool](d, `isSecureContext || Boolean(crypto.randomUUID) || Boolean(navigator.locks)`) {
		t.Fatal("this is a secure context, so the test shows nothing")
	}
	if eval[string](d, `document.cookie`) != "" {
		t.Error("the cookie can be read by scripts")
	}
	d.press(`document.querySelector(".surveys a")`)
	d.at("A1")
	d.typed("701")
	d.disk(s, "A1", "", "701")
	d.keys("702" + kb.Enter)
	d.disk(s, "A5", "", "702")

	// It brings in the next device, which sees its readings.
	d.more()
	d.button("Devices")
	d.shows(".devices", "computer one (this device)")
	d.button("Let a device in")
	d.wait(`document.querySelector(".code svg")`)
	browsertest.Screenshot(t, tab, "invite-dark-390")
	for _, finding := range browsertest.Axe(t, tab) {
		t.Error(finding)
	}
	next := newDevice(t, another(t, tab))
	next.open(link) // used already
	next.shows("h1", "This link does not work")
	next.open(eval[string](d, `document.querySelector(".address").textContent`))
	next.button("Let this device in")
	next.shows(".surveys", "green cloth")
	next.press(`document.querySelector(".surveys a")`)
	next.cell("A5", "702")

	// A program that was started anew knows both; one that was removed is told so, and what
	// it typed waits.
	s.stop()
	d.press(`document.querySelector(".lines a.primary")`)
	s.start()
	next.saved()
	d.more()
	d.button("Devices")
	d.shows(".devices", "computer one (this device)")
	d.quiet()
	d.press(`document.querySelector("[aria-label='Remove computer']")`)
	d.press(`document.querySelector("dialog .primary")`)
	d.wait(`document.querySelectorAll(".devices li").length === 1`)
	next.typed("703")
	next.shows("#status", "1 waiting: This device")
	for len(links) > 1 {
		<-links
	}
	next.open(<-links)
	next.button("Let this device in")
	next.saved()
	if got := strings.Join(append(s.readings("cloth.csv", "A9", ""), s.readings("cloth.csv", "C9", "")...), " "); got != "703" {
		t.Errorf("%q on the disk, expected what waited", got)
	}
	d.clean(host, "ERR_", "403 (Forbidden)", "401 (Unauthorized)")
	next.clean(host, "ERR_", "403 (Forbidden)", "401 (Unauthorized)")
}
