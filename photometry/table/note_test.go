package table

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestNotes reads the forms in which notes come out of spreadsheet programs.
func TestNotes(t *testing.T) {
	area := Note{"area", "0.3,0.2,4.5,2.2", 1, 1}
	for _, c := range []struct {
		note, table string
		want        Note
	}{
		{`# area: 0.3,0.2,4.5,2.2`, "x,y\n1,2\n", area},
		{`"# area: 0.3,0.2,4.5,2.2",,,`, "x,y\n1,2\n", area},
		{`# area: 0.3,0.2,4.5,2.2,,,`, "x,y\n1,2\n", area},
		{`#area:0.3,0.2,4.5,2.2`, "x,y\n1,2\n", area},
		{`  #  Area :  0.3,0.2,4.5,2.2  `, "x,y\n1,2\n", area},
		{`# area: 0.3,0.2,4.5,2.2;;;`, "x;y\n1;2\n", area},
		{`# area: 0.3,0.2,4.5,2.2` + "\t\t", "x\ty\n1\t2\n", area},
		{`# area:,"0.3,0.2,4.5,2.2",,`, "x,y\n1,2\n", area},
		{`"# area:","0.3,0.2,4.5,2.2"`, "x,y\n1,2\n", area},
		{`"# area","0.3,0.2,4.5,2.2",`, "x,y\n1,2\n", area},
		{`# area,0.3,0.2,4.5,2.2`, "x,y\n1,2\n", area},
		{`# area:,0.3,0.2,4.5,2.2,`, "x,y\n1,2\n", area},
		{`# area;0,3;0,2;4,5;2,2`, "x;y\n1;2\n", Note{"area", "0,3;0,2;4,5;2,2", 1, 1}},
		{`# width: 4.8,,,`, "x,y\n1,2\n", Note{"width", "4.8", 1, 1}},
		{`"# width",4.8`, "x,y\n1,2\n", Note{"width", "4.8", 1, 1}},
		{`# width;4,8;;`, "x;y\n1;2\n", Note{"width", "4,8", 1, 1}},
		{"# width\t4.8\t", "x\ty\n1\t2\n", Note{"width", "4.8", 1, 1}},
		{`# width,4.8`, "x;y\n1;2\n", Note{"width", "4.8", 1, 1}},
		{`,,# width: 4.8`, "x,y\n1,2\n", Note{"width", "4.8", 1, 3}},
		{`# Color  Tolerance: 10 mired, 0.003 Duv,,`, "x,y\n1,2\n", Note{"color tolerance", "10 mired, 0.003 Duv", 1, 1}},
		{`# light: say "flash", twice,,`, "x,y\n1,2\n", Note{"light", `say "flash", twice`, 1, 1}},
		{`# width: 8' 6"`, "x,y\n1,2\n", Note{"width", `8' 6"`, 1, 1}},
		{`# date: 2026-11-25 10:05`, "x,y\n1,2\n", Note{"date", "2026-11-25 10:05", 1, 1}},
		{"# surface: caf\xe9", "x,y\n1,2\n", Note{"surface", "café", 1, 1}},
		{`"# surface: a ""gray"" cloth",`, "x,y\n1,2\n", Note{"surface", `a "gray" cloth`, 1, 1}},
	} {
		for _, end := range []string{"\n", "\r\n", "\r"} {
			in := strings.ReplaceAll(c.note+"\n"+c.table, "\n", end)
			sheets, err := ReadColumns(strings.NewReader(in), "f.csv", allNumbers)
			if err != nil {
				t.Errorf("%q: %v", in, err)
				continue
			}
			if diff := cmp.Diff([]Note{c.want}, sheets[0].Notes); diff != "" {
				t.Errorf("%q (want, got):\n%s", in, diff)
			}
			if len(sheets[0].Header) != 2 || sheets[0].Rows != 1 {
				t.Errorf("%q: header %v, %d rows", in, sheets[0].Header, sheets[0].Rows)
			}
		}
	}
}

// TestRemarks leaves out what is no note.
func TestRemarks(t *testing.T) {
	for _, remark := range []string{
		"# measured by hand", "#", "####", "# measured by hand, twice", "\"# measured, twice\"", "# , ,", "#,,", "# measured 2,5 m from the wall", "# see the lower left,below",
		`# an "open quote`, `# one, "two`, "# : value",
	} {
		in := remark + "\n# width: 4.8\nx,y\n1,2\n" + remark + "\n3,4\n"
		sheets, err := ReadColumns(strings.NewReader(in), "f.csv", allNumbers)
		if err != nil {
			t.Errorf("%q: %v", in, err)
			continue
		}
		s := sheets[0]
		if diff := cmp.Diff([]Note{{"width", "4.8", 2, 1}}, s.Notes); diff != "" || s.Rows != 2 || s.Line(1) != 6 || len(s.Warnings) > 0 {
			t.Errorf("%q: %v, %d rows, %v", in, s.Notes, s.Rows, s.Warnings)
		}
	}
}

// TestLateNote warns of a note that stands where it does not count.
func TestLateNote(t *testing.T) {
	sheets, err := ReadColumns(strings.NewReader("x,y\n1,2\n# width: 4.8\n# height: 2\n"), "f.csv", allNumbers)
	if err != nil {
		t.Fatal(err)
	}
	want := `f.csv:3:1: "# width" is below the header and counts as a remark; notes are above it`
	if w := sheets[0].Warnings; len(w) != 1 || w[0].String() != want {
		t.Errorf("%v", w)
	}
}

// TestNumberSign reads a table whose first column is called #.
func TestNumberSign(t *testing.T) {
	sheets, err := ReadColumns(strings.NewReader("#,x,y\n1,2,3\n"), "f.csv", allNumbers)
	if err != nil {
		t.Fatal(err)
	}
	if s := sheets[0]; len(s.Header) != 3 || s.Header[0].Text != "#" || s.Rows != 1 {
		t.Errorf("%+v", s)
	}
}
