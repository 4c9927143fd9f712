package match

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"evenfall/photometry"
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
// key stands 2/3 off it. 5600 K to 5000 K is 200 − 178.57 = 21.43 mired.
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
	// s = 0.01/ln 2 twice, over three lights.
	if half := m.OffsetInterval[1] - m.OffsetStops; math.Abs(half-1.959964*0.01/math.Ln2*math.Sqrt(2.0/3)) > 1e-6 {
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

// Two folders with marks and a surface: both are judged, the worst decides.
func TestMatchFolders(t *testing.T) {
	cloth := "# surface: cloth\n# repeatability: 1 %\n# width: 3\n# height: 1\nlabel,E (lx)\nA1,500\nA2,510\nA3,505\n"
	folder := func(files map[string]string) Folder {
		fsys := fstest.MapFS{}
		for name, text := range files {
			fsys[name] = &fstest.MapFile{Data: []byte(text)}
		}
		return Folder{FS: fsys}
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
