package main

import (
	"bytes"
	"context"
	"html"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"evenfall/cmd/evenfall/browsertest"
)

// pagesOf is how many pages a PDF of the browser has.
func pagesOf(pdf []byte) int {
	return len(regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(pdf, -1))
}

// cssPixel is a pixel of style sheets in points.
const cssPixel = 72.0 / 96

// textSizes are the sizes in which each text of a page is seen: of pictures, that of the
// type times the scale at which they are drawn.
const textSizes = `(() => {
  const out = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const at = walk.currentNode.parentElement, text = walk.currentNode.data.trim(), svg = at.closest("svg");
    if (!text || !at.checkVisibility() || /^(style|title|desc)$/i.test(at.tagName) || at.closest(".hidden")) continue;
    let size = parseFloat(getComputedStyle(at).fontSize);
    if (svg) size *= svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    out.push({Size: size, Text: text});
  }
  return out;
})()`

// atLeast holds every text of the page to a size in CSS pixels.
func atLeast(t *testing.T, tab context.Context, where string, pixels float64) {
	t.Helper()
	texts := browsertest.Get(t, tab, chromedp.Evaluate[[]struct {
		Size float64
		Text string
	}](textSizes))
	if len(texts) < 100 {
		t.Errorf("%s: %d texts", where, len(texts))
	}
	for _, x := range texts {
		if x.Size < pixels-0.01 {
			t.Errorf("%s: %q is %.2f px, at least %.2f wanted", where, x.Text, x.Size, pixels)
		}
	}
}

// TestResetSheet prints the demo's reset sheet on one page, reads it on a phone by day
// and by night, and finds each lamp of the table with its place, height, aim, setting,
// gel and reading in it.
func TestResetSheet(t *testing.T) {
	folder := demoFolder(t)
	if out, status := runIn(t, "", "report", folder, "--sheet"); status == exitNothing {
		t.Fatal(out)
	}
	path := filepath.Join(folder, "reset-sheet.html")
	page, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := html.UnescapeString(strings.Join(strings.Fields(strings.ReplaceAll(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(string(page), " "), "\u00a0", " ")), " "))
	// By lamps.csv, setup.csv (floor y -0.6 m), the middle of the cloth at 2.4 m, and the
	// readings of lamps alone.
	for _, wanted := range []string{"cloth left point, 200 W 4.00 left · 3.00 out 2.40 high", "58° right, 7° down surface: 0.80 right · 1.75 high", "no gel 5120 K −0.0012", "625 lx at B2",
		"cloth right point, 200 W 3.30 right · 2.30 out 2.35 high", "1/4 plus green 5560 K +0.0062", "1222 lx at B8", "key frame frame, lit by key 1.10 left · 4.40 out 2.30 high", "center · 3.20 out · 1.60 high",
		"0.80 right · 6.20 out", "276 lx at stage center, back", "flag left: 3.40 left · 3.30 out · 2.35 high · 0.80 × 0.80 m · turned 90° left", "Checks, flat receptor: B2 1.60 left · 2.28 high", "stage center, back toward lamp.", "diffusion full, 1.2 x 1.2 m", "full flood, beam 70°", "dimmer 100 %", "≈448 lx",
		// The dimmer of cloth left is linear: halves of 625 lx. What the screen is to the key is as evenfall screen has it.
		"1: 50 % 312 lx, 25 % 156 lx", "Screen +1.4 to +1.9 stops to middle gray at the key"} {
		if !strings.Contains(text, wanted) {
			t.Errorf("the sheet lacks %q", wanted)
		}
	}
	if bytes.Contains(page, []byte("NaN")) {
		t.Error("a figure is no number")
	}
	tab := browsertest.Open(t, 390, 844)
	for _, theme := range []string{"light", "dark"} {
		emulate(t, tab, "screen", theme)
		browsertest.Do(t, tab, chromedp.EmulateViewport(390, 844), chromedp.Navigate("file://"+path))
		for _, f := range browsertest.Axe(t, tab) {
			t.Errorf("%s: %v", theme, f)
		}
		if wide := browsertest.Get(t, tab, chromedp.Evaluate[int64]("document.documentElement.scrollWidth")); wide > 390 {
			t.Errorf("%s: %d px wide on 390 px", theme, wide)
		}
		atLeast(t, tab, theme, 11)
		pieces(t, tab, "reset-sheet-"+theme, 390, 1600)
	}
	emulate(t, tab, "print", "light")
	const cssPixel = 72.0 / 96               // points
	for _, wide := range []int64{718, 740} { // what the margins leave of A4 and of Letter
		browsertest.Do(t, tab, chromedp.EmulateViewport(wide, 1000), chromedp.Navigate("file://"+path))
		atLeast(t, tab, "print", 8/cssPixel)
	}
	for name, size := range map[string]chromedp.PaperSize{"A4": chromedp.PaperA4, "Letter": chromedp.PaperLetter} {
		pdf := browsertest.Get(t, tab, chromedp.PrintToPDF(chromedp.PDFPaper(size), chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground()))
		if n := pagesOf(pdf); n != 1 {
			t.Errorf("%s: %d pages", name, n)
		}
		save(t, "reset-sheet-"+name+".pdf", pdf)
	}
}

// TestResetSheetDrawn has the same on paper: one page of A4 or Letter with six lamps, type
// of at least 8 pt, which is 16 pixels, in its pictures too; a second page for twelve lamps.
func TestResetSheetDrawn(t *testing.T) {
	folder := demoFolder(t)
	drawn := func(folder, name string, flags ...string) string {
		path := filepath.Join(t.TempDir(), name)
		if out, status := runIn(t, "", append([]string{"report", folder, "--sheet", "--out", path}, flags...)...); status == exitNothing {
			t.Fatal(out)
		}
		content, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		save(t, "reset-sheet-"+name, content)
		return string(content)
	}
	for _, flags := range [][]string{nil, {"--length", "ft", "--unit", "fc"}} { // A4, Letter
		if n := pagesOf([]byte(drawn(folder, "drawn.pdf", flags...))); n != 1 {
			t.Errorf("%v: %d pages", flags, n)
		}
	}
	svg := drawn(folder, "drawn.svg")
	for _, found := range regexp.MustCompile(`font-size="([0-9.]+)"[^>]*>([^<]*)`).FindAllStringSubmatch(svg, -1) {
		if size, err := strconv.ParseFloat(found[1], 64); err != nil || size < 16 {
			t.Errorf("%q is %s px: %v", found[2], found[1], err)
		}
	}
	for _, wanted := range []string{"4.00\u00a0left · 3.00\u00a0out", "2.40\u00a0high", "0.80\u00a0right · 1.75\u00a0high", "5120\u00a0K", "625\u00a0lx at B2", "1222\u00a0lx at B8", "dimmer 100\u00a0%", "page 1 of 1", ">1630<"} {
		if !strings.Contains(svg, wanted) {
			t.Errorf("the drawn sheet lacks %q", wanted)
		}
	}
	if n := pagesOf([]byte(drawn(writtenFolder(t, map[string]string{"lamps.csv": manyLamps()}), "many.pdf"))); n != 2 {
		t.Errorf("twelve lamps: %d pages", n)
	}
	named := writtenFolder(t, map[string]string{"cloth.csv": "# surface: 影絵の幕\nlabel,E (lx)\nA1,700\nA2,710\nB1,705\n"})
	var problems strings.Builder
	a := app{stdin: strings.NewReader(""), stdout: io.Discard, stderr: &problems, env: []string{"COLUMNS=80"}}
	if a.run([]string{"report", named, "--sheet", "--format", "pdf"}); !strings.Contains(problems.String(), "影絵の幕") {
		t.Errorf("letters that a PDF lacks are not told: %q", problems.String())
	}
	if out, status := runIn(t, "", "report", folder, "--sheet", "--format", "md"); status != exitNothing || !strings.Contains(out, "expected html, svg, pdf") {
		t.Errorf("status %d: %s", status, out)
	}
}

// manyLamps are twelve lamps with long names.
func manyLamps() string {
	var many strings.Builder
	many.WriteString("name,kind,x,y,z,aim x,aim y,flux\n")
	for i := range 12 {
		many.WriteString(strings.Repeat("a lamp with a very long name ", 2) + string(rune('a'+i)) + ",point,1,2,3,1,1,9000\n")
	}
	return many.String()
}

// writtenFolder writes files into a folder.
func writtenFolder(t *testing.T, files map[string]string) string {
	t.Helper()
	folder := t.TempDir()
	for file, content := range files {
		if err := os.WriteFile(filepath.Join(folder, file), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

// TestResetSheetOfLittle has everything missing that may be missing, and twelve lamps
// with long names.
func TestResetSheetOfLittle(t *testing.T) {
	for name, files := range map[string]map[string]string{
		"one lamp without a place": {"lamps.csv": "name,kind,x,y,z,flux\nlone,point,,,,9000\n", "cloth.csv": "label,E (lx)\nA1,700\nA2,710\nB1,705\n"},
		"a survey alone":           {"cloth.csv": "label,E (lx)\nA1,700\nA2,710\nB1,705\n"},
		"twelve lamps":             {"lamps.csv": manyLamps()},
		"marks alone":              {"ratio.csv": "mark,role,E (lx)\ncenter,key,800\ncenter,fill,200\n"},
	} {
		folder := writtenFolder(t, files)
		out, status := runIn(t, "", "report", folder, "--sheet")
		page, err := os.ReadFile(filepath.Join(folder, "reset-sheet.html"))
		if status == exitNothing || err != nil || !bytes.Contains(page, []byte("Caution:")) || bytes.Contains(page, []byte("NaN")) {
			t.Errorf("%s: status %d, %v: %s", name, status, err, out)
		}
	}
}
