package page_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// A folder of 200 surveys opens with a search field that finds one by name, date and
// verdict, and its report says its size.
func TestBrowserManySurveys(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	for n := range 200 {
		text := fmt.Sprintf("# surface: cloth %d\n# for: screen\n# date: 2026-03-%02d\n# width: 4\n# height: 2\nlabel,E (lx)\n", n, 1+n%28)
		for i, label := range grid(3, 3) {
			text += fmt.Sprintf("%s,%d\n", label, 700+i*(n%3)*40)
		}
		s.write(fmt.Sprintf("cloth-%03d.csv", n), text)
	}
	d := newDevice(t, browsertest.Open(t, 390, 844))
	began := time.Now()
	d.open(s.url())
	d.shows(".folder .note", "200 of 200; the last 60 are shown")
	t.Logf("the list was there after %v", time.Since(began))
	d.shows("nav.lines a", "200 surveys, ")
	for _, theme := range browsertest.Themes() {
		eval[any](d, `document.documentElement.dataset.theme = "`+theme+`"; null`)
		for _, size := range [][2]int64{{320, 568}, {390, 844}, {844, 390}, {1440, 900}} {
			browsertest.Do(t, d.tab, chromedp.EmulateViewport(size[0], size[1]))
			if over := eval[int](d, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
				t.Errorf("%v: %d px wider than the screen", size, over)
			}
			if size[0] == 390 || size[0] == 1440 {
				browsertest.Screenshot(t, d.tab, fmt.Sprintf("many-%s-%d", theme, size[0]))
			}
		}
		for _, finding := range browsertest.AxeColors(t, d.tab) {
			t.Error(finding)
		}
	}
	for search, want := range map[string]int{"cloth-017": 1, "CLOTH 199": 1, "2026-03-05": 7, "2026-03-05 out": 2, "nothing": 0} {
		eval[any](d, `(() => { const n = document.getElementById("search"); n.value = `+quote(search)+`; n.dispatchEvent(new Event("input")); })()`)
		got := eval[int](d, `document.querySelectorAll(".surveys li").length`)
		if got != want {
			t.Errorf("%q finds %d surveys, expected %d: %s", search, got, want, strings.ReplaceAll(eval[string](d, `document.querySelector(".surveys").innerText.slice(0, 300)`), "\n", " "))
		}
	}
	d.clean(s.address)
}
