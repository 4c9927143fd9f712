package page_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// drag draws from one part of an element to another, both as fractions of its
// width and height.
func (d *device) drag(find string, x0, y0, x1, y1 float64) {
	d.t.Helper()
	box := eval[[]float64](d, `(() => { const n = `+find+`; n.scrollIntoView({block: "center"}); const b = n.getBoundingClientRect(); return [b.left, b.top, b.width, b.height]; })()`)
	at := func(kind input.DispatchMouseEventType, x, y float64) chromedp.Action[chromedp.Void] {
		return chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
			_, err := cdp.Call(ctx, tab, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: box[0] + x*box[2], Y: box[1] + y*box[3], Button: "left", ClickCount: 1})
			return err
		})
	}
	browsertest.Do(d.t, d.tab, at("mousePressed", x0, y0), at("mouseMoved", (x0+x1)/2, (y0+y1)/2), at("mouseMoved", x1, y1), at("mouseReleased", x1, y1))
}

// fill puts a text into a field, as somebody who selects what is there and types.
func (d *device) fill(id, text string) {
	d.t.Helper()
	eval[any](d, `document.getElementById("`+id+`").select(); document.getElementById("`+id+`").focus(); null`)
	d.keys(text)
}

// All that the form can say ends in the notes and rows of the file, and what it
// cannot accept is shown next to it.
func TestBrowserNewSurvey(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	d := newDevice(t, browsertest.Open(t, 360, 740))
	d.open(s.url() + "#/new")
	d.wait(`document.querySelectorAll(".kinds input").length > 3`)
	d.button("Begin at A1")
	d.shows(".wrong", "name")
	d.fill("new-title", "cloth")
	d.fill("new-width", "4,8")
	d.fill("new-height", "6") // m: the upper rows need a ladder and come last
	d.button("3 × 3")
	d.shows(".begin", "Begin at C1")
	d.fill("new-height", "2.4")
	d.button("5 × 3")
	d.wait(`document.getElementById("new-columns").value === "5" && document.querySelectorAll(".surface .dot").length === 14`)
	d.button("footcandles")

	// The middle half across and the lower half of the surface, drawn.
	d.drag(`document.querySelector(".surface .cloth")`, 0.25, 0.5, 0.75, 1)
	d.wait(`document.getElementById("new-x0").value === "1.2" && document.getElementById("new-y1").value === "1.2"`)
	d.wait(`document.querySelector(".surface").getAttribute("aria-label").includes("in shot from 1.2, 0 to 3.6, 1.2 m")`)
	// A corner is dragged: the other three sides stay or move with it.
	d.drag(`document.querySelector(".surface .cloth")`, 0.25, 0.5, 0.125, 0.25)
	d.wait(`document.querySelector(".surface").getAttribute("aria-label").includes("in shot from 0.6, 0 to 3.6, 1.8 m")`)
	d.fill("new-x0", "1.2") // and corrected by number
	d.button("More")
	d.fill("new-tolerance", "±1/4 stop")
	d.fill("new-repeatability_percent", "1.5")
	d.fill("new-iso", "800")
	d.fill("new-shutter", "1/50")
	d.fill("new-lamps", "cloth left"+kb.Enter+"cloth right")
	d.button("Begin at A1")
	d.shows(".wrong", "There is a file cloth.csv already")
	d.fill("new-title", "green cloth")
	d.button("Begin at A1")
	d.at("A1")
	d.shows(".lamps", "cloth right alone")
	d.shows(".unit", "fc")
	text, err := os.ReadFile(filepath.Join(s.folder, "green-cloth.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, note := range []string{"# surface: green cloth\n", "# for: screen\n", "# width: 4.8 m\n", "# height: 2.4 m\n", "# grid: 5x3\n", "# area: 1.2,0,3.6,1.8\n",
		"# tolerance: ±1/4 stop\n", "# repeatability: 1.5 %\n", "# iso: 800\n", "# shutter: 1/50\n", "E (fc)", "\nA1,", ",cloth left,"} {
		if !strings.Contains(string(text), note) {
			t.Errorf("the file has no %q:\n%s", note, text)
		}
	}
	// In feet, for another day.
	d.turn("#/new")
	d.wait(`document.querySelectorAll(".kinds input").length > 3`)
	d.fill("new-title", "in feet")
	d.button("feet")
	d.fill("new-width", "15 ft 9 in")
	d.fill("new-height", "7'10\"")
	d.button("3 × 3")
	d.drag(`document.querySelector(".surface .cloth")`, 0, 0, 0.2, 0.2)
	d.wait(`document.getElementById("new-x0").value === "3.15" && document.getElementById("new-y1").value === "6.27"`)
	eval[any](d, `document.getElementById("new-date").value = "2026-03-07"; null`)
	browsertest.Screenshot(t, d.tab, "new-feet-360")
	d.button("Begin at A1")
	d.at("A1")
	for _, r := range "123456789" {
		d.typed("7" + string(r) + "0")
	}
	d.saved()
	text, err = os.ReadFile(filepath.Join(s.folder, "in-feet.csv"))
	if err != nil || !strings.Contains(string(text), "# date: 2026-03-07\n") || !strings.Contains(string(text), "# width: 15.75 ft\n") {
		t.Errorf("%v\n%s", err, text)
	}
	if r := s.judged("in-feet.csv"); r.Points != 9 || r.Area == nil || math.Abs(r.Survey.Area.X0-0.96) > 0.001 || math.Abs(r.Survey.Area.Y1-1.911) > 0.002 || math.Abs(r.Survey.Extent.Width()-4.8006) > 0.01 {
		t.Errorf("%d points, area %+v, extent %+v", r.Points, r.Survey.Area, r.Survey.Extent)
	}
	// The next one begins with the same size.
	d.open("about:blank")
	d.open(s.url() + "#/new")
	if got := eval[string](d, `document.getElementById("new-width").value + " " + document.getElementById("new-rows").value + " " + document.querySelector("[name=unit]:checked").value`); got != "15 ft 9 in 3 fc" {
		t.Errorf("the next form begins with %q", got)
	}
	d.clean(s.address, "400 (Bad Request)", "409 (Conflict)")
}

// Who wants to try gets invented readings, and nothing is written into the folder.
func TestBrowserTrial(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url())
	d.button("Try with invented readings")
	d.shows(".notice", "nothing of it is written into your folder")
	d.button("Seen")
	d.shows(".open", "D3") // a suspect among them
	at := d.place()
	d.typed("744")
	d.saved()
	d.wait(`document.getElementById("place").textContent !== ` + quote(at))
	d.button("Result")
	d.shows(".verdict", "FAIL")
	if files, err := os.ReadDir(s.folder); err != nil || len(files) > 0 {
		t.Errorf("the folder has %v, %v", files, err)
	}
	d.open("about:blank")
	d.open(s.url())
	d.shows(".note", "None yet")
	d.clean(s.address)
}
