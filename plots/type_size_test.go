package plots

import (
	"os"
	"regexp"
	"strconv"
	"testing"

	"evenfall/falloff"
	"evenfall/photometry"
)

// The sizes that text has to have: on paper where a picture is 170 mm wide, as on A4
// with margins, or as high as the style sheet of reports lets it be; and on a phone 390
// pixels wide, on the page or in a report, where a full picture keeps a least width.
const (
	printedMM, narrowPrintedMM   = 170.0, 100.0
	leastPoints, leastPhoneSize  = 8.0, 11.0
	phoneWidth, rootSize, mmInch = 390 - 2*12.8, 16.0, 25.4
)

// everyPicture is one of each kind of picture, wide and narrow.
func everyPicture(t *testing.T) map[string]*Picture {
	t.Helper()
	pictures := map[string]*Picture{}
	s, r := scene()
	colored(s, r)
	for name, o := range map[string]SurfaceOptions{"level": {}, "mired": {Kind: Mired}, "Duv": {Kind: Duv}} {
		pictures[name] = surface(t, r, o)
		o.Narrow = true
		pictures[name+" narrow"] = surface(t, r, o)
	}
	for name, s := range degenerate() {
		pictures[name] = surface(t, resultOf(s), SurfaceOptions{})
		pictures[name+" narrow"] = surface(t, resultOf(s), SurfaceOptions{Narrow: true})
	}
	set, o := testSet(t)
	pictures["set"] = Set(set, o)
	o.Narrow = true
	pictures["set narrow"] = Set(set, o)
	pictures["ratio"] = Ratio(testRatios(), RatioOptions{})
	pictures["ratio narrow"] = Ratio(testRatios(), RatioOptions{Narrow: true})
	for name, sheet := range map[string]string{"frame": frameSheet, "room": roomSheet, "flash": flashSheet, "rise": riseSheet} {
		series, d := fitted(t, sheet, falloff.Options{})
		pictures[name] = Distance(series, d, SeriesOptions{Answer: "What it says."})
	}
	pictures["angle"] = Angle(turnedMeter(t), "", false)
	pictures["dimmer"] = Dimmer(testDimmer(t), "", "What it says.", photometry.LX, false)
	pictures["dimmer narrow"] = Dimmer(testDimmer(t), "", "", photometry.LX, true)
	pictures["correction"] = Correction("Two lamps", testTarget, testMoves)
	s, r = scene()
	chromatic(s, r, 5580, 0.0012)
	pictures["chromaticity"] = chromaticity(t, r)
	return pictures
}

// All text of every picture reads in print and on a phone.
func TestTypeSizes(t *testing.T) {
	css, err := os.ReadFile("document/page.css")
	if err != nil {
		t.Fatal(err)
	}
	rule := func(pattern string) float64 {
		found := regexp.MustCompile(pattern).FindSubmatch(css)
		if found == nil {
			t.Fatalf("no %s in the style sheet of reports", pattern)
		}
		v, _ := strconv.ParseFloat(string(found[1]), 64)
		return v
	}
	leastWidth := rule(`\.picture svg \{[^}]*min-width: (\d+)rem`) * rootSize
	highest := rule(`\.picture svg \{[^}]*max-height: (\d+)mm`)
	sizes := regexp.MustCompile(`font-size="([\d.]+)"`)
	for name, p := range everyPicture(t) {
		smallest := 1000.0
		for _, found := range sizes.FindAllSubmatch(render(t, p, "svg"), -1) {
			size, err := strconv.ParseFloat(string(found[1]), 64)
			if err != nil {
				t.Fatal(err)
			}
			smallest = min(smallest, size)
		}
		mm, phone := printedMM, leastWidth
		if p.Width < pictureWidth {
			mm, phone = narrowPrintedMM, phoneWidth
		}
		mm = min(mm, highest*float64(p.Width)/float64(p.Height))
		if points := smallest * mm / float64(p.Width) * 72 / mmInch; points < leastPoints {
			t.Errorf("%s: text of %.1f points in print, at least %v wanted", name, points, leastPoints)
		}
		if size := smallest * phone / float64(p.Width); size < leastPhoneSize {
			t.Errorf("%s: text of %.1f pixels on a phone, at least %v wanted", name, size, leastPhoneSize)
		}
	}
}
