package page_test

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"

	"github.com/chromedp/chromedp"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
	"evenfall/photometry/survey"
)

// keepsFiles makes what a page saves as a file readable: window.saved is the last one.
const keepsFiles = `const make = URL.createObjectURL; URL.createObjectURL = (blob) => { blob.text().then((t) => { window.saved = t; }); return make.call(URL, blob); };`

// A disk that is full, a folder that is read-only and one that is gone: the bar says so and
// counts, typing goes on, what waits can be saved as a file that every command reads, and
// is on the disk once the disk takes it again.
func TestBrowserDiskTakesNothing(t *testing.T) {
	t.Parallel()
	var fault atomic.Pointer[error]
	s := serve(t, page.Options{}.WithFault(func() error {
		if err := fault.Load(); err != nil {
			return fmt.Errorf("cannot write cloth.csv: %w", *err)
		}
		return nil
	}))
	s.write("cloth.csv", nineRead("B2", "B3", "C1", "C2", "C3"))
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.before(keepsFiles)
	d.open(s.url() + "#/s/cloth.csv")
	d.at("B3")
	d.typed("801")
	d.saved()
	typed := 0
	for i, c := range []struct {
		err       error
		bar, text string
	}{
		{syscall.ENOSPC, "not saved: disk full", "The disk of this program's machine is full: make room there."},
		{syscall.EROFS, "not saved: the folder is read-only", "No permission for cloth.csv"},
		{fs.ErrNotExist, "not saved: the folder is gone", "The folder of cloth.csv is gone"},
	} {
		fault.Store(&c.err)
		label := d.place()
		d.typed(fmt.Sprint(810 + i))
		typed++
		d.shows("#status.trouble", "1 "+c.bar)
		d.shows(".outage", c.text)
		d.shows(".outage", "Go on reading. 1 entry is on this device only")
		if i == 0 {
			d.typed("900") // typing goes on
			typed++
			d.shows("#status.trouble", "2 "+c.bar)
			if got := len(s.readings("cloth.csv", label, "")); got > 0 {
				t.Errorf("%d readings at %s on the full disk", got, label)
			}
			d.button("Save the 2 as a file")
			d.wait(`window.saved`)
			survivors(t, s, "cloth.csv", eval[string](d, `window.saved`), map[string]string{label: "810"}, 7)
			for _, finding := range browsertest.Axe(t, d.tab) {
				t.Error(finding)
			}
			for _, theme := range browsertest.Themes() {
				eval[any](d, `document.documentElement.dataset.theme = "`+theme+`"; null`)
				for _, size := range [][2]int64{{320, 568}, {390, 844}, {844, 390}, {1440, 900}} {
					browsertest.Do(t, d.tab, chromedp.EmulateViewport(size[0], size[1]))
					if covered := eval[string](d, `(() => { const n = document.querySelector(".pad .next"), b = n.getBoundingClientRect(); return b.bottom <= innerHeight && n.contains(document.elementFromPoint(b.left + b.width / 2, b.top + b.height / 2)) ? "" : "off " + b.bottom; })()`); covered != "" {
						t.Errorf("%v: Next is %s", size, covered)
					}
					browsertest.Screenshot(t, d.tab, fmt.Sprintf("full-%s-%d", theme, size[0]))
				}
			}
			browsertest.Do(t, d.tab, chromedp.EmulateViewport(390, 844))
		}
		fault.Store(nil)
		d.button("Try now")
		d.saved()
		d.wait(`!document.querySelector(".outage").textContent`)
	}
	n := 0
	for _, row := range s.rows("cloth.csv") {
		if row["E (lx)"] != "" {
			n++
		}
	}
	if n != 5+typed {
		t.Errorf("%d readings on the disk, %d were typed into 5", n, typed)
	}
	d.clean(s.address, "507", "500 (Internal Server Error)")
}

// survivors reads a survey with a file of readings that waited: all places of both.
func survivors(t *testing.T, s *stage, name, waiting string, want map[string]string, places int) {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(s.folder, name))
	if err != nil {
		t.Fatal(err)
	}
	read, err := survey.Read([]survey.Input{{Name: name, Reader: strings.NewReader(string(content))}, {Name: "waiting.csv", Reader: strings.NewReader(waiting)}}, survey.ReadOptions{})
	if err != nil {
		t.Fatalf("%v\n%s", err, waiting)
	}
	if read.Len() != places {
		t.Errorf("%d places are read, expected %d\n%s", read.Len(), places, waiting)
	}
	for i := range read.Len() {
		if level, ok := want[read.Name(i)]; ok && fmt.Sprint(read.Level[i]) != level {
			t.Errorf("%s is %g, expected %s", read.Name(i), read.Level[i], level)
		}
	}
}
