package report

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"evenfall/plots/document"
)

// evenCloth is a cloth of 25 places that a number of lux a column brightens.
func evenCloth(title string, rise int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# surface: %s\n# for: screen\n# width: 4.8\n# height: 2.4\n# date: 2026-04-01\nlabel,E (lx)\n", title)
	for row := range 5 {
		for column := range 5 {
			fmt.Fprintf(&b, "%c%d,%d\n", 'A'+row, column+1, 900+rise*column)
		}
	}
	return b.String()
}

const oneLamp = "# light: continuous\nname,kind,x (m),y (m),z (m),aim x (m),aim y (m),aim z (m),flux (lm),beam (deg)\nkey,point,-1,2,3,2.4,1.2,0,20000,60\n"

// The verdict word of a sheet stands before what it is the verdict of: a plan that does not
// explain the readings, or another surface, is not told as the spread of this one, which
// has a line of its own.
func TestSheetTellsWhatItsVerdictIsOf(t *testing.T) {
	for name, c := range map[string]struct {
		files      map[string]string
		word, told string
	}{
		"plan":            {map[string]string{"cloth.csv": evenCloth("cloth", 60), "lamps.csv": oneLamp}, "UNSURE", "plan does not explain the readings"},
		"another surface": {map[string]string{"cloth.csv": evenCloth("cloth", 5), "sky.csv": evenCloth("sky", 400)}, "FAIL", "spread 1.47 stops"}, // log2 of 2500 over 900
	} {
		s := read(t, folderOf(c.files), Options{}).resetSheet(document.Words{})
		if h := s.Headline; h.Word != c.word || !strings.Contains(strings.ToLower(h.Text), c.told) {
			t.Errorf("%s: %q before %q, expected %s before %q", name, h.Word, h.Text, c.word, c.told)
		}
		if name == "plan" && !slices.ContainsFunc(s.Checks, func(c check) bool { return c.Class == "pass" && c.Text == "Spread 0.34 stop, 0.50 allowed" }) {
			t.Errorf("%s: the spread has no line: %+v", name, s.Checks)
		}
	}
}

// Where a mark stands is on file with its distance from the screen, and then on the sheet;
// the camera is said to be one.
func TestSheetSaysWhereMarksStand(t *testing.T) {
	files := map[string]string{"cloth.csv": evenCloth("cloth", 5), "lamps.csv": oneLamp,
		"setup.csv": "key,value\nfloor y,-0.6 m\ncamera,A\n",
		"ratio.csv": "# iso: 800\n# shutter: 1/50\nmark,role,E (lx),to screen (m),x (m),y (m)\nstage,key,300,,,\nstage,fill,100,,,\nstage,spill,20,3.2,2.65,1\n"}
	r := read(t, folderOf(files), Options{})
	s := r.resetSheet(document.Words{})
	// 2.65 m less the middle of 4.8 m; 1 m over an edge that is 0.6 m over the floor.
	if under := strings.Join(s.Under, " "); !strings.Contains(under, "Marks, 3.20 out · 1.60 high: stage 0.25 right.") {
		t.Errorf("%q", under)
	}
	if slices.Contains(s.Missing, "where the marks stand") {
		t.Error("where the marks stand is said to be missing")
	}
	if exposed := strings.Join(s.Exposed, "; "); !strings.Contains(exposed, "camera A") {
		t.Errorf("exposure: %q", exposed)
	}
}

// What stands on a drawn sheet keeps the 5 mm from the edge of the paper that many printers
// leave empty, however many tables its foot names and however long its titles are; and a
// title is not squeezed beside another.
func TestDrawnSheetKeepsItsMargins(t *testing.T) {
	long := strings.Repeat("a hand-painted forest ", 4) + "backdrop"
	files := map[string]string{"cloth.csv": evenCloth(long, 5), "setup.csv": "key,value\ntitle,The Moth and the Lantern\nscene,the garden by night\n"}
	for i := range 12 {
		files[fmt.Sprintf("key-light-series-%d.csv", i)] = "distance (m),E (lx)\n1,1000\n2,250\n3,111\n4,62.5\n"
	}
	var svg strings.Builder
	if _, err := read(t, folderOf(files), Options{}).ResetSheet(&svg, document.Words{}, "svg"); err != nil {
		t.Fatal(err)
	}
	const millimeter = 144 / 25.4 // two pixels to a point
	texts := regexp.MustCompile(`<text x="([0-9.]+)" y="([0-9.]+)" font-size="([0-9.]+)"[^>]*>([^<]*)`).FindAllStringSubmatch(svg.String(), -1)
	title := 0
	for _, text := range texts {
		if y, _ := strconv.ParseFloat(text[2], 64); y > 1684-5*millimeter {
			t.Errorf("%q stands %.1f mm over the edge of the paper", text[4], (1684-y)/millimeter)
		}
		if text[3] == "23" {
			title++
		}
	}
	if len(texts) < 40 || title != 1 {
		t.Errorf("%d texts, the title in %d lines", len(texts), title)
	}
}
