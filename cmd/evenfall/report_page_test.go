package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"evenfall/cmd/evenfall/browsertest"
)

// emulate shows pages as on a medium in a theme.
func emulate(t *testing.T, tab context.Context, medium, theme string) {
	t.Helper()
	_, err := chromedp.Call(tab, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: medium,
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: theme}}})
	if err != nil {
		t.Fatal(err)
	}
}

// save keeps what a test saw, where the variable SCREENSHOTS names a folder.
func save(t *testing.T, name string, content []byte) {
	t.Helper()
	if folder := os.Getenv("SCREENSHOTS"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, name), content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// pieces saves a long page top to bottom in pieces that can be looked at.
func pieces(t *testing.T, tab context.Context, name string, width, height int) {
	t.Helper()
	if os.Getenv("SCREENSHOTS") == "" {
		return
	}
	whole := browsertest.Get(t, tab, chromedp.Evaluate[int]("document.documentElement.scrollHeight"))
	for i := 0; i*height < whole; i++ {
		shot, err := chromedp.Call(tab, page.CaptureScreenshot, page.CaptureScreenshotParams{CaptureBeyondViewport: ptr(true),
			Clip: &page.Viewport{Y: float64(i * height), Width: float64(width), Height: float64(min(height, whole-i*height)), Scale: 1}})
		if err != nil {
			t.Fatal(err)
		}
		save(t, fmt.Sprintf("%s-%02d.png", name, i+1), shot.Data)
	}
}

func ptr[T any](v T) *T { return &v }

// TestReportPage looks at the demo's report on a phone and on a desk, by day and
// by night.
func TestReportPage(t *testing.T) {
	t.Parallel()
	address := "file://" + filepath.Join(demoFolder(t), "report.html")
	tab := browsertest.Open(t, 360, 740)
	browsertest.Do(t, tab, chromedp.Navigate(address))
	for _, width := range []int64{360, 1200} {
		for _, theme := range []string{"light", "dark"} {
			emulate(t, tab, "screen", theme)
			browsertest.Do(t, tab, chromedp.EmulateViewport(width, 740))
			// No color depends on the width, so each theme's are looked at once, and where
			// views are not looked at whole those of one.
			axe := browsertest.Axe
			switch {
			case theme == "dark" && width == 360 && browsertest.Whole():
				axe = browsertest.AxeColors
			case theme == "dark" || width == 1200 && !browsertest.Whole():
				axe = func(testing.TB, context.Context) []browsertest.Finding { return nil }
			case width == 1200:
				axe = browsertest.AxeButColors
			}
			for _, f := range axe(t, tab) {
				t.Errorf("%d px, %s: %v", width, theme, f)
			}
			if wide := browsertest.Get(t, tab, chromedp.Evaluate[int64]("document.documentElement.scrollWidth")); wide > width {
				t.Errorf("%s: the page is %d px wide on %d px", theme, wide, width)
			}
			// Nothing but the page itself was loaded.
			if n := browsertest.Get(t, tab, chromedp.Evaluate[int]("performance.getEntriesByType('resource').filter(e => !e.name.startsWith('data:')).length")); n != 0 {
				t.Errorf("%d files were loaded beside the page", n)
			}
			pieces(t, tab, fmt.Sprintf("report-%d-%s", width, theme), int(width), 1600)
		}
	}
}

// TestReportPrints holds every picture, row and line to a sheet of paper: what is
// no higher than a page and asks not to be broken is not cut.
func TestReportPrints(t *testing.T) {
	t.Parallel()
	address := "file://" + filepath.Join(demoFolder(t), "report.html")
	tab := browsertest.Open(t, 800, 1000)
	browsertest.Do(t, tab, chromedp.Navigate(address))
	const margin, perInch = 2 * 10 / 25.4, 96.0
	for _, paper := range []struct {
		name string
		size chromedp.PaperSize
	}{{"A4", chromedp.PaperA4}, {"Letter", chromedp.PaperLetter}} {
		width, height := int64((paper.size.Width-margin)*perInch), int64((paper.size.Height-margin)*perInch)
		emulate(t, tab, "print", "dark")
		browsertest.Do(t, tab, chromedp.EmulateViewport(width, height))
		wide := browsertest.Get(t, tab, chromedp.Evaluate[[]string](fmt.Sprintf(
			`[...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > %d+1 && !e.closest('svg svg, svg *')).map(e => e.outerHTML.slice(0, 90))`, width)))
		for _, e := range wide {
			t.Errorf("%s: wider than the sheet: %s", paper.name, e)
		}
		cut := browsertest.Get(t, tab, chromedp.Evaluate[[]string](fmt.Sprintf(
			`[...document.querySelectorAll('figure, tr, li, dl > div, h1, h2, h3')].filter(e => e.getBoundingClientRect().height > %d || getComputedStyle(e).breakInside != 'avoid' && !/^H/.test(e.tagName)).map(e => e.outerHTML.slice(0, 90))`, height)))
		for _, e := range cut {
			t.Errorf("%s: may be cut: %s", paper.name, e)
		}
		atLeast(t, tab, paper.name, 8/cssPixel)
		if n := browsertest.Get(t, tab, chromedp.Evaluate[int](`[...document.querySelectorAll("main table")].filter(t => t.getBoundingClientRect().width > t.parentElement.getBoundingClientRect().width + 1).length`)); n > 0 {
			t.Errorf("%s: %d tables are wider than their column", paper.name, n)
		}
		if ink := browsertest.Get(t, tab, chromedp.Evaluate[string]("getComputedStyle(document.body).color")); ink != "rgb(29, 27, 23)" {
			t.Errorf("%s: printed from a dark screen the text is %s", paper.name, ink)
		}
		pdf := browsertest.Get(t, tab, chromedp.PrintToPDF(chromedp.PDFPaper(paper.size), chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground()))
		if n := pagesOf(pdf); n > 1+7 {
			t.Errorf("%s: %d pages", paper.name, n)
		}
		save(t, "report-"+paper.name+".pdf", pdf)
	}
}

// TestReportOfLongNames gives the page words that do not break and markup in every
// place that people type into.
func TestReportOfLongNames(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	long := strings.Repeat("overlong", 30) + "<b>\"' \U0001f3ad \u05e9\u05dc\u05d5\u05dd"
	quoted := `"` + strings.ReplaceAll(long, `"`, `""`) + `"`
	for name, content := range map[string]string{
		"setup.csv": "key,value\ntitle," + quoted + "\nnotes," + quoted + "\n" + quoted + "," + quoted + "\n",
		"cloth.csv": "# surface: " + long + "\nlabel,x (m),y (m),E (lx)\n" + quoted + ",0,0,700\nb,1,0,720\nc,0,1,710\nd,1,1,700\n",
		"lamps.csv": "name,kind,x,y,z,flux,scrims,gel,note\n" + quoted + ",point,1,1,2,900,none," + quoted + "," + quoted + "\n",
		"gels.csv":  "name,kind,mired\n" + quoted + ",CTB,-66\n",
		"bad.csv":   "label,E (lx)\n" + quoted + "," + quoted + "\n",
	} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if out, status := runIn(t, "", "report", folder); status != exitOutside {
		t.Fatalf("status %d: %s", status, out)
	}
	tab := browsertest.Open(t, 360, 740)
	browsertest.Do(t, tab, chromedp.Navigate("file://"+filepath.Join(folder, "report.html")))
	for _, theme := range []string{"light", "dark"} {
		emulate(t, tab, "screen", theme)
		axe := browsertest.Axe
		if theme == "dark" {
			axe = browsertest.AxeColors
		}
		for _, f := range axe(t, tab) {
			t.Errorf("%s: %v", theme, f)
		}
		if wide := browsertest.Get(t, tab, chromedp.Evaluate[int64]("document.documentElement.scrollWidth")); wide > 360 {
			t.Errorf("%s: the page is %d px wide on 360 px", theme, wide)
		}
		pieces(t, tab, "report-long-"+theme, 360, 1600)
	}
}
