package page_test

import (
	"strings"
	"testing"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// The screen stays on from the first tap: over https by the browser's lock, over plain http
// in a network by a muted video behind the page, and where neither works the menu says what
// to do.
func TestBrowserStaysAwake(t *testing.T) {
	t.Parallel()
	tab := browsertest.Open(t, 390, 844)
	d := newDevice(t, tab)
	for _, c := range []struct {
		name, says      string
		secure, blocked bool
	}{
		{name: "https", secure: true, says: "yes"},
		{name: "http", says: "yes"},
		{name: "http, no video", blocked: true, says: "set the display timer"},
	} {
		options := page.Options{Secure: c.secure}
		links := make(chan string, 10)
		if !c.secure {
			options = page.Options{Shared: true, Hosts: []string{"stage.test"}, Invite: func(link string) { links <- link }}
		}
		s := serve(t, options)
		s.write("cloth.csv", sheet())
		home := s.url()
		if c.blocked {
			d.before(`HTMLMediaElement.prototype.play = () => Promise.reject(new DOMException("no", "NotAllowedError"));`)
		}
		if !c.secure {
			link := <-links
			d.open(link)
			d.button("Let this device in")
			d.shows(".surveys", "green cloth")
			home, _, _ = strings.Cut(link, "join")
		}
		d.open(home + "#/s/cloth.csv")
		d.at("A1")
		if got := eval[bool](d, `isSecureContext`); got != c.secure {
			t.Fatalf("%s: a secure context: %v", c.name, got)
		}
		d.more()
		d.shows("#awake", "Screen stays on: "+c.says)
		browsertest.Screenshot(t, tab, "menu-awake")
		d.button("Close")
		if video := eval[bool](d, `(() => { const v = document.querySelector("video.awake"); return Boolean(v && v.muted && !v.paused && v.getBoundingClientRect().width >= innerWidth && getComputedStyle(v).zIndex === "-1"); })()`); video != (!c.secure && !c.blocked) {
			t.Errorf("%s: a video: %v", c.name, video)
		}
		d.typed("701")
		d.disk(s, "A1", "", "701")
	}
}
