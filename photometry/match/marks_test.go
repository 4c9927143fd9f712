package match

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

const marksBefore = `# date: 2026-03-04
# repeatability: 1 %
mark,role,E (lx),CCT (K)
chair,key,800,5600
chair,fill,200,5600
door,key,400,5000
`

// By hand: key at half is −1 stop, the others as they were: a mean of −1/3, and the
// key is 2/3 off it. 5600 K to 5000 K is 200 − 178.57 = 21.43 mired.
func TestMatchMarks(t *testing.T) {
	after := strings.NewReplacer("03-04", "03-05", "key,800,5600", "key,400,5000", "door,key", "window,key").Replace(marksBefore) + "door,key,400,5000\n"
	in := func(name, text string) []survey.Input {
		return []survey.Input{{Name: name, Reader: strings.NewReader(text)}}
	}
	r, err := Read(Files{Before: in("a.csv", marksBefore), After: in("b.csv", after)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := r.Marks
	if len(m.Pairs) != 3 || math.Abs(m.OffsetStops+1.0/3) > 1e-12 || math.Abs(*m.PatternStops-2.0/3) > 1e-12 || math.Abs(*m.OffsetMired-(1e6/5000-1e6/5600)/3) > 1e-9 {
		t.Errorf("%+v", m)
	}
	// s = 0.01/ln 2, and whole lux at 200, twice, over three lights.
	s := math.Hypot(0.01/math.Ln2, math.Log2(200.5/199.5)/math.Sqrt(12))
	if half := m.OffsetInterval[1] - m.OffsetStops; math.Abs(half-1.959964*s*math.Sqrt(2.0/3)) > 1e-6 {
		t.Errorf("half interval %g", half)
	}
	if m.Worst.Name() != "chair key" || m.Verdict.Pattern != uncertainty.Fail || m.Verdict.Color != uncertainty.Fail || len(m.UnpairedAfter) != 1 || r.Verdict.Overall != uncertainty.Fail {
		t.Errorf("worst %v, verdict %+v, unpaired %v", m.Worst, m.Verdict, m.UnpairedAfter)
	}
	// What a match of surfaces has is absent, not zero.
	if text, err := json.Marshal(r); err != nil || bytes.Contains(text, []byte("paired_by")) || bytes.Contains(text, []byte("pattern_rms_stops")) || bytes.Contains(text, []byte("x_m")) {
		t.Errorf("%s %v", text, err)
	}
	if r.Steps[0].Code != StepOneLamp || r.Steps[0].Values["today"] != (photometry.Level{Value: 400}) || r.Steps[0].Values["before"] != (photometry.Level{Value: 800}) || r.Steps[1].Code != StepGel {
		t.Errorf("%v", r.Steps)
	}
	if _, err := Read(Files{Before: in("a.csv", marksBefore), After: in("b.csv", "x (m),y (m),E (lx)\n0,0,1\n1,0,1\n")}, Options{}); err == nil || !strings.Contains(err.Error(), "of lights at marks, the other of a surface") {
		t.Errorf("marks against a surface: %v", err)
	}
}

// A light that is off is a level: off on both days it is as it was, off on one it has
// changed, and neither has stops. Levels are written as the table of the day before is.
func TestMatchMarksThatAreOff(t *testing.T) {
	const before = "mark,role,E (fc)\nchair,key,80\nchair,fill,0\ndoor,fill,0\n"
	in := func(text string) []survey.Input {
		return []survey.Input{{Name: "ratio.csv", Reader: strings.NewReader(text)}}
	}
	for fill, want := range map[string]string{"0": uncertainty.Unsure, "7": uncertainty.Fail} {
		r, err := Read(Files{Before: in(before), After: in(strings.Replace(before, "chair,fill,0", "chair,fill,"+fill, 1))}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		m := r.Marks
		if len(m.Pairs) != 3 || m.Pairs[1].Stops != nil || m.Pairs[2].Stops != nil || m.PatternStops != nil || m.Verdict.Pattern != want {
			t.Errorf("fill of %s: %+v", fill, m)
		}
		if off := r.Steps[0].Key == "match.switched.one_lamp"; off != (fill == "7") {
			t.Errorf("fill of %s: steps %v", fill, r.Steps)
		}
		if got := m.Format(photometry.Level{Value: photometry.Lux(80)}); got != "80.0 fc" {
			t.Errorf("a level is written %s", got)
		}
	}
	if _, err := Read(Files{Before: in("mark,role,E (fc)\nchair,fill,0\n"), After: in("mark,role,E (fc)\nchair,fill,0\n")}, Options{}); err == nil {
		t.Error("no light that is on is no error")
	}
}

// Flash is written in f-numbers, exposure values as such, tables of both in lux.
func TestMatchMarksAsRead(t *testing.T) {
	for rows, want := range map[string]string{
		"# light: flash\nmark,role,f\nchair,key,8\n":                                   "f/8",
		"mark,role,EV\nchair,key,10\n":                                                 "EV 10.0",
		"mark,role,level\nchair,key,10 EV\nchair,fill,100 lx\n":                        "2560 lx",
		"# iso: 100\n# light: continuous\n# shutter: 1/50\nmark,role,f\nchair,key,8\n": "f/8",
	} {
		in := func() []survey.Input { return []survey.Input{{Name: "ratio.csv", Reader: strings.NewReader(rows)}} }
		r, err := Read(Files{Before: in(), After: in()}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := r.Marks.Pairs[0]
		if got := r.Marks.Format(p.level(p.Before)); got != want {
			t.Errorf("%q is written %s, want %s", rows, got, want)
		}
	}
}

// Two folders with marks and a surface: both are judged, the worst decides.
func TestMatchFolders(t *testing.T) {
	cloth := "# surface: cloth\n# repeatability: 1 %\n# width: 3\n# height: 1\nlabel,E (lx)\nA1,500\nA2,510\nA3,505\nB1,502\nB2,508\n"
	folder := func(files map[string]string) *Folder {
		fsys := fstest.MapFS{}
		for name, text := range files {
			fsys[name] = &fstest.MapFile{Data: []byte(text)}
		}
		found, err := setup.OpenFolder(fsys)
		if err != nil {
			t.Fatal(err)
		}
		return &Folder{Folder: found, FS: fsys}
	}
	before := folder(map[string]string{"cloth.csv": cloth, "ratio.csv": marksBefore})
	after := folder(map[string]string{"cloth.csv": strings.Replace(cloth, "505", "506", 1), "ratio.csv": strings.Replace(marksBefore, "key,800", "key,400", 1)})
	r, err := CompareFolders(before, after, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Verdict.Overall != uncertainty.Pass || r.Marks == nil || r.Marks.Verdict.Overall != uncertainty.Fail || r.Verdict.Worst() != uncertainty.Fail {
		t.Errorf("%+v, marks %+v", r.Verdict, r.Marks)
	}
	// Without surveys the marks are the result.
	r, err = CompareFolders(folder(map[string]string{"ratio.csv": marksBefore}), after, nil, Options{})
	if err != nil || r.Verdict.Overall != uncertainty.Fail || len(r.Points) != 0 {
		t.Errorf("%v, %v", r, err)
	}
	if _, err := CompareFolders(folder(nil), after, nil, Options{}); err == nil || !strings.Contains(err.Error(), "no table of readings") {
		t.Errorf("an empty folder: %v", err)
	}
}
