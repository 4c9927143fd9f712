package page_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// Next, or the button in its place, is wholly on the screen in every state and at every
// size, and covered by nothing; one button a view is filled. The smallest screens and those
// of each layout are looked at, all of them where views are looked at whole.
func TestBrowserNextIsOnTheScreen(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	theatre(s)
	tab := browsertest.Open(t, 390, 844)
	d := newDevice(t, tab)
	d.open(s.url())
	d.shows(".problems", "old.csv")
	sizes := [][2]int64{{320, 568}, {568, 320}, {740, 360}, {768, 1024}, {1366, 768}}
	if browsertest.Whole() {
		sizes = append(sizes, [][2]int64{{360, 740}, {390, 844}, {844, 390}, {1024, 768}, {1440, 900}}...)
	}
	for _, state := range []struct {
		name, route, main string
		then              func()
	}{
		{"level", "cloth.csv", ".pad .next", func() { d.pad("7") }},
		{"color", "color.csv", ".pad .next", func() { d.pad("8", "0", "+", "1") }},
		{"flash", "flash.csv", ".pad .next", func() { d.pad("5.6") }},
		{"refused", "flash.csv", ".pad .next", func() { d.keys("fog\r"); d.shows(".refused", "Not accepted") }},
		{"question", "cloth.csv", ".answers .later", func() {
			d.pad("⌫")
			d.shows(".open", "D3")
			d.press(`document.querySelector(".open .notice")`)
			d.shows(".answers", "It was 77 fc")
			d.ready()
		}},
		{"finished", "nine.csv", ".keys .primary", func() { d.shows(".settled", "9 of 9"); d.ready() }},
		{"result", "nine.csv/map", ".keys .primary", func() { d.shows(".result .verdict", "PASS") }},
	} {
		browsertest.Do(t, tab, chromedp.EmulateViewport(390, 844))
		d.turn("#/s/" + state.route)
		d.wait(`document.querySelector(".keys")?.checkVisibility()`)
		state.then()
		for _, hand := range []string{"right", "left"} {
			eval[any](d, `document.documentElement.dataset.hand = "`+hand+`"; null`)
			if hand == "right" { // with text twice as large, what is asked and typed is in sight too
				browsertest.Do(t, tab, chromedp.EmulateViewport(360, 740))
				eval[any](d, `document.documentElement.style.fontSize = "200%"; null`)
				d.asks(state.name + " in large text")
				eval[any](d, `document.documentElement.style.fontSize = ""; null`)
			}
			for _, size := range sizes {
				browsertest.Do(t, tab, chromedp.EmulateViewport(size[0], size[1]))
				got := eval[string](d, `(() => {
					const n = [...document.querySelectorAll(`+quote(state.main)+`)].find(n => n.checkVisibility());
					if (!n) return "is not there";
					const b = n.getBoundingClientRect();
					if (b.left < 0 || b.top < 0 || b.right > innerWidth + 0.5 || b.bottom > innerHeight + 0.5) return "leaves the screen: " + [b.left, b.top, b.right, b.bottom].map(Math.round);
					const hit = document.elementFromPoint(b.left + b.width / 2, b.top + b.height / 2);
					if (!n.contains(hit)) return "is covered by " + hit?.outerHTML.slice(0, 80);
					const filled = [...document.querySelectorAll(".primary, .pad .next")].filter(n => n.checkVisibility()).length;
					return filled > 1 ? filled + " buttons are filled" : "";
				})()`)
				if got != "" {
					t.Errorf("%s, %d × %d, %s hand: %s %s", state.name, size[0], size[1], hand, state.main, got)
				}
				d.asks(fmt.Sprintf("%s, %d × %d, %s hand", state.name, size[0], size[1], hand))
			}
		}
	}
	d.clean(s.address)
}

// asks holds that the place asked for and what is typed for it are in sight: as much of the
// screen as the keys leave may hide the words beside them, but not these.
func (d *device) asks(where string) {
	d.t.Helper()
	got := eval[string](d, `[".ask .label", ".ask .box.at"].map((of) => {
		const n = [...document.querySelectorAll(of)].find((n) => n.checkVisibility() && n.textContent.trim());
		if (!n) return "";
		const b = n.getBoundingClientRect(), a = n.closest(".ask").getBoundingClientRect();
		if (b.top < a.top - 1 || b.bottom > a.bottom + 1 || b.right > innerWidth + 1) return of + " is cut off: " + [b.top, b.bottom, a.top, a.bottom].map(Math.round);
		const hit = document.elementFromPoint(b.left + Math.min(b.width, 40) / 2, b.bottom - b.height / 4);
		return n.contains(hit) ? "" : of + " is covered by " + hit?.outerHTML.slice(0, 60);
	}).filter(Boolean).join("; ")`)
	if got != "" {
		d.t.Errorf("%s: %s", where, got)
	}
}

// luminance is the mean relative luminance of what the screen shows (WCAG 2.2).
func (d *device) luminance() float64 {
	d.t.Helper()
	shot := browsertest.Get(d.t, d.tab, chromedp.CaptureScreenshot())
	picture, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		d.t.Fatal(err)
	}
	return meanLuminance(picture)
}

// clip is what the screen shows of an element that is not larger than it.
func (d *device) clip(selector string) *image.RGBA {
	d.t.Helper()
	box := eval[[4]float64](d, `(() => {
		const n = [...document.querySelectorAll(`+quote(selector)+`)].find((n) => n.checkVisibility() && n.getBoundingClientRect().width > 20);
		n.scrollIntoView({ block: "start" });
		const b = n.getBoundingClientRect();
		return [b.left, b.top, b.right, Math.min(b.bottom, document.querySelector("main").getBoundingClientRect().bottom, innerHeight)];
	})()`)
	picture, err := png.Decode(bytes.NewReader(browsertest.Get(d.t, d.tab, chromedp.CaptureScreenshot())))
	if err != nil {
		d.t.Fatal(err)
	}
	out := image.NewRGBA(image.Rect(0, 0, int(box[2])-int(box[0])-2, int(box[3])-int(box[1])-2))
	draw.Draw(out, out.Rect, picture, image.Pt(int(box[0])+1, int(box[1])+1), draw.Src)
	return out
}

// nightly holds a picture to what the night theme is: a black ground, on which its brightest
// parts stand out as text has to (4.5:1, WCAG 2.2, 1.4.3), and nothing that is not amber or
// red.
func nightly(t testing.TB, where string, picture *image.RGBA) {
	t.Helper()
	luminance := func(p []uint8) float64 { return 0.2126*linear[p[0]] + 0.7152*linear[p[1]] + 0.0722*linear[p[2]] }
	ground, most, blue := luminance(picture.Pix), 0.0, 0
	for p := picture.Pix; len(p) > 0; p = p[4:] {
		most = max(most, luminance(p))
		if int(p[2]) > int(p[0])+4 {
			blue++
		}
	}
	if ground > 0.004 || blue > 0 || (most+0.05)/(ground+0.05) < 4.5 {
		t.Errorf("%s: its ground has a luminance of %.4f, contrast is %.1f, %d of %d pixels are bluer than red", where, ground, (most+0.05)/(ground+0.05), blue, len(picture.Pix)/4)
	}
}

// linear is the light of a channel's value.
var linear = func() (table [256]float64) {
	for i := range table {
		c := float64(i) / 0xff
		table[i] = math.Pow((c+0.055)/1.055, 2.4)
		if c <= 0.04045 {
			table[i] = c / 12.92
		}
	}
	return table
}()

func meanLuminance(picture image.Image) float64 {
	pixels := image.NewRGBA(picture.Bounds())
	draw.Draw(pixels, pixels.Rect, picture, pixels.Rect.Min, draw.Src)
	sum := 0.0
	for p := pixels.Pix; len(p) > 0; p = p[4:] {
		sum += 0.2126*linear[p[0]] + 0.7152*linear[p[1]] + 0.0722*linear[p[2]]
	}
	return sum / float64(len(pixels.Pix)/4)
}

// mostAtNight is how much of the screen's white the night theme has in the mean, at most: it
// lights up nobody's face.
const mostAtNight = 0.03

// The pictures and the report of the night theme keep to it as far down as they go.
func TestBrowserNight(t *testing.T) {
	t.Parallel()
	for route, ready := range map[string]func(viewer){
		"#/s/color.csv/map": func(v viewer) {
			v.shows(".result .verdict", "apart")
			if !eval[bool](v.device, `document.querySelector("img.picture").checkVisibility()`) { // open from the size before
				v.button("Maps as pictures")
			}
			v.wait(`document.querySelector("img.picture").naturalWidth > 0`)
			nightly(v.t, "map", v.clip("img.picture"))
			// And so it is where the page was light when the map was opened.
			eval[any](v.device, `document.documentElement.dataset.theme = "light"; document.dispatchEvent(new Event("setting")); null`)
			v.wait(`document.querySelector("img.picture").src.includes("theme=light")`)
			eval[any](v.device, `document.documentElement.dataset.theme = "night"; document.dispatchEvent(new Event("setting")); null`)
			v.wait(`document.querySelector("img.picture").src.includes("theme=night") && document.querySelector("img.picture").complete`)
			nightly(v.t, "map in a theme chosen later", v.clip("img.picture"))
			eval[any](v.device, `document.querySelector(".stage").scrollTo(0, 9999); null`)
		},
		"report?theme=night&back=cloth.csv": func(v viewer) {
			v.wait(`document.readyState === "complete"`)
			if way := eval[string](v.device, `document.querySelector(".way-back").getAttribute("href")`); way != "/#/s/cloth.csv" {
				v.t.Errorf("the report's way back is %q", way)
			}
			nightly(v.t, "verdict", v.clip(".judged h2 b"))
			nightly(v.t, "picture", v.clip("figure svg"))
			eval[any](v.device, `scrollTo(0, 0); null`)
		},
	} {
		name := strings.NewReplacer("/", "_", "#", "", "?", "_").Replace(route)
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v := newViewer(t)
			v.before(`localStorage.setItem("evenfall.theme", "night")`)
			for _, size := range [][2]int64{{390, 844}, {1440, 900}} {
				if size[0] > 390 && !browsertest.Whole() {
					continue
				}
				browsertest.Do(t, v.tab, chromedp.EmulateViewport(size[0], size[1]))
				v.at(route)
				ready(v)
				if most := v.brightest(fmt.Sprintf("night-%d-%s", size[0], name)); most > mostAtNight {
					t.Errorf("at %d × %d: mean luminance %.3f", size[0], size[1], most)
				}
			}
		})
	}
	// What is measured is the theme: in the light one it is far above.
	t.Run("light", func(t *testing.T) {
		t.Parallel()
		v := newViewer(t)
		v.before(`localStorage.setItem("evenfall.theme", "light")`)
		v.at("#/s/nine.csv")
		v.shows(".settled", "9 of 9")
		if most := v.brightest(""); most < 0.3 {
			t.Errorf("the light theme has %.3f", most)
		}
	})
}

// brightest is the highest luminance of the parts in which a long page is looked at; the
// first is saved under a name.
func (v viewer) brightest(name string) (most float64) {
	v.t.Helper()
	top := -1.0
	for y := range 4 {
		at := eval[float64](v.device, fmt.Sprintf(`scrollTo(0, %d * innerHeight); document.querySelector("main")?.scrollTo(0, %d * innerHeight); scrollY + (document.querySelector("main")?.scrollTop ?? 0)`, y, y))
		if at == top {
			break
		}
		top, most = at, max(most, v.luminance())
		if y == 0 && name != "" {
			browsertest.Screenshot(v.t, v.tab, name)
		}
	}
	return most
}

// demoCloth is the demo's 45 readings by label, each as level, CCT and Duv, and the first
// rows of the file.
func demoCloth(t *testing.T) map[string][3]string {
	t.Helper()
	reader := csv.NewReader(strings.NewReader(demoFile("cloth.csv")))
	reader.Comment = '#'
	records, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][3]string{}
	for _, r := range records[1:] {
		if _, known := out[r[0]]; !known && len(r) >= 7 {
			out[r[0]] = [3]string{r[4], r[5], r[6]}
		}
	}
	if len(out) != 45 {
		t.Fatalf("the demo's cloth has %d places", len(out))
	}
	return out
}

// How many taps a reading takes, over the demo's 45 and the reference again, where views are
// not looked at whole over 25 of them and with color over 15: as few as they may be, each
// pressed on the keypad, and the file has what was meant.
func TestBrowserTaps(t *testing.T) {
	t.Parallel()
	readings := demoCloth(t)
	tab := browsertest.Open(t, 390, 844)
	across, colored := 5, 3
	if browsertest.Whole() {
		across, colored = 9, 9
	}
	for _, c := range []struct {
		name, columns string
		across        int // places in a row of five
		most          float64
		keys          func(r [3]string, kelvin string) []string
		want          func(r [3]string) [3]string
	}{
		{"flash", "f", across, 2.1, func(r [3]string, _ string) []string { return strings.Split(tenths(r[0]), " ") }, func(r [3]string) [3]string { return [3]string{strings.TrimSuffix(tenths(r[0]), " 0/10")} }},
		{"color", "E (lx),CCT (K),Duv", colored, 9.6, func(r [3]string, kelvin string) []string {
			keys := append(strings.Split(r[0], ""), kelvinKeys(kelvin, r[1])...)
			sign := "+"
			if strings.HasPrefix(r[2], "-") {
				sign = "−"
			}
			digits := strings.TrimRight(strings.TrimPrefix(strings.TrimLeft(r[2], "+-"), "0.00"), "0")
			return append(append(append(keys, sign), strings.Split(digits, "")...), "Next")
		}, func(r [3]string) [3]string { return r }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := serve(t, page.Options{})
			s.write("cloth.csv", grown(c.across, 5, clothNotes+"label,time,"+c.columns+"\n", func(string) string { return strings.Repeat(",", strings.Count(c.columns, ",")+1) }))
			d := newDevice(t, tab)
			defer d.open("about:blank")
			d.open(s.url() + "#/s/cloth.csv")
			d.wait(`document.querySelector(".pad")?.checkVisibility()`)
			kelvin, n := "", 0
			for d.place() != "✓" && n < 60 {
				r := readings[d.place()]
				for _, key := range c.keys(r, kelvin) {
					if key != "" {
						d.pad(key)
					}
				}
				kelvin = r[1]
				if n++; n >= 5*c.across {
					d.saved()
				}
			}
			got := float64(d.presses) / float64(n)
			t.Logf("%s: %d taps for %d readings, %.2f each", c.name, d.presses, n, got)
			if got > c.most || n < 5*c.across {
				t.Errorf("%.2f taps a reading over %d, expected at most %g", got, n, c.most)
			}
			columns := strings.Split(c.columns, ",")
			seen := map[string]bool{}
			for _, row := range s.rows("cloth.csv") {
				if seen[row["label"]] {
					continue
				}
				seen[row["label"]] = true
				want := c.want(readings[row["label"]])
				for i, column := range columns {
					if strings.TrimRight(row[column], "0") != strings.TrimRight(want[i], "0") {
						t.Errorf("%s: %s is %q on the disk, expected %q", row["label"], column, row[column], want[i])
					}
				}
			}
			d.clean(s.address)
		})
	}
}

// tenths is a level as a flash meter might show it, a mark and a tenth.
func tenths(level string) string {
	var v float64
	fmt.Sscan(level, &v)
	steps := int(math.Round(10 * math.Log2(v/16)))
	return fmt.Sprintf("%s %d/10", []string{"1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32"}[steps/10], steps%10)
}

// kelvinKeys are the fewest taps from one color temperature to another.
func kelvinKeys(from, to string) []string {
	if from == "" {
		return append([]string{"K"}, strings.Split(to, "")...)
	}
	if from == to {
		return []string{"same"}
	}
	var a, b int
	fmt.Sscan(from, &a)
	fmt.Sscan(to, &b)
	var keys []string
	for ; a/100 < b/100; a += 100 {
		keys = append(keys, "+100")
	}
	for ; a/100 > b/100; a -= 100 {
		keys = append(keys, "−100")
	}
	if a != b {
		keys = append(keys, fmt.Sprintf("%02d", b%100))
	}
	return keys
}

// A label of three thousand letters makes no view wider than the screen.
func TestBrowserLongLabel(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	long := strings.Repeat("stage", 600)
	s.write("long.csv", "# surface: "+long[:400]+"\nlabel,x (m),y (m),E (lx)\n"+long+",0,0,700\nb,1,0,710\nc,0,1,720\nd,1,1,\n")
	d := newDevice(t, browsertest.Open(t, 360, 740))
	d.open(s.url())
	d.shows(".surveys li", "4 places")
	for _, route := range []string{"#/s/long.csv", "#/s/long.csv/map", "#/"} {
		d.turn(route)
		d.wait(`document.querySelector(".keys, .surveys li")?.checkVisibility()`)
		if wide := eval[int](d, `Math.max(document.documentElement.scrollWidth, document.querySelector("main").scrollWidth, document.querySelector(".stage")?.scrollWidth ?? 0)`); wide > 360 {
			t.Errorf("%s is %d px wide", route, wide)
		}
	}
	d.clean(s.address)
}
