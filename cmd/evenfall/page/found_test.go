package page

import (
	"strings"
	"testing"
)

// Two days of a cloth differ by date and state in the list, and a table that is no survey
// is named with a word.
func TestListTellsDaysApart(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	day := func(date, last string) string {
		return "# surface: green cloth\n# date: " + date + "\n# width: 3\n# height: 3\nlabel,E (lx)\nA1,742\nA2,765\nA3,770\nB1,780\nB2,790\nB3,760\nC1,755\nC2,790\nC3," + last + "\n"
	}
	write(t, s, "one.csv", day("2026-03-04", "780"))
	write(t, s, "two.csv", day("2026-03-05", "1800"))
	write(t, s, "bills.csv", "who,owes\nsomebody,12\n")
	var folder folderState
	s.get("/api/folder", &folder)
	states := map[string]string{}
	for _, l := range folder.Surveys {
		states[l.Date] = l.Verdict
	}
	if states["2026-03-04"] != "pass" || states["2026-03-05"] != "fail" {
		t.Errorf("the list says %v", states)
	}
	told := ""
	for _, p := range folder.Problems {
		if p.File == "bills.csv" {
			told = p.Text
		}
	}
	if told == "" {
		t.Errorf("nothing is said of bills.csv: %+v", folder.Problems)
	}
}

// A joined emoji is a name; characters that turn the direction of what follows are none.
func TestNamesOfPeople(t *testing.T) {
	for name, ok := range map[string]bool{"👩\u200d🎤 cloth": true, "می\u200cخواهم": true, "cloth \u202ecba": false, "a\u2066b": false, "two\nlines": false, "=1+1": false} {
		if err := checkName(name, longestTitle); (err == nil) != ok {
			t.Errorf("%q: %v", name, err)
		}
	}
	if deviceName("tablet \u202e") != "" || deviceName("a; b") != "" || deviceName("phone 2") != "phone 2" || deviceName(strings.Repeat("x", 99)) != "" {
		t.Error("a device is called by what nobody can read")
	}
}
