package page_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// cloth is the level at a place of an invented cloth in lux: a curvature with a hot
// right side.
func cloth(label string) string {
	column, row := float64(label[1]-'1'), float64(label[0]-'A')
	return fmt.Sprintf("%.0f", 800+30*column-6*(column-4)*(column-4)-8*(row-2)*(row-2))
}

// sheet is a blank survey of the cloth, with two lamps to be read alone.
func sheet() string {
	text := grown(9, 5, clothNotes+"label,time,E (lx),lamp,note\n", func(string) string { return ",,," })
	for _, lamp := range []string{"cloth left", "cloth right"} {
		for _, label := range []string{"A1", "A5", "A9", "C1", "C5", "C9", "E1", "E5", "E9"} {
			text += label + ",,," + lamp + ",\n"
		}
	}
	return text
}

// readings are all that is on the disk of one place under one lamp.
func (s *stage) readings(name, label, lamp string) (out []string) {
	for _, row := range s.rows(name) {
		if row["label"] == label && row["lamp"] == lamp && row["E (lx)"] != "" {
			out = append(out, row["E (lx)"])
		}
	}
	return out
}

// disk waits until a place has these readings on the disk.
func (d *device) disk(s *stage, label, lamp string, want ...string) {
	d.t.Helper()
	d.saved()
	if got := s.readings("cloth.csv", label, lamp); !slices.Equal(got, want) {
		d.t.Fatalf("%s %s: %q on the disk, expected %q", label, lamp, got, want)
	}
}

// jump taps a place of the small grid.
func (d *device) jump(label string) {
	d.t.Helper()
	find := `[...document.querySelectorAll(".places button")].find(n => n.checkVisibility() && n.querySelector("b").textContent === "` + label + `")`
	if eval[bool](d, `document.querySelector(".stage .places.one") !== null`) {
		// Too small for a thumb: the map opens a list of the places.
		d.press(`document.querySelector(".stage .places.one")`)
		find = strings.Replace(find, ".places button", "dialog .places button", 1)
	}
	d.press(find)
	d.at(label)
}

// Values from a spreadsheet, with a preview of which goes where.
func TestBrowserPaste(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url() + "#/s/cloth.csv")
	d.at("A1")
	d.typed("700")
	var rows []string
	for r := range 5 {
		var cells []string
		for _, label := range grid(9, 5)[9*r : 9*r+9] {
			cells = append(cells, cloth(label))
		}
		rows = append(rows, strings.Join(cells, "\t"))
	}
	eval[any](d, `(() => {
		const data = new DataTransfer();
		data.setData("text", `+quote(strings.Join(rows, "\n"))+`);
		document.dispatchEvent(new ClipboardEvent("paste", {clipboardData: data, bubbles: true}));
		return null;
	})()`)
	d.shows("dialog .note", "44 of 45 places get a reading; 1 too many")
	d.press(`document.getElementById("paste-order")`)
	eval[any](d, `(() => {
		const order = document.getElementById("paste-order");
		order.value = "rows";
		order.dispatchEvent(new Event("change"));
		return null;
	})()`)
	d.shows("dialog .note", "45 of 45 places get a reading; 1 replaced")
	d.shows("dialog tr", "A1"+cloth("A1")+" lxreplaces 700 lx")
	d.button("Enter 45")
	d.saved()
	levels := s.levels("cloth.csv", "E (lx)", "")
	for _, label := range grid(9, 5) {
		if levels[label] != cloth(label) {
			t.Errorf("%s: %q is on the disk, %s was pasted", label, levels[label], cloth(label))
		}
	}
	d.shows(".line", "45 readings pasted")
	// One undo takes all of them back.
	d.button("Undo")
	d.saved()
	if levels := s.levels("cloth.csv", "E (lx)", ""); len(levels) != 1 || levels["A1"] != "700" {
		t.Errorf("after the undo there is %v, expected A1 as it was", levels)
	}
	d.clean(s.address)
}

// f-numbers by marks and tenths, of which the tenth saves; color by taps from the last
// kelvin, and a Duv by its sign.
func TestBrowserMarksAndColor(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("flash.csv", grown(3, 3, "# surface: table\n# width: 1\n# height: 1\nlabel,f\n", func(string) string { return "" }))
	s.write("color.csv", grown(3, 3, "# surface: backdrop\n# width: 3\n# height: 2\nlabel,E (lx),CCT (K),Duv\n", func(string) string { return ",," }))
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url() + "#/s/flash.csv")
	d.at("A1")
	d.pad("5.6", "7/10")
	d.at("A2")
	d.pad("8", "Next")
	d.at("A3")
	d.keys("11 3" + kb.Enter)
	d.saved()
	if got := s.levels("flash.csv", "f", ""); got["A1"] != "5.6 7/10" || got["A2"] != "8" || got["A3"] != "11 3/10" {
		t.Errorf("on the disk there is %v", got)
	}
	d.open(s.url() + "#/s/color.csv")
	d.at("A1")
	d.pad("8", "0", "0", "K", "5", "6", "00", "−", "2", "0", "Next") // the first kelvin in full
	d.at("A2")
	d.pad("8", "1", "0", "Next") // no color at this place: nothing is kept
	d.at("A3")
	d.pad("8", "2", "0", "40", "+", "2", "5", "Next")
	d.at("B3")
	d.pad("8", "3", "0", "+100", "Next")
	d.at("B2")
	d.pad("8", "4", "0", "same", "Next")
	d.at("B1")
	d.keys("850")
	d.press(`document.getElementById("in-cct")`)
	d.keys("5400")
	d.press(`document.getElementById("in-tint")`)
	d.pad("2", "M G", "Next")
	d.saved()
	rows := map[string]string{}
	for _, r := range s.rows("color.csv") {
		rows[r["label"]] = r["E (lx)"] + " " + r["CCT (K)"] + " " + r["Duv"] + " " + r["CC"]
	}
	for label, want := range map[string]string{"A1": "800 5600 -0.002 ", "A2": "810   ", "A3": "820 5640 0.0025 ", "B3": "830 5740  ", "B2": "840 5740  ", "B1": "850 5400  needs 2M"} {
		if rows[label] != want {
			t.Errorf("%s: %q on the disk, expected %q", label, rows[label], want)
		}
	}
	d.clean(s.address)
}

// Everything that a thumb can do, a keyboard can.
func TestBrowserKeys(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", sheet())
	d := newDevice(t, browsertest.Open(t, 1440, 900))
	d.open(s.url() + "#/s/cloth.csv")
	d.at("A1")
	steps := []struct{ keys, at string }{
		{"700" + kb.Enter, "A5"}, {"z", "A1"}, {"701" + kb.Enter, "A5"}, {"s", "A9"}, {"n", "C9"}, {"p", "A9"},
		{kb.ArrowDown, "B9"}, {kb.ArrowLeft, "B8"}, {kb.ArrowRight, "B9"}, {kb.ArrowUp, "A9"}, {"t", "C5"},
		{"880" + kb.Enter, "A9"}, {"s", "C9"}, {"65 fc" + kb.Enter, "C1"}, {"pp", "C9"}, {"r66 fc" + kb.Enter, "C1"},
		{"u64" + kb.Enter, "E1"}, {"12" + kb.Escape, "E1"}, {"p", "C1"}, {"z", "C1"}, {"l", "A1"}, {"350" + kb.Enter, "A5"}, {"ll", "C1"},
		{kb.PageDown, "E1"}, {kb.PageUp, "C1"},
	}
	for _, step := range steps {
		d.keys(step.keys)
		if got := d.place(); got != step.at {
			t.Fatalf("after %q the place is %s, expected %s", step.keys, got, step.at)
		}
	}
	d.saved()
	for _, want := range []struct{ label, lamp, readings string }{{"A1", "", "701"}, {"C5", "", "880"}, {"C1", "", ""}, {"C9", "", "65 fc 66 fc"}, {"A1", "cloth left", "350"}, {"A5", "", ""}} {
		if got := strings.Join(s.readings("cloth.csv", want.label, want.lamp), " "); got != want.readings {
			t.Errorf("%s %s: %q on the disk, expected %q", want.label, want.lamp, got, want.readings)
		}
	}
	d.keys("?")
	d.shows("dialog h2", "Keys")
	d.keys(kb.Escape)
	d.keys("b")
	if !eval[bool](d, `document.querySelector(".pad .next").checkVisibility()`) {
		t.Error("with the place in very large type there is no keypad")
	}
	if high := eval[float64](d, `document.getElementById("place").getBoundingClientRect().height`); high < 150 {
		t.Errorf("a caller's place is %g px high", high)
	}
	d.keys("bm")
	d.wait(`location.hash.endsWith("/map")`)
	d.clean(s.address)
}
