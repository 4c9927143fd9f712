package page_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// The views of devices, of joining, of a conflict and the menu in three themes, at the
// sizes of phones, across, and of a desk: nothing wider than the screen, no target smaller
// than a thumb, nothing that axe-core objects to.
func TestBrowserViewsOfDevices(t *testing.T) {
	t.Parallel()
	links := make(chan string, 20)
	s := serve(t, page.Options{Shared: true, Hosts: []string{"localhost"}, Invite: func(link string) { links <- link }})
	s.write("cloth.csv", sheet())
	nine := nineRead("C3")
	s.write("nine.csv", nine[:len(nine)-len("C3,,,,\n")]+"C3,2026-03-04T10:05:00+01:00,770,,conflict\nC3,2026-03-04T10:05:03+01:00,912,also by tablet,conflict\n")
	tab := browsertest.Open(t, 390, 844)
	d := newDevice(t, tab)
	looked := func(name string) {
		t.Helper()
		for _, theme := range browsertest.Themes() {
			eval[any](d, `document.documentElement.dataset.theme = "`+theme+`"; null`)
			for _, size := range [][2]int64{{320, 568}, {390, 844}, {844, 390}, {1440, 900}} {
				browsertest.Do(t, tab, chromedp.EmulateViewport(size[0], size[1]))
				if over := eval[int](d, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
					t.Errorf("%s at %v: %d px wider than the screen", name, size, over)
				}
				d.wait(`"" === ` + smallTargets) // once the map has the cells of that size
				browsertest.Screenshot(t, tab, fmt.Sprintf("%s-%s-%d", name, theme, size[0]))
			}
			axe := browsertest.AxeColors
			if theme == "dark" {
				axe = browsertest.Axe
			}
			for _, finding := range axe(t, tab) {
				t.Errorf("%s, %s: %v", name, theme, finding)
			}
		}
		eval[any](d, `document.documentElement.dataset.theme = "dark"; null`)
		browsertest.Do(t, tab, chromedp.EmulateViewport(390, 844))
	}
	link := <-links
	home, _, _ := strings.Cut(link, "join")
	d.open(link)
	d.shows("h1", "Let this device in?")
	looked("join")
	d.open(link + "x")
	d.shows("h1", "This link does not work")
	looked("join-late")
	d.open(link)
	d.button("Let this device in")
	d.shows(".surveys", "cloth")
	tablet := newDevice(t, another(t, tab))
	tablet.open(<-links)
	tablet.press(`document.getElementById("name")`)
	tablet.keys(" of the second camera")
	tablet.button("Let this device in")
	tablet.shows(".surveys", "cloth")
	d.open(home + "#/s/cloth.csv")
	d.at("A1")
	tablet.open(home + "#/s/cloth.csv")
	tablet.at("A5")
	tablet.typed("701")
	d.cell("A5", "701")
	d.cell("A9", "held")
	d.more()
	d.shows("dialog", "Screen stays on")
	looked("more")
	d.button("Devices")
	d.shows(".devices", "computer of the second camera")
	d.shows(".devices", "1 reading; seen")
	looked("devices")
	d.button("Let a device in")
	d.wait(`document.querySelector(".code svg")`)
	looked("invite")
	d.open(home + "#/s/nine.csv")
	d.shows(".ask .why", "Two devices read it")
	looked("conflict")
	if eval[bool](d, `[...document.querySelectorAll(".open .notice")].some(n => n.checkVisibility())`) {
		t.Error("the question on the screen is announced once more beside it")
	}
	d.clean(strings.TrimSuffix(strings.TrimPrefix(home, "http://"), "/"), "403 (Forbidden)")
}
