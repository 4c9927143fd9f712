package match

import (
	"encoding/json"
	"strings"
	"testing"

	"evenfall/photometry/survey"
)

// Two surveys that can be read can be compared or are refused in words; the result is
// one that JSON can hold, and a day against itself has not changed.
func FuzzCompare(f *testing.F) {
	f.Add("# width: 2\n# height: 1\nlabel,lux,CCT (K),Duv\nA1,100,5600,0.001\nA2,110,5600,0.001\nB1,90,5500,0\n", "# width: 2\n# height: 1\nlabel,lux\nA1,70\nA2,80\nB1,9 fc\n")
	f.Add("x (m),y (m),E (lx)\n1,1,100\n2,1,110\n1,2,>200\n", "x (m),y (m),time,E (lx)\n1,1,10:05,100\n2,1,10:06,~90\n1,2,10:07,105\n")
	f.Fuzz(func(t *testing.T, first, second string) {
		before, err := survey.Read([]survey.Input{{Name: "a.csv", Reader: strings.NewReader(first)}}, survey.ReadOptions{})
		if err != nil {
			return
		}
		after, err := survey.Read([]survey.Input{{Name: "b.csv", Reader: strings.NewReader(second)}}, survey.ReadOptions{})
		if err != nil || before.Len() > 500 || after.Len() > 500 {
			return
		}
		r, err := Compare(before, after, Options{})
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without a word")
			}
			return
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatal(err)
		}
		if same, err := Compare(before, before, Options{}); err == nil && same.Verdict.Worst() == "fail" {
			t.Fatalf("a day against itself fails: %q", first)
		}
	})
}
