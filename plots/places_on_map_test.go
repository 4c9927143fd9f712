package plots

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// svgOf is a map as SVG, and its text alternative.
func svgOf(t *testing.T, file string, kind Kind) (svg, alt string) {
	t.Helper()
	s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(file)}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := evenness.Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	p := surface(t, r, SurfaceOptions{Kind: kind, Unit: photometry.NoUnit})
	var b bytes.Buffer
	if err := p.Write(&b, "svg"); err != nil {
		t.Fatal(err)
	}
	return b.String(), p.Alt
}

// textsOf are the texts of an SVG that a pattern finds, each from its left to its right end.
func textsOf(svg, pattern string) (out []struct {
	text     string
	from, to float64
}) {
	for _, found := range regexp.MustCompile(`<text x="([-0-9.]+)" y="([-0-9.]+)"[^>]*textLength="([0-9.]+)"[^>]*>(`+pattern+`)</text>`).FindAllStringSubmatch(svg, -1) {
		x, _ := strconv.ParseFloat(found[1], 64)
		wide, _ := strconv.ParseFloat(found[3], 64)
		out = append(out, struct {
			text     string
			from, to float64
		}{found[4], x, x + wide})
	}
	return out
}

// The numbers of many columns do not touch each other.
func TestNumbersOfColumnsStandApart(t *testing.T) {
	var b strings.Builder
	b.WriteString("# width: 12\n# height: 1\nlabel,E (lx)\n")
	for _, row := range "AB" {
		for column := range 40 {
			fmt.Fprintf(&b, "%c%d,%d\n", row, column+1, 700+column)
		}
	}
	svg, _ := svgOf(t, b.String(), Level)
	names := textsOf(svg, "[1-9][0-9]?")
	last := 0.0
	for i, n := range names {
		if i > 0 && n.text != "1" && n.from < last+3 {
			t.Errorf("%s begins at %.1f, the one before ends at %.1f", n.text, n.from, last)
		}
		last = n.to
	}
	if len(names) < 8 {
		t.Errorf("%d columns are named", len(names))
	}
}

// What is only known to be over or under the meter's range has its place on the map, and in
// its words.
func TestPlacesBeyondTheRangeAreOnTheMap(t *testing.T) {
	svg, alt := svgOf(t, "# width: 3\n# height: 2\nlabel,E (lx)\nA1,>2000\nA2,1900\nA3,1500\nB1,1800\nB2,1700\nB3,1400\nC1,1300\nC2,1250\nC3,<5\n", Level)
	for _, wanted := range []string{"&gt;2000", "&lt;5.00", "beyond the meter&#39;s range: A1 over"} {
		if !strings.Contains(svg, wanted) {
			t.Errorf("the map lacks %s", wanted)
		}
	}
	if !strings.Contains(alt, "A1 over") || !strings.Contains(alt, "C3 under") {
		t.Error(alt)
	}
}

// An f-number has no unit, and a suspect has the figure that was typed.
func TestFiguresAsTheyAreTyped(t *testing.T) {
	svg, _ := svgOf(t, "# width: 3\n# height: 2\n# iso: 100\n# tolerance: 0.3 stop\nlabel,f\nA1,8\nA2,8 2/10\nA3,8 5/10\nB1,8\nB2,8 1/10\nB3,8 4/10\n", Level)
	if !strings.Contains(svg, "f/8") || strings.Contains(svg, "lx·s") {
		t.Error("f-numbers have a unit")
	}
	nine := "# width: 4.8\n# height: 2.4\nlabel,E (lx)\nA1,742\nA2,765\nA3,1105\nB1,810\nB2,842\nB3,1180\nC1,655\nC2,701\nC3,96\n"
	if svg, _ := svgOf(t, nine, Level); !strings.Contains(svg, ">96?<") {
		t.Error("the suspect is not the 96 that was typed")
	}
}

// A reference by its position is one for color as for level.
func TestReferenceOfColorByItsPosition(t *testing.T) {
	file := "# reference: 1,1\nx (m),y (m),E (lx),CCT (K),Duv\n0,0,800,5500,0.001\n1.9,0.2,810,5520,0.001\n0.3,1.7,805,5480,0.001\n1,1,800,5600,0.001\n1.6,1.4,802,5550,0.001\n"
	for _, kind := range []Kind{Level, Mired, Duv} {
		svg, _ := svgOf(t, file, kind)
		said := strings.Join(regexp.MustCompile(`>[^<\n]*<`).FindAllString(svg, -1), " ")
		if said = strings.NewReplacer("< >", " ", "<  >", " ").Replace(said); !strings.Contains(said, "from reference (1.00, 1.00)") {
			t.Errorf("%v: the reference is not named: %s", kind, said)
		}
	}
}
