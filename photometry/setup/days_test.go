package setup

import (
	"slices"
	"testing"
)

// surveysOf are the surveys of a folder, the newest day of each surface first, by their main
// files.
func surveysOf(t *testing.T, files map[string]string) (days [][]string, f *Folder) {
	t.Helper()
	f, err := OpenFolder(folderOf(files))
	if err != nil || len(f.Problems) > 0 {
		t.Fatal(err, f.Problems)
	}
	for _, surface := range f.Days() {
		var of []string
		for _, s := range surface {
			of = append(of, s.Files...)
		}
		days = append(days, of)
	}
	return days, f
}

// The newest day is the last one of the calendar, however dates are written: 1 December is
// after 30 November, and the tenth after the ninth.
func TestDaysAreInTheOrderOfTheCalendar(t *testing.T) {
	const rows = "label,E (lx)\nA1,700\nA2,690\n"
	for _, c := range []struct{ first, second string }{{"30.11.2026", "1.12.2026"}, {"9.11.2026", "10.11.2026"}, {"Nov 30, 2026", "Dec 1, 2026"}, {"11/30/2026", "12/1/2026"}} {
		days, f := surveysOf(t, map[string]string{
			"a.csv": "# surface: cloth\n# date: " + c.first + "\n" + rows, "b.csv": "# surface: cloth\n# date: " + c.second + "\n" + rows + "B1,680\n"})
		if len(days) != 1 || !slices.Equal(days[0], []string{"b.csv", "a.csv"}) || len(f.Findings()) > 0 {
			t.Errorf("%s and %s: %q, %v", c.first, c.second, days, f.Findings())
		}
	}
	_, f := surveysOf(t, map[string]string{"a.csv": "# surface: cloth\n# date: 2/11/2026\n" + rows, "b.csv": "# surface: cloth\n# date: 1/12/2026\n" + rows + "B1,680\n"})
	if all := f.Findings(); len(all) != 1 || all[0].Code != "days_unsure" {
		t.Errorf("2 November before 1 December, or 12 January before 11 February: %v", all)
	}
}

// A title and a date typed above a table make days of one surface of its files; a title that
// other places have too does not, nor one without another date.
func TestDaysTypedAboveTables(t *testing.T) {
	const first, second = "Green screen;;\nDate;23.11.2026;\n", "Green screen;;\nDate;24.11.2026;\n"
	const rows, others = "Point;Lux;Remarks\nA1;700;\nA2;690;\nB1;655;\nB2;640;door open\n", "Point;Lux;Remarks\nL;400;\nR;410;\n"
	for _, c := range []struct {
		what  string
		files map[string]string
		want  [][]string
	}{
		{"two days", map[string]string{"a.csv": first + rows, "b.csv": second + rows}, [][]string{{"b.csv", "a.csv"}}},
		{"typed, and a day that a note names", map[string]string{"a.csv": first + rows, "b.csv": "# surface: green screen\n# date: 2026-11-24\nlabel,E (lx)\nA1,700\n"}, [][]string{{"b.csv", "a.csv"}}},
		{"typed, and a note above a table that was typed", map[string]string{"a.csv": first + rows, "b.csv": "# surface: green screen\nDate;24.11.2026;\n" + rows}, [][]string{{"b.csv", "a.csv"}}},
		{"other places", map[string]string{"a.csv": first + rows, "b.csv": second + others}, [][]string{{"a.csv"}, {"b.csv"}}},
		{"the same day", map[string]string{"a.csv": first + rows, "b.csv": first + rows + "C1;600;\n"}, [][]string{{"a.csv"}, {"b.csv"}}},
		{"a name that begins with another, on another day", map[string]string{"a.csv": first + rows, "a two.csv": "Cyc;;\nDate;24.11.2026;\n" + rows}, [][]string{{"a.csv"}, {"a two.csv"}}},
	} {
		if days, _ := surveysOf(t, c.files); !slices.EqualFunc(days, c.want, slices.Equal) {
			t.Errorf("%s: %q, expected %q", c.what, days, c.want)
		}
	}
}
