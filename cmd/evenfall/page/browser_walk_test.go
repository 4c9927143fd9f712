package page_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// whole fails where a file does not hold all 45 readings of the cloth, and the
// reference again four times.
func (s *stage) whole(name string, cloth map[string][3]string) {
	s.t.Helper()
	levels := s.levels(name, "E (lx)", "")
	for _, label := range grid(9, 5) {
		if levels[label] != cloth[label][0] {
			s.t.Errorf("%s: %q is on the disk, %s was typed", label, levels[label], cloth[label][0])
		}
	}
	again := 0
	for _, row := range s.rows(name) {
		if row["label"] == "C5" && row["E (lx)"] != "" {
			again++
		}
	}
	if again != 5 {
		s.t.Errorf("the reference was read %d times, expected once and four times again", again)
	}
}

// grid lists the labels of a grid, row by row.
func grid(columns, rows int) (labels []string) {
	for r := range rows {
		for c := range columns {
			labels = append(labels, fmt.Sprintf("%c%d", 'A'+r, c+1))
		}
	}
	return labels
}

// A survey with one thumb: begun in the form, places on the keypad, the reference again
// when the page asks for it; all 45 and four times where views are looked at whole.
func TestBrowserFullSurveyByKeypad(t *testing.T) {
	t.Parallel()
	cloth := demoCloth(t)
	s := serve(t, page.Options{})
	d := newDevice(t, browsertest.Open(t, 360, 740))
	d.open(s.url())
	d.shows(".note", "None yet")
	d.button("A surface: is it even?")
	d.wait(`document.activeElement.id === "new-title"`)
	d.keys("green cloth")
	d.button("Begin at A1")
	d.wait(`document.getElementById("place")`)
	d.presses = 0
	readings := 22
	if browsertest.Whole() {
		readings = 49
	}
	var walk []string
	for range readings {
		label := d.place()
		walk = append(walk, label)
		d.typed(cloth[label][0])
		if label == "C5" {
			d.saved() // the answer says whether the light holds, and so how soon it is read again
		}
	}
	d.saved()
	each := float64(d.presses) / float64(len(walk))
	t.Logf("%d readings on the keypad, the reference again among them: %d taps, %.2f each", readings, d.presses, each)
	if each > 4.5 {
		t.Errorf("%.2f taps a reading, expected at most 4.5", each)
	}
	if browsertest.Whole() {
		s.whole("green-cloth.csv", cloth)
	}
	// Nine first, in serpentine order; then the rest, the reference after five, and, as it
	// agrees, after every ten.
	want := "A1 A5 A9 C9 C5 C1 E1 E5 E9 A2 C5 A3 A4 A6 A7 A8 B9 B8 B7 B6 B5 C5 B4 B3 B2 B1 C2 " +
		"C3 C4 C6 C7 C8 C5 D9 D8 D7 D6 D5 D4 D3 D2 D1 E2 C5 E3 E4 E6 E7 E8"
	if got := strings.Join(walk, " "); len(walk) != readings || !strings.HasPrefix(want, got) {
		t.Errorf("the walk is\n%s, expected the first %d of\n%s", got, readings, want)
	}
	d.button("Result")
	d.shows(".verdict", "apart")
	d.button("Maps as pictures")
	d.wait(`document.querySelector("img.picture").naturalWidth > 0`)
	// What can be taken along is there.
	links := browsertest.Get(t, d.tab, chromedp.Evaluate[string](`Promise.all([...document.querySelectorAll(".actions a")].map(a => fetch(a.href).then(r => a.textContent + " " + r.status))).then(l => l.join(", "))`, chromedp.EvalAwaitPromise))
	first := "Report" // and once all is read
	if browsertest.Whole() {
		first = "Hand over the report"
	}
	if !strings.HasPrefix(links, first+" 200, Save CSV 200, Save picture 200") {
		t.Errorf("the links answer %s", links)
	}
	d.clean(s.address)
}

// The same without a pointer, from the list of surveys to the map.
func TestBrowserFullSurveyByKeyboard(t *testing.T) {
	t.Parallel()
	cloth := demoCloth(t)
	s := serve(t, page.Options{})
	d := newDevice(t, browsertest.Open(t, 1024, 768))
	d.open(s.url())
	d.shows(".note", "None yet")
	for eval[string](d, `document.activeElement.textContent`) != "A surface: is it even?" {
		d.keys(kb.Tab)
		if d.presses > 10 {
			t.Fatal("the Tab key does not reach New survey")
		}
	}
	d.keys(kb.Enter)
	d.wait(`document.activeElement.id === "new-title"`)
	d.keys("green cloth" + kb.Enter)
	d.wait(`document.activeElement.id === "in-level"`)
	d.presses = 0
	readings := 20
	if browsertest.Whole() {
		readings = 49
	}
	for range readings {
		label := d.place()
		d.keys(cloth[label][0] + kb.Enter)
		if label == "C5" {
			d.saved()
		}
	}
	d.saved()
	t.Logf("%d readings on a keyboard, the reference again among them: %d keys", readings, d.presses)
	if browsertest.Whole() {
		s.whole("green-cloth.csv", cloth)
	}
	d.shows(".verdict", "apart") // beside the entry, where there is room
	d.clean(s.address)
}
