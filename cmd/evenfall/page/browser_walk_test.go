package page_test

import (
	"testing"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// A whole survey with one thumb: begun in the form, 45 places on the keypad, the
// reference again when the page asks for it.
func TestBrowserFullSurveyByKeypad(t *testing.T) {
	s := serve(t, page.Options{})
	d := newDevice(t, browsertest.Open(t, 360, 740))
	d.open(s.url())
	d.shows(".note", "None yet")
	d.button("New survey")
	d.wait(`document.activeElement.id === "new-title"`)
	d.keys("green cloth")
	d.button("Begin")
	d.wait(`document.getElementById("place")`)
	d.presses = 0
	var walked []string
	for len(walked) < 49 {
		label := d.place()
		walked = append(walked, label)
		d.typed(cloth(label))
	}
	d.saved()
	t.Logf("45 places and %d readings of the reference again: %d taps", len(walked)-45, d.presses)
	t.Log(walked)
	d.clean(s.address)
}
