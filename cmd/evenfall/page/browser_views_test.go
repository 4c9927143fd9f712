package page_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

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

// theatre fills a folder with what people have in theirs.
func theatre(s *stage) {
	s.t.Helper()
	files, err := demo.Files()
	if err != nil {
		s.t.Fatal(err)
	}
	for _, f := range files {
		if f.Name == "ratio.csv" {
			s.write(f.Name, string(f.Content))
		}
	}
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

// Every view at three sizes and in both themes: nothing that axe-core objects to,
// nothing wider than the screen, no target smaller than a thumb needs.
func TestBrowserViews(t *testing.T) {
	s := serve(t, page.Options{})
	theatre(s)
	tab := browsertest.Open(t, 360, 740)
	d := newDevice(t, tab)
	at := func(route string) func() {
		return func() {
			d.open("about:blank")
			d.open(s.url() + route)
		}
	}
	cloth := at("#/s/cloth.csv")
	views := []struct {
		name string
		open func()
		then func()
	}{
		{"folder", at(""), func() { d.shows(".problems", "old.csv") }},
		{"new", at("#/new"), func() { d.wait(`document.querySelector("#new-kind").options.length > 3`) }},
		{"entry", cloth, func() { d.shows(".open", "D3"); d.pad("7", "4") }},
		{"map", at("#/s/cloth.csv/map"), func() { d.shows(".result .verdict", "UNSURE") }},
		{"color", at("#/s/color.csv"), func() {
			d.wait(`document.querySelector(".pad button")`)
			d.pad("8", "0", "0", "40", "+", "1", "5")
		}},
		{"flash", at("#/s/flash.csv"), func() { d.wait(`document.querySelector(".pad button")`); d.pad("5.6") }},
		{"pictures", at("#/s/cloth.csv/map"), func() {
			d.shows(".result .verdict", "UNSURE")
			d.button("Maps as pictures")
			d.wait(`document.querySelector("img.picture").naturalWidth > 0`)
		}},
		{"question", cloth, func() {
			d.shows(".open", "D3")
			d.press(`document.querySelector(".open .notice")`)
			d.shows(".answers", "It was 77 fc")
		}},
		{"finished", at("#/s/nine.csv"), func() { d.shows(".settled", "9 of 9 places read") }},
		{"closed", at("#/s/grid.csv/map"), func() { d.shows(".result .verdict", "apart") }},
		{"closed-entry", at("#/s/grid.csv"), func() { d.shows(".why", "Not to be filled in here") }},
		{"refused", at("#/s/flash.csv"), func() {
			d.wait(`document.querySelector(".pad button")`)
			d.keys("fog\r")
			d.shows(".refused", "Not accepted")
		}},
		{"menu", cloth, func() { d.shows(".open", "D3"); d.more() }},
		{"keys", cloth, func() {
			d.shows(".open", "D3")
			d.keys("\x1b?") // letters act while nothing is typed, and digits of an earlier view are kept
			d.shows("dialog dd", "undo")
		}},
		{"paste", cloth, func() {
			d.shows(".open", "D3")
			d.keys("v")
			d.keys("640\r655\r661")
		}},
		{"caller", cloth, func() { d.shows(".open", "D3"); d.keys("b"); d.keys("671\r"); d.saved() }},
		{"marks", at("#/s/ratio.csv"), func() { d.shows(".verdict", "FAIL"); d.press(`document.querySelector(".matrix button")`) }},
		{"marks-result", at("#/s/ratio.csv/map"), func() { d.shows("caption", "The marks") }},
		{"marks-new", at("#/marks"), func() { d.wait(`document.getElementById("marks-list")`) }},
		{"match", at("#/match"), func() { d.shows("caption", "Place by place") }},
		{"missing", at("#/s/nothing.csv"), func() { d.shows("main", "no survey") }},
	}
	for _, view := range views {
		t.Run(view.name, func(t *testing.T) {
			outer := d.t
			d.t = t
			defer func() { d.t = outer }()
			browsertest.Do(t, tab, chromedp.EmulateViewport(360, 740))
			view.open()
			view.then()
			fits := func(name string) {
				t.Helper()
				if over := eval[int](d, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
					t.Errorf("%s %s: %d px wider than the screen: %s", view.name, name, over, eval[string](d, `[...document.querySelectorAll("body *")].filter(n => n.getBoundingClientRect().right > innerWidth + 0.5).map(n => n.outerHTML.slice(0, 90)).slice(0, 5).join("\n")`))
				}
				if small := eval[string](d, smallTargets); small != "" {
					t.Errorf("%s %s: targets under 44 px: %s", view.name, name, small)
				}
				browsertest.Screenshot(t, tab, view.name+"-"+name)
			}
			for _, theme := range []string{"dark", "light", "night"} {
				eval[any](d, `document.documentElement.dataset.theme = "`+theme+`"; null`)
				for _, width := range []int64{360, 768, 1440} {
					height := map[int64]int64{360: 740, 768: 1024, 1440: 900}[width]
					browsertest.Do(t, tab, chromedp.EmulateViewport(width, height))
					fits(fmt.Sprintf("%s-%d", theme, width))
					if width == 768 || width == 1440 && theme != "dark" {
						continue // nothing there that axe has not seen
					}
					axe := browsertest.Axe
					if theme != "dark" {
						axe = browsertest.AxeColors
					}
					for _, finding := range axe(t, tab) {
						t.Errorf("%s, %s, %d px: %v", view.name, theme, width, finding)
					}
				}
			}
			// Text twice as large, and a phone held across.
			browsertest.Do(t, tab, chromedp.EmulateViewport(740, 360))
			fits("across")
			browsertest.Do(t, tab, chromedp.EmulateViewport(360, 740))
			eval[any](d, `document.documentElement.style.fontSize = "200%"; null`)
			fits("large-text")
			eval[any](d, `localStorage.removeItem("evenfall.big"); document.documentElement.dataset.theme = "dark"; null`)
		})
	}
	d.clean(s.address, "404 (Not Found)")
}

// smallTargets lists what is to be pressed and is smaller than 44 px. A link in a
// sentence is as high as its line, and a radio or check box has its label.
const smallTargets = `[...document.querySelectorAll("button, select, textarea, summary, a, .choice label, .asked.check label, .asked input, .keypad button")]
	.filter(n => n.checkVisibility() && !n.closest("[inert]") && n.type !== "checkbox")
	.map(n => [n, n.getBoundingClientRect()])
	.filter(([n, b]) => b.width > 0 && (b.width < 43.9 || b.height < 43.9))
	.map(([n, b]) => n.textContent.slice(0, 20) + " " + b.width.toFixed(0) + "x" + b.height.toFixed(0)).slice(0, 5).join(", ")`
