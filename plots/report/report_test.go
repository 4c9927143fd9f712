package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"flag"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/match"
	"evenfall/photometry/survey"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

var update = flag.Bool("update", false, "rewrite golden files")

func folderOf(files map[string]string) fstest.MapFS {
	out := fstest.MapFS{}
	for name, content := range files {
		out[name] = &fstest.MapFile{Data: []byte(content)}
	}
	return out
}

// cloth is a small survey, even but for the right column; invented.
func cloth(title, date string, right float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# surface: %s\n# for: screen\n# date: %s\n# width: 2 m\n# height: 1 m\n# repeatability: 1 %%\nlabel,time,E (lx),CCT (K),Duv\n", title, date)
	for row := range 3 {
		for column, level := range []float64{800, 810, right} {
			fmt.Fprintf(&b, "%c%d,10:%02d,%.0f,%d,0.001\n", 'A'+row, column+1, 3*row+column, level-float64(5*row), 5600+10*column)
		}
	}
	return b.String()
}

const twoLamps = `# light: continuous
name,kind,x (m),y (m),z (m),aim x (m),aim y (m),aim z (m),flux (lm),beam (deg),stand height (m),power (W),spot or flood,scrims,diffusion,gel,trim,dimmer (%),CCT (K),Duv,note
left,point,-1,1,2.5,1,0.5,0,9000,70,1.6,150,full flood,single,quarter,half blue,4 on the knob,100,5600,0.001,by the door
right,point,3,1,2.5,1,0.5,0,9000,70,1.6,150,half spot,none,,,,80,5600,0.002,
`

// theatre is a folder with one of everything; invented.
func theatre() fstest.MapFS {
	return folderOf(map[string]string{
		"setup.csv":      "key,value,note\ntitle,The Paper Moon,\nscene,2,\nmark,stage,\ndate,2026-05-02,\ncamera,B,\nISO,400,\nframe rate,25,\nshutter,180°,\nT-stop,T4,\nND,0.3,\ntarget K,5600,\nmains,50 Hz,\nfloor y,-0.6 m,\nnotes,doors closed,\nrigger,evening crew,two people\nphoto,stage.png,\n",
		"cloth.csv":      cloth("paper sky", "2026-05-02", 900),
		"cloth-old.csv":  cloth("paper sky", "2026-05-01", 1000),
		"cloth-more.csv": cloth("paper sky", "2026-04-30", 700),
		"lamps.csv":      twoLamps,
		"ratio.csv":      "# target: 2:1\nmark,role,lamp,E (lx),aim,CCT (K),Duv,distance (m)\nstage,key,left,800,lamp,5600,0.001,1.5\nstage,fill,right,400,camera,5500,,\nstage,key+fill,,1200,camera,,,\nstage,back,,200,camera,,,\n",
		"gels.csv":       "name,kind,mired,CC,transmission (%)\nhalf blue,CTB,-66,,53\nhalf rose,minus green,,15M,70\n",
		"cameras.csv":    "camera,measured K,measured Duv,camera K,camera tint\nB,5600,0.001,5500,2\n",
		"along.csv":      "# surface: left lamp\ndistance (m),E (lx)\n1,3600\n1.5,1602\n2,899\n2.5,577\n3,400\n4,226\n",
		"broken.xlsx":    "no workbook\x00",
		"words.txt":      "hello\n",
		"stage.png":      pixel,
		"left-lamp.jpg":  "no picture",
	})
}

// pixel is a PNG of one pixel.
const pixel = "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x06\x00\x00\x00\x1f\x15\xc4\x89\x00\x00\x00\rIDATx\x9cc\xf8\xcf\xc0\xf0\x1f\x00\x05\x00\x01\xff\x89\x99=\x1d\x00\x00\x00\x00IEND\xaeB`\x82"

func read(t testing.TB, fsys fs.FS, o Options) *Report {
	t.Helper()
	r, err := Read(fsys, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func pageOf(t testing.TB, r *Report) string {
	t.Helper()
	var b bytes.Buffer
	if err := r.HTML(&b, document.Words{}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The text of a fixed folder's report stands in testdata: read it when it changes.
func TestGoldenText(t *testing.T) {
	r := read(t, theatre(), Options{})
	var md bytes.Buffer
	if err := r.Markdown(&md, document.Words{}); err != nil {
		t.Fatal(err)
	}
	same(t, "theatre.md", md.String())
	same(t, "theatre.txt", textOf(t, pageOf(t, r)))
}

func same(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		gotLines, wantLines := strings.Split(got, "\n"), strings.Split(string(want), "\n")
		for i := range gotLines {
			if i >= len(wantLines) || gotLines[i] != wantLines[i] {
				t.Fatalf("%s: line %d is\n%s\nrun with -update where that is meant", name, i+1, gotLines[i])
			}
		}
		t.Fatalf("%s: %d lines, want %d", name, len(gotLines), len(wantLines))
	}
}

// The result in a report is that of the command: the same files by the same
// packages.
func TestSameResultAsSurvey(t *testing.T) {
	r := read(t, theatre(), Options{})
	s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(cloth("paper sky", "2026-05-02", 900))}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := evenness.Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	got := *r.Surfaces[0].Result
	got.Exposure, want.Exposure = nil, nil // ISO and shutter are the set-up's
	a, _ := json.Marshal(answers.Describe(got))
	b, _ := json.Marshal(answers.Describe(want))
	if !bytes.Equal(a, b) {
		t.Errorf("the report says\n%s\nsurvey says\n%s", a, b)
	}
}

// N²/t = E·S/C (ISO 2720): 1/50 s at 180° and 25 frames a second, ISO 400, C = 250;
// ND 0.3 takes a stop, and T4 is 2^2.
func TestExposure(t *testing.T) {
	r := read(t, theatre(), Options{})
	e := r.Exposure
	if e == nil || len(e.Areas) != 2 {
		t.Fatalf("exposure %+v", e)
	}
	if e.ISO != 400 || math.Abs(e.ShutterS-0.02) > 1e-12 || math.Abs(e.LossStops-1) > 1e-12 || e.SetFNumber == nil || *e.SetFNumber != 4 {
		t.Errorf("settings %+v", e)
	}
	level := r.Surfaces[0].Result.Evenness.Mean
	want := math.Sqrt(level*0.02*400/250) / math.Sqrt2
	// The mark is exposed for key plus fill, 1200 lx.
	if mark, want := e.Areas[0], math.Sqrt(1200*0.02*400/250/2); math.Abs(mark.FNumber-want) > 1e-9 || math.Abs(*mark.OverStops-math.Log2(want*want/16)) > 1e-9 {
		t.Errorf("the mark at f/%v, %v stops over, want f/%v", mark.FNumber, *mark.OverStops, want)
	}
	if got := e.Areas[1].FNumber; math.Abs(got-want) > 1e-9 {
		t.Errorf("f-number %v, want %v", got, want)
	}
	if got, want := *e.Areas[1].OverStops, math.Log2(want*want/16); math.Abs(got-want) > 1e-9 {
		t.Errorf("%v stops over the lens, want %v", got, want)
	}
	// A dome's constant is 340 (ISO 2720): the light is compared, not what each would set.
	dome := theatre()
	dome["ratio.csv"].Data = append([]byte("# receptor: dome\n"), dome["ratio.csv"].Data...)
	areas := read(t, dome, Options{}).Exposure.Areas
	if got, want := *areas[1].OverStops-*areas[0].OverStops, math.Log2(level/1200); math.Abs(got-want) > 1e-9 {
		t.Errorf("a flat surface is %v stops of light over a dome's mark, want %v", got, want)
	}
	if got, want := 2*math.Log2(areas[1].FNumber/areas[0].FNumber), math.Log2(level/1200*340/250); math.Abs(got-want) > 1e-9 {
		t.Errorf("f-numbers %v stops apart, want %v", got, want)
	}
	if from := strings.Join(e.From, ";"); from != "ISO 400, 1/50 s from setup.csv" {
		t.Errorf("from %q", from)
	}
	// A survey's own notes win, and that is told.
	folder := theatre()
	folder["cloth.csv"].Data = append([]byte("# iso: 800\n# shutter: 1/100\n"), folder["cloth.csv"].Data...)
	e = read(t, folder, Options{}).Exposure
	if from := strings.Join(e.From, "; "); !strings.Contains(from, "ISO 800, 1/100 s for paper sky, by its own notes") {
		t.Errorf("from %q", from)
	}
	if got := e.Areas[1].FNumber; math.Abs(got-want) > 1e-9 { // twice the speed, half the time
		t.Errorf("f-number %v by the file's notes, want %v", got, want)
	}
}

func TestDaysOfOneSurface(t *testing.T) {
	r := read(t, theatre(), Options{})
	if len(r.Surfaces) != 1 {
		t.Fatalf("%d surfaces", len(r.Surfaces))
	}
	s := r.Surfaces[0]
	if s.Date != "2026-05-02" || s.Before == nil || s.Before.Date != "2026-05-01" || len(s.Older) != 2 || s.Older[1].Date != "2026-04-30" {
		t.Errorf("subject %s, before %+v, older %+v", s.Date, s.Before, s.Older)
	}
}

// The match in a report is that of survey, and what differs between the tables of
// two folders comes along.
func TestMatchOfTheDays(t *testing.T) {
	r := read(t, theatre(), Options{})
	m := r.Surfaces[0].Before.Match
	if m == nil {
		t.Fatalf("no match: %v", r.Problems)
	}
	in := func(name, content string) []survey.Input {
		return []survey.Input{{Name: name, Reader: strings.NewReader(content)}}
	}
	want, err := match.Read(match.Files{Before: in("cloth-old.csv", cloth("paper sky", "2026-05-01", 1000)), After: in("cloth.csv", cloth("paper sky", "2026-05-02", 900))}, match.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, _ := json.Marshal(answers.Describe(m))
	b, _ := json.Marshal(answers.Describe(want))
	if !bytes.Equal(a, b) {
		t.Errorf("the report says\n%s\nsurvey says\n%s", a, b)
	}
	// The right column is 900 lx where it was 1000, the others are as they were.
	if w := m.Worst; math.Abs(w.Stops-math.Log2(900.0/1000)) > 0.02 {
		t.Errorf("most changed %+v", w)
	}
	day := folderOf(map[string]string{"sky.csv": cloth("paper sky", "2026-05-01", 1000), "lamps.csv": strings.Replace(twoLamps, "half blue", "", 1)})
	m = read(t, theatre(), Options{Before: day, BeforeName: "yesterday"}).Surfaces[0].Before.Match
	if len(m.Changes) != 1 || m.Changes[0].Code != "gel" || m.Changes[0].To != "half blue" {
		t.Errorf("changes %+v", m.Changes)
	}
	text := textOf(t, pageOf(t, read(t, theatre(), Options{Before: day, BeforeName: "yesterday"})))
	if told := answers.Sentence(document.Words{}, m.Changes[0].Text.Finding); !strings.Contains(text, told) {
		t.Errorf("the page does not tell: %s", told)
	}
}

func TestAnotherDaysFolder(t *testing.T) {
	day := folderOf(map[string]string{"sky.csv": cloth("Paper Sky", "2026-03-01", 870)})
	r := read(t, theatre(), Options{Before: day, BeforeName: "../march"})
	if b := r.Surfaces[0].Before; b == nil || b.From != "../march" || b.Date != "2026-03-01" {
		t.Errorf("before %+v", b)
	}
	// What lies elsewhere is an input as well, with its checksum, and so listed.
	sum := sha256.Sum256(day["sky.csv"].Data)
	want := File{"../march/sky.csv", int64(len(day["sky.csv"].Data)), hex.EncodeToString(sum[:])}
	parts := r.Verdict.Parts
	if k := slices.IndexFunc(parts, func(p Part) bool { return strings.Contains(p.What, "against ../march") }); k < 0 || !slices.Contains(parts[k].Inputs, want) {
		t.Errorf("parts %+v, expected the input %+v", parts, want)
	}
	if text := textOf(t, pageOf(t, r)); !strings.Contains(text, want.Name) {
		t.Errorf("the page does not list %s", want.Name)
	}
	// Named by the set-up, within the folder: its files are handed over too.
	folder := theatre()
	folder["setup.csv"].Data = append(folder["setup.csv"].Data, "before,march,\n"...)
	folder["march/sky.csv"] = day["sky.csv"]
	r = read(t, folder, Options{})
	if b := r.Surfaces[0].Before; b == nil || b.From != "march" {
		t.Errorf("before %+v, problems %v", b, r.Problems)
	}
	names := ""
	for _, f := range r.Files {
		names += f.Name + " "
	}
	if !strings.Contains(names, "march/sky.csv") {
		t.Errorf("files %s", names)
	}
	// A survey of the same folder.
	folder = theatre()
	folder["setup.csv"].Data = append(folder["setup.csv"].Data, "before,cloth-more.csv,\n"...)
	if b := read(t, folder, Options{}).Surfaces[0].Before; b == nil || b.Date != "2026-04-30" {
		t.Errorf("before %+v", b)
	}
	for value, want := range map[string]string{"../other": "expected a folder or a survey within this folder", "nowhere": "does not exist", "lamps.csv": "found no survey"} {
		folder = theatre()
		folder["setup.csv"].Data = append(folder["setup.csv"].Data, "before,"+value+",\n"...)
		text := ""
		for _, p := range read(t, folder, Options{}).Problems {
			text += p.File + ": " + p.Text + "\n"
		}
		if !strings.Contains(text, want) {
			t.Errorf("before %s: problems\n%s", value, text)
		}
	}
}

// Whoever has only the report can put the lamps back: every cell of lamps.csv that
// is filled stands in the lamps' rows, and the places of the surface are told.
func TestEveryCellOfTheLampsIsTold(t *testing.T) {
	const full = `name,kind,x (m),y (m),z (m),aim x (m),aim y (m),aim z (m),flux (lm),beam (deg),source width (m),source height (m),stand height (m),dimmer (%),CCT (K),Duv,behind,material,transmission (%),spill (%),undiffused (%),lobe m,reflectance (%),power (W),spot or flood,scrims,diffusion,gel,trim,note
lead,disc,-1.11,1.22,2.33,1.44,0.55,0.06,9100,71,0.31,,1.82,83,5610,0.0013,,,,,,,,151,7 of 10,single,quarter grid,half sky,4.2 on the knob,by the door
sheet,frame,0.61,1.52,2.03,1.24,0.95,0.36,,,1.13,0.97,2.12,91,,,lead,,43,17,12,1.5,,,,,edges taped,,,hangs from two stands
board,bounce,3.07,1.16,2.21,1.38,0.59,0.02,,,0.84,1.26,1.76,,,,lead,,,,,,77,,,,,,,on sandbags
shade,flag,0.29,1.41,1.34,0.28,1.41,0.04,,,0.66,0.42,2.01,,,,,,3,,,,,,,,,,,keeps spill off
`
	folder := folderOf(map[string]string{"lamps.csv": full, "setup.csv": "key,value\nfloor y,-0.6\n"})
	r := read(t, folder, Options{})
	for _, p := range r.Problems {
		t.Errorf("%s: %s", p.File, p.Text)
	}
	_, text, _ := strings.Cut(textOf(t, pageOf(t, r)), "## Lamps")
	text, _, _ = strings.Cut(text, "## Plan view")
	text = strings.ReplaceAll(text, "\u2212", "-")
	rows := strings.Split(text, "\n")
	for line := range strings.Lines(full) {
		cells := strings.Split(strings.TrimSpace(line), ",")
		if cells[0] == "name" {
			continue
		}
		row := ""
		for _, candidate := range rows {
			if strings.HasPrefix(candidate, cells[0]+" (") {
				row = candidate
			}
		}
		for _, cell := range cells {
			if !strings.Contains(row, cell) {
				t.Errorf("%s: %q is not in %q", cells[0], cell, row)
			}
		}
	}
}

// Lengths in feet and levels in footcandles, for people only.
func TestOtherUnits(t *testing.T) {
	var page bytes.Buffer
	if err := read(t, theatre(), Options{}).HTML(&page, document.Words{Unit: photometry.FC, Feet: true}); err != nil {
		t.Fatal(err)
	}
	text := textOf(t, page.String())
	for _, want := range []string{"mean (by area) | 77.3 fc", "x -3.28, y 3.28, z 8.20 ft", "6.56 × 3.28 ft", "The floor is at y -1.97 ft", "x (ft)", "74.3 fc"} {
		if !strings.Contains(strings.ReplaceAll(text, "\u2212", "-"), want) {
			t.Errorf("no %q", want)
		}
	}
	if meters := regexp.MustCompile(`[0-9] (m|lx)\b`).FindString(text); meters != "" {
		t.Errorf("found %q in a report in feet and footcandles", meters)
	}
}

// TestCheckPlaces has the receptor with the check readings of the reset sheet: once where
// all were read with one, else with each; where no note says it, it is not on file.
// Places are the middles of the cells of 2 × 1 m, 0.6 m off the floor.
func TestCheckPlaces(t *testing.T) {
	const marks = "mark,role,lamp,E (lx),aim\nstage,key,left,800,lamp\n"
	alone := "# width: 2 m\n# height: 1 m\nlamp,label,E (lx)\nleft,A1,400\nleft,B2,300\n"
	both := strings.Replace(alone, "left,B2", "right,B2", 1)
	for _, c := range []struct{ ratio, lamps, head, places string }{
		{"# receptor: dome\n" + marks, "", "Checks, dome receptor", "stage, key toward lamp"},
		{"", "# receptor: flat\n" + both, "Checks, flat receptor", "A1 0.67 left · 1.43 high; B2 center · 1.10 high"},
		{marks, "", "Checks, receptor not on file", "stage, key toward lamp"},
		{strings.ReplaceAll(strings.Replace(marks, "aim\n", "aim,receptor\n", 1), "lamp\n", "lamp,flat\n"), "", "Checks, flat receptor", "stage, key toward lamp"},
		{marks, both, "Checks, receptor not on file", "A1 0.67 left · 1.43 high; B2 center · 1.10 high"},
		{"# receptor: dome\n" + marks, strings.ReplaceAll("# receptor: flat\n"+alone, "left", "right"), "Checks", "stage, key toward lamp, dome receptor; A1 0.67 left · 1.43 high, flat receptor"},
	} {
		files := folderOf(map[string]string{"setup.csv": "key,value\nfloor y,-0.6 m\n", "cloth.csv": cloth("sky", "2026-05-02", 900), "lamps.csv": twoLamps})
		for name, text := range map[string]string{"ratio.csv": c.ratio, "cloth-alone.csv": c.lamps} {
			if text != "" {
				files[name] = &fstest.MapFile{Data: []byte(text)}
			}
		}
		r := read(t, files, Options{})
		head, places := r.checkPlaces(answers.Resetter{Surface: r.plan.views.Surface, FloorY: r.plan.views.FloorY})
		if head != c.head || strings.Join(places, "; ") != c.places {
			t.Errorf("%q, %q instead of %q, %q", head, places, c.head, c.places)
		}
	}
}
