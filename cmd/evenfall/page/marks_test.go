package page

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// onDisk are the rows of a table without its notes and times.
func (s *site) onDisk(name string) string {
	s.t.Helper()
	content, err := os.ReadFile(filepath.Join(s.folder, name))
	if err != nil {
		s.t.Fatal(err)
	}
	var rows []string
	for _, line := range strings.Split(strings.TrimSpace(string(content)), "\n") {
		cells := strings.Split(line, ",")
		if !strings.HasPrefix(line, "#") && cells[0] != "mark" {
			cells[2] = ""
			rows = append(rows, strings.Join(cells, ","))
		}
	}
	return strings.Join(rows, "\n")
}

// A new table of lights at marks asks for each light at each mark; acts write it as they
// do a survey.
func TestMarksAreEntered(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	if status, body := s.ask("POST", "/api/marks", `{"title":"puppets","date":"2026-03-04","marks":["center"," left "],"lights":["key","fill","key+fill","back"],"target":"4:1"}`); status != 201 {
		t.Fatalf("%d %s", status, body)
	}
	if status, body := s.ask("POST", "/api/dials", `{"lamps":["key"],"settings":["50","100","50.0 %"]}`); status != 400 || !strings.Contains(body, "setting 50 % twice") {
		t.Errorf("%d %s", status, body)
	}
	for i, e := range []Entry{
		{Label: "center", Lamp: "key", Text: "800", Kind: kindRead},
		{Label: "center", Lamp: "fill", Text: "200", Kind: kindRead},
		{Label: "center", Lamp: "fill", Text: "210", Kind: kindRead, Seen: 1002},
		{Label: "left", Lamp: "key", Text: "640", Kind: kindRead},
		{Label: "left", Lamp: "key", Text: "638", Kind: kindAgain},
		{Label: "left", Lamp: "Back light", Text: "0", Kind: kindRead},
		{Label: "right", Lamp: "hair", Text: "30 fc", Kind: kindRead},
		{Label: "left", Lamp: "moon", Text: "3", Kind: kindRead},
		{Label: "center", Lamp: "key+fill", Text: "990", Kind: kindRead},
	} {
		e.ID, e.At = fmt.Sprint(i), 1001+int64(i)
		out := s.send("ratio.csv", e).Entries[0]
		if want := map[bool]string{true: refused, false: stored}[e.Lamp == "moon"]; out.Outcome != want {
			t.Errorf("%+v: %+v", e, out)
		}
		if e.Lamp == "key+fill" {
			u := Entry{ID: "u", Label: e.Label, Lamp: e.Lamp, At: 1100, Kind: kindUndo, Undo: out.Undo}
			if o := s.send("ratio.csv", u).Entries[0]; o.Outcome != stored {
				t.Errorf("undo: %+v", o)
			}
		}
	}
	want := "center,key,,800,camera,\ncenter,fill,,210,camera,was 200 lx TIME\ncenter,key+fill,,,camera,\ncenter,back,,,lamp,\n" +
		"left,key,,640,camera,\nleft,fill,,,camera,\nleft,key+fill,,,camera,\nleft,back,,0,lamp,\nleft,key,,638,camera,again\nright,hair,,30 fc,lamp"
	got := s.onDisk("ratio.csv")
	if at := strings.Index(got, "was 200 lx "); at > 0 {
		got = got[:at] + "was 200 lx TIME" + got[at+len("was 200 lx 00:00:01"):]
	}
	if got != want {
		t.Errorf("on the disk:\n%s\nexpected\n%s", got, want)
	}
	var st State
	s.get("/api/surveys/ratio.csv", &st)
	if l := st.Lights["back"]; l.How != "Only the back light on. Receptor toward the lamp." || len(l.Marks) != 2 {
		t.Errorf("%+v", l)
	}
	if len(st.Lamps) != 5 || st.Progress["key"] != (counted{2, 2}) || st.Progress["fill"] != (counted{1, 2}) || st.Cells["key"]["left"].Repeats == nil {
		t.Errorf("%v %v", st.Lamps, st.Progress)
	}
	// 800 to 210 is 3.8:1 and within a third of a stop of 4:1; the other mark is not read.
	if j := st.Judgments; len(j) != 1 || j[0].Word != saysUnsure || st.Do == nil || !strings.HasPrefix(st.Do[0], "Read on: 4 to go") {
		t.Errorf("%+v %v", j, st.Do)
	}
}

// Lights whose levels are in several columns are read each in its own.
func TestMarksInTheirColumns(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	write(t, s, "ratio.csv", "mark,role,time,E (lx),L (cd/m²),lamp,aim\nA,key,,331,,frame,camera\nA,key,,120,,panel,camera\nA,background,,,8.3,,\nA,screen,,,,,\n")
	var st State
	s.get("/api/surveys/ratio.csv", &st)
	if fmt.Sprint(st.Lamps) != "[key, frame key, panel background screen]" || st.Lights["background"].Unit != "cd/m²" || st.Lights["screen"].Unit != "lx" {
		t.Fatalf("%v %+v", st.Lamps, st.Lights)
	}
	if how := st.Lights["background"].How; !strings.HasSuffix(how, "Spot meter from the camera.") {
		t.Error(how)
	}
	for i, e := range []Entry{{Label: "A", Lamp: "background", Text: "8.5", Kind: kindAgain}, {Label: "A", Lamp: "key, panel", Text: "125", Kind: kindAgain}, {Label: "A", Lamp: "screen", Text: "950", Kind: kindRead}} {
		e.ID, e.At = fmt.Sprint(i), 1001+int64(i)
		if out := s.send("ratio.csv", e).Entries[0]; out.Outcome != stored {
			t.Errorf("%+v", out)
		}
	}
	if got := s.onDisk("ratio.csv"); !strings.Contains(got, "A,screen,,950,,") || !strings.Contains(got, "A,background,,,8.5,,,again") || !strings.Contains(got, "A,key,,125,,panel,camera,again") {
		t.Error(got)
	}
}

// Lamps read alone at a few places have the grid of the cloth that their file is named
// after: B8 is second from camera right of nine, not at the edge of eight.
func TestLampsHaveTheGridOfTheirCloth(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	write(t, s, "cloth.csv", "# width: 4.8 m\n# height: 2.4 m\n# grid: 9x5\nlabel,E (lx)\nA1,700\n")
	lamps := "# width: 4.8 m\n# height: 2.4 m\nlamp,label,x (m),y (m),E (lx)\nleft,B2,0.800,1.680,625\nleft,D8,4.000,0.720,162\nright,B8,4.000,1.680,\n"
	write(t, s, "cloth-lamps.csv", lamps)
	write(t, s, "other-lamps.csv", lamps)
	var st State
	s.get("/api/surveys/cloth-lamps.csv", &st)
	if st.Columns != 9 || st.Rows != 5 || len(st.Places) != 3 || !strings.Contains(st.Places[1].Words+st.Places[2].Words, "second from camera right") {
		t.Errorf("%d × %d: %+v", st.Columns, st.Rows, st.Places)
	}
	if s.get("/api/surveys/other-lamps.csv", &st); st.Columns != 8 {
		t.Errorf("without a cloth: %d", st.Columns)
	}
	e := Entry{ID: "1", Label: "B8", Lamp: "right", At: 1001, Text: "1222", Kind: kindRead}
	if out := s.send("cloth-lamps.csv", e).Entries[0]; out.Outcome != stored {
		t.Errorf("%+v", out)
	}
}
