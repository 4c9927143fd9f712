package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"evenfall/plots/answers"
)

// Of very many marks the bars show the decisive ones, in a picture no higher for more of
// them, and the screen says which those are.
func TestPictureOfVeryManyMarks(t *testing.T) {
	var high []int
	for _, n := range []int{answers.MostMarks, 900} {
		folder := t.TempDir()
		t.Chdir(folder)
		var b strings.Builder
		b.WriteString("# target: 2:1\nmark,role,E (lx)\n")
		for i := range n - 1 {
			fmt.Fprintf(&b, "p%d,key,800\np%d,fill,400\n", i, i)
		}
		b.WriteString("curtain,key,800\ncurtain,fill,100\n")
		if err := os.WriteFile(filepath.Join(folder, "ratio.csv"), []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
		said, _ := runIn(t, "", "ratio", "ratio.csv", "--out", "o", "--format", "svg")
		if told := strings.Contains(said, "of 200 marks, those out of target or unsettled first"); told != (n > answers.MostMarks) {
			t.Errorf("%d marks: that some are not drawn is told: %t", n, told)
		}
		svg, err := os.ReadFile(filepath.Join(folder, "o", "ratio-bars.svg"))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(svg), ">curtain<") {
			t.Errorf("%d marks: the one out of its target is not drawn", n)
		}
		size := regexp.MustCompile(`<svg[^>]* height="(\d+)`).FindSubmatch(svg)
		if size == nil {
			t.Fatalf("%.300s", svg)
		}
		pixels, _ := strconv.Atoi(string(size[1]))
		high = append(high, pixels)
	}
	if high[0] != high[1] {
		t.Errorf("pictures are %v high", high)
	}
}

// Of very many dimmers forty are drawn, the one that is set among them, and the screen says
// so. Lamps without a curve are none of them.
func TestPicturesOfVeryManyDimmers(t *testing.T) {
	for _, n := range []int{40, 60} {
		folder := t.TempDir()
		t.Chdir(folder)
		var b strings.Builder
		b.WriteString("lamp,dimmer (%),E (lx)\n")
		for i := range 5 {
			fmt.Fprintf(&b, "once read %d,100,800\n", i)
		}
		for i := range n {
			fmt.Fprintf(&b, "l%d,25,200\nl%d,50,400\nl%d,100,800\n", i, i, i)
		}
		if err := os.WriteFile(filepath.Join(folder, "dimmers.csv"), []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
		last := fmt.Sprintf("l%d", n-1)
		said, _ := runIn(t, "", "dimmer", "dimmers.csv", "--lamp", last, "--level", "300lx", "--out", "o", "--format", "svg")
		if told := strings.Contains(said, "of 40 lamps"); told != (n > 40) {
			t.Errorf("%d lamps: that some are not drawn is told: %t", n, told)
		}
		drawn, err := filepath.Glob(filepath.Join(folder, "o", "*.svg"))
		if err != nil || len(drawn) != 40 {
			t.Errorf("%d lamps: %d pictures, %v", n, len(drawn), err)
		}
		if _, err := os.Stat(filepath.Join(folder, "o", "dimmers-dimmer-"+last+".svg")); err != nil {
			t.Errorf("%d lamps: the one that is set is not drawn: %v", n, err)
		}
	}
}

// A folder with nothing but a screen, or dimmers, has a report.
func TestReportOfOneTable(t *testing.T) {
	for name, table := range map[string]string{
		"screen.csv":  "# width: 4 m\n# height: 2 m\nlabel,x (m),y (m),E (lx),L (cd/m²)\na,1,1,700,50\nb,2,1,710,51\n",
		"dimmers.csv": "lamp,dimmer (%),E (lx)\na,25,200\na,50,400\na,100,800\n",
	} {
		folder := t.TempDir()
		t.Chdir(folder)
		if err := os.WriteFile(filepath.Join(folder, name), []byte(table), 0o600); err != nil {
			t.Fatal(err)
		}
		if said, status := runIn(t, "", "report", "."); status == exitNothing {
			t.Errorf("%s: %s", name, said)
		}
	}
}
