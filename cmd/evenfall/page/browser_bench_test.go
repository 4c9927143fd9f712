package page_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// BenchmarkBrowserTap2000 is a tap on Next with 2,000 readings on the page, from the press
// until the page shows the next place and is drawn: it is to be less than 100 ms, and its
// work less than that on a machine that has nothing else to do.
func BenchmarkBrowserTap2000(b *testing.B) {
	s := serve(b, page.Options{})
	var text strings.Builder
	text.WriteString("# surface: cloth\n# for: screen\n# width: 10\n# height: 8\n# grid: 50x40\nlabel,E (lx)\n")
	for i := range 2000 {
		if row, column := i/50, i%50; row < 39 {
			name := string(rune('A' + row%26))
			if row >= 26 {
				name = "A" + name
			}
			fmt.Fprintf(&text, "%s%d,%d\n", name, column+1, 700+i%50)
		}
	}
	s.write("cloth.csv", text.String())
	d := newDevice(b, browsertest.Open(b, 390, 844))
	d.open(s.url() + "#/s/cloth.csv")
	d.wait(`document.getElementById("place")?.textContent`)
	d.wait(`document.querySelector(".verdict b")?.textContent !== "NOT YET"`)
	if _, err := chromedp.Call(d.tab, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks}); err != nil {
		b.Fatal(err)
	}
	worked := func() float64 { // ms of the page's own thread
		got, err := chromedp.Call(d.tab, performance.GetMetrics, cdp.Empty{})
		if err != nil {
			b.Fatal(err)
		}
		at := slices.IndexFunc(got.Metrics, func(m *performance.Metric) bool { return m.Name == "TaskDuration" })
		return 1000 * got.Metrics[at].Value
	}
	total, work := 0.0, 0.0
	for range b.N {
		d.pad("7", "2", "0")
		d.quiet()
		work -= worked()
		total += browsertest.Get(b, d.tab, chromedp.Evaluate[float64](`new Promise((done) => {
			const began = performance.now(), at = document.getElementById("place").textContent;
			document.querySelector(".pad .next").click();
			requestAnimationFrame(() => setTimeout(() => done(document.getElementById("place").textContent === at ? 1e9 : performance.now() - began)));
		})`, chromedp.EvalAwaitPromise))
		work += worked()
		d.saved()
	}
	b.ReportMetric(work/float64(b.N), "CPU-ms/tap")
	b.ReportMetric(total/float64(b.N), "ms/tap")
}
