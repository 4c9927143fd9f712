package page

import "testing"

// A survey's title makes a name that leads nowhere, and none by which a folder knows
// another table.
func TestFileNames(t *testing.T) {
	for title, want := range map[string]string{
		"Green cloth, day 2": "green-cloth-day-2.csv", "../../moon": "moon.csv", "?!": "survey.csv",
		"Lamps": "lamps-survey.csv", "Dimmers": "dimmers-survey.csv", "screen": "screen-survey.csv", "con": "con-survey.csv",
	} {
		if got := fileName(title); got != want {
			t.Errorf("%q is %s, want %s", title, got, want)
		}
	}
}
