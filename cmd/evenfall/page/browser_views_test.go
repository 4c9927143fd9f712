package page_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/demo"
	"evenfall/cmd/evenfall/page"
)

// grown is a survey of a grid as the page itself writes it, with readings.
func grown(columns, rows int, header string, cell func(label string) string) string {
	var b strings.Builder
	b.WriteString(header)
	for r := range rows {
		for c := range columns {
			label := fmt.Sprintf("%c%d", 'A'+r, c+1)
			b.WriteString(label + "," + cell(label) + "\n")
		}
	}
	return b.String()
}

const clothNotes = "# surface: green cloth of the puppet theatre\n# for: screen\n# width: 4.8\n# height: 2.4\n# reference: C5\n"

// demoFiles are computed once for all tests.
var demoFiles = sync.OnceValues(demo.Files)

// demoFile is a file of the demo.
func demoFile(name string) string {
	files, err := demoFiles()
	if err != nil {
		panic(err)
	}
	return string(files[slices.IndexFunc(files, func(f demo.File) bool { return f.Name == name })].Content)
}

// theatre fills a folder with what people have in theirs.
func theatre(s *stage) {
	s.t.Helper()
	s.write("ratio.csv", demoFile("ratio.csv"))
	s.write("day2.csv", grown(9, 5, "# date: 2026-03-05\n"+clothNotes+"label,E (lx)\n", func(label string) string {
		level, _ := strconv.Atoi(cloth(label))
		return strconv.Itoa(level * 3 / 4)
	}))
	minute := 0
	s.write("cloth.csv", grown(9, 5, "# date: 2026-03-04\n"+clothNotes+"# area: 0.6,0.3,4.2,2.1\nlabel,time,E (lx)\n", func(label string) string {
		minute++
		at := fmt.Sprintf("2026-03-04 10:%02d:00", minute)
		switch {
		case label == "D3":
			return at + ",77" // typed in footcandles
		case label[0] == 'E' && label[1] > '5':
			return ","
		}
		return at + "," + cloth(label)
	}))
	s.write("color.csv", grown(3, 3, "# surface: painted backdrop\n# for: backdrop\n# width: 3\n# height: 2\nlabel,E (lx),CCT (K),Duv,lamp\n", func(label string) string {
		if label == "C3" {
			return ",,,"
		}
		return cloth(label) + ",5" + string(label[1]) + "00,0.00" + string(label[0]-'A'+'1') + ",\n" + label + ",,,,cloth left\n" + label + ",,,,cloth right"
	}))
	s.write("flash.csv", grown(5, 3, "# surface: table with products\n# tolerance: 0.67 stop\n# width: 1.5\n# height: 0.9\nlabel,f\n", func(label string) string {
		if label == "A1" || label == "B3" {
			return "5.6 7/10"
		}
		return ""
	}))
	s.write("grid.csv", "lx,0.5,1.5,2.5\n0.5,700,710,720\n1.5,705,715,730\n")
	s.write("old.csv", "label,E (lx)\nA1,seven\n")
	s.write("nine.csv", nineRead())
}

// viewer is a tab on a folder of the puppet theatre.
type viewer struct {
	*device
	s *stage
}

func newViewer(t *testing.T) viewer {
	t.Helper()
	s := serve(t, page.Options{})
	theatre(s)
	return viewer{newDevice(t, browsertest.Open(t, 390, 844)), s}
}

// at opens an address of the page, without loading it anew where the tab has it.
func (v viewer) at(route string) {
	v.t.Helper()
	if strings.HasPrefix(route, "#") && eval[bool](v.device, `location.pathname === "/"`) {
		v.turn(route)
		return
	}
	v.open(v.s.url() + route)
}

// cloth opens the cloth, whose place D3 is asked about.
func (v viewer) cloth() {
	v.t.Helper()
	v.at("#/s/cloth.csv")
	v.shows(".open", "D3")
}

// seen is a view and how one comes to it.
type seen struct {
	name string
	open func(viewer)
}

// views stand in groups, each seen in one tab from view to view, as people do: a page that
// is not loaded anew is in the state in which the view before has left it.
var views = map[string][]seen{
	"shown": {
		{"folder", func(v viewer) { v.at("#/"); v.shows(".problems", "old.csv") }},
		{"new", func(v viewer) { v.at("#/new"); v.wait(`document.querySelectorAll(".kinds input").length > 3`) }},
		{"map", func(v viewer) { v.at("#/s/cloth.csv/map"); v.shows(".result .verdict", "UNSURE") }},
		{"pictures", func(v viewer) {
			v.button("Maps as pictures")
			v.wait(`document.querySelector("img.picture").naturalWidth > 0`)
		}},
		{"finished", func(v viewer) { v.at("#/s/nine.csv"); v.shows(".settled", "9 of 9 places read"); v.ready() }},
		{"closed", func(v viewer) { v.at("#/s/grid.csv/map"); v.shows(".result .verdict", "apart") }},
		{"closed-entry", func(v viewer) { v.at("#/s/grid.csv"); v.shows(".why", "Not to be filled in here") }},
		{"match", func(v viewer) { v.at("#/match"); v.shows("caption", "Place by place") }},
		{"missing", func(v viewer) { v.at("#/s/nothing.csv"); v.shows("main", "no survey") }},
		{"marks-new", func(v viewer) { v.at("#/marks"); v.wait(`document.getElementById("marks-list")`) }},
		{"marks-result", func(v viewer) { v.at("#/s/ratio.csv/map"); v.shows("caption", "The marks") }},
		{"marks", func(v viewer) {
			v.at("#/s/ratio.csv")
			v.shows(".verdict", "FAIL")
			v.press(`document.querySelector(".matrix button")`)
		}},
	},
	"entered": {
		{"menu", func(v viewer) { v.cloth(); v.more() }},
		{"keys", func(v viewer) { v.cloth(); v.keys("?"); v.shows("dialog dd", "undo") }}, // letters act while nothing is typed
		{"paste", func(v viewer) { v.cloth(); v.keys("v"); v.keys("640\r655\r661") }},
		{"question", func(v viewer) {
			v.cloth()
			v.press(`document.querySelector(".open .notice")`)
			v.shows(".answers", "It was 77 fc")
			v.ready()
		}},
		{"color", func(v viewer) { v.at("#/s/color.csv"); v.keypad(); v.pad("8", "0", "0", "40", "+", "1", "5") }},
		{"flash", func(v viewer) { v.at("#/s/flash.csv"); v.keypad(); v.pad("5.6") }},
		{"refused", func(v viewer) { v.pad("⌫"); v.keys("fog\r"); v.shows(".refused", "Not accepted") }},
		{"caller", func(v viewer) { v.cloth(); v.keys("b"); v.keys("671\r"); v.saved() }},
		{"entry", func(v viewer) { v.keys("b"); v.cloth(); v.jump("E7"); v.pad("7", "4") }},
	},
	"led": {
		{"trim", func(v viewer) {
			v.s.write("uneven.csv", uneven())
			v.at("#/s/uneven.csv/map")
			v.shows(".verdict", "FAIL")
			v.button("Do it, and watch")
			v.device.at("B3")
			v.typed("1050")
			v.shows(".bar", "over its goal")
		}},
		{"morning", func(v viewer) {
			for _, name := range []string{"cloth-lamps.csv", "lamps.csv", "setup.csv"} {
				v.s.write(name, demoFile(name))
			}
			v.at("#/")
			v.button("Morning reset")
			v.lit("cloth left", "B2")
			v.typed("612")
			v.shows(".verdict", "GOOD")
		}},
		{"dials-new", func(v viewer) { v.at("#/dials"); v.wait(`document.querySelector("[name=lamp]")`) }},
		{"dials", func(v viewer) {
			v.s.write("dimmers.csv", demoFile("dimmers.csv"))
			v.at("#/s/dimmers.csv")
			v.shows(".verdict", "cloth right")
			v.press(`document.querySelector(".matrix button")`)
			v.pad("2", "3", "same")
			v.button("Flickers")
		}},
		{"first", func(v viewer) {
			files, _ := filepath.Glob(filepath.Join(v.s.folder, "*"))
			for _, name := range files {
				os.RemoveAll(name)
			}
			v.at("#/")
			v.shows("h2", "What do you want to light?")
		}},
	},
}

// Every view at three sizes and in each theme: nothing that axe-core objects to,
// nothing wider than the screen, no target smaller than a thumb needs.
func TestBrowserViews(t *testing.T) {
	t.Parallel()
	for group, views := range views {
		t.Run(group, func(t *testing.T) {
			t.Parallel()
			v := newViewer(t)
			for _, view := range views {
				t.Run(view.name, func(t *testing.T) {
					v.device.t, v.s.t = t, t
					browsertest.Do(t, v.tab, chromedp.EmulateViewport(390, 844))
					view.open(v)
					v.looks(view.name)
					v.keys(kb.Escape) // what is open over the view
				})
			}
			v.device.t, v.s.t = t, t
			v.clean(v.s.address, "404 (Not Found)")
		})
	}
}

// keypad waits until there is one.
func (d *device) keypad() {
	d.t.Helper()
	d.wait(`document.querySelector(".pad button")`)
}

// looks holds what is in the tab to every size and theme.
func (v viewer) looks(name string) {
	t := v.t
	t.Helper()
	fits := func(where string) {
		t.Helper()
		if over := eval[int](v.device, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
			t.Errorf("%s: %d px wider than the screen: %s", where, over, eval[string](v.device, `[...document.querySelectorAll("body *")].filter(n => n.getBoundingClientRect().right > innerWidth + 0.5).map(n => n.outerHTML.slice(0, 90)).slice(0, 5).join("\n")`))
		}
		small := eval[string](v.device, smallTargets)
		for try := 0; small != "" && try < 100; try++ { // the map follows a new size with the next frame
			time.Sleep(50 * time.Millisecond)
			small = eval[string](v.device, smallTargets)
		}
		if small != "" {
			t.Errorf("%s: targets under 44 px: %s", where, small)
		}
		browsertest.Screenshot(t, v.tab, name+"-"+where)
	}
	for _, theme := range browsertest.Themes() {
		eval[any](v.device, `document.documentElement.dataset.theme = "`+theme+`"; document.dispatchEvent(new Event("setting")); null`)
		for _, size := range [][2]int64{{320, 568}, {390, 844}, {768, 1024}, {1440, 900}} {
			width := size[0]
			if width != 320 && width != 1440 && !browsertest.Whole() {
				continue
			}
			browsertest.Do(t, v.tab, chromedp.EmulateViewport(width, size[1]))
			fits(fmt.Sprintf("%s-%d", theme, width))
			if width == 390 || width == 768 || width == 1440 && theme != "dark" || width == 320 && !browsertest.Whole() {
				continue // nothing there that axe has not seen
			}
			// Colors of the small screen are looked at in the other two themes.
			axe := browsertest.AxeColors
			switch {
			case theme == "night":
				if most := v.luminance(); most > mostAtNight {
					t.Errorf("night, %d px: mean luminance %.3f", width, most)
				}
			case theme == "dark" && width == 320:
				axe = browsertest.AxeButColors
			case theme == "dark":
				axe = browsertest.Axe
			}
			for _, finding := range axe(t, v.tab) {
				t.Errorf("%s, %d px: %v", theme, width, finding)
			}
		}
	}
	// Text twice as large, and a phone held across.
	browsertest.Do(t, v.tab, chromedp.EmulateViewport(740, 360))
	fits("across")
	browsertest.Do(t, v.tab, chromedp.EmulateViewport(360, 740))
	eval[any](v.device, `document.documentElement.style.fontSize = "200%"; null`)
	fits("large-text")
	eval[any](v.device, `document.documentElement.style.fontSize = ""; null`)
}

// smallTargets lists what is to be pressed and is smaller than 44 px. A link in a
// sentence is as high as its line, and a radio or check box has its label.
const smallTargets = `[...document.querySelectorAll("button, select, textarea, summary, a, .choice label, .asked.check label, .asked input, .keypad button")]
	.filter(n => n.checkVisibility() && !n.closest("[inert]") && n.type !== "checkbox")
	.map(n => [n, n.getBoundingClientRect()])
	.filter(([n, b]) => b.width > 0 && (b.width < 43.9 || b.height < 43.9))
	.map(([n, b]) => n.textContent.slice(0, 20) + " " + b.width.toFixed(0) + "x" + b.height.toFixed(0)).slice(0, 5).join(", ")`
