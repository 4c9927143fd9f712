package evenness

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// The interval of a surface with two first readings at a place holds the intervals that
// either of them alone gives, and the surface never passes.
func TestConflictCoversBoth(t *testing.T) {
	judged := func(csv string) *Result {
		t.Helper()
		s, err := survey.Read([]survey.Input{{Name: "s.csv", Reader: strings.NewReader(csv)}}, survey.ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		r, err := Judge(s)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		rest, at := "", random.IntN(9)
		var first, second float64
		for i := range 9 {
			level := 700 + 200*random.Float64()
			if i == at {
				first, second = level, level*(0.6+random.Float64())
				continue
			}
			rest += fmt.Sprintf("%c%d,%.1f,\n", 'A'+i/3, 1+i%3, level)
		}
		label := fmt.Sprintf("%c%d", 'A'+at/3, 1+at%3)
		head := "# width: 3\n# height: 3\nlabel,E (lx),status\n" + rest
		both := judged(head + fmt.Sprintf("%s,%.1f,conflict\n%s,%.1f,conflict\n", label, first, label, second))
		for _, level := range []float64{first, second} {
			alone := judged(head + fmt.Sprintf("%s,%.1f,\n", label, level))
			in, out := alone.Evenness.SpreadInterval, both.Evenness.SpreadInterval
			if in[0] < out[0]-1e-3 || in[1] > out[1]+1e-3 {
				t.Errorf("%s as %.1f or %.1f: interval %v does not hold %v of %.1f", label, first, second, *out, *in, level)
			}
			if both.Verdict.Evenness == uncertainty.Fail && alone.Verdict.Evenness != uncertainty.Fail {
				t.Errorf("%s as %.1f or %.1f fails, as %.1f it is %s", label, first, second, level, alone.Verdict.Evenness)
			}
		}
		if both.Verdict.Evenness == uncertainty.Pass {
			t.Errorf("%s as %.1f or %.1f passes", label, first, second)
		}
	}
}

// A suspect without an answer holds a pass back where its place decides, even one that the
// whole interval would allow; an answer lets it go, and a fail comes with it or without.
func TestSuspectHoldsPassBack(t *testing.T) {
	for _, c := range []struct {
		name, notes, level, status string
		verdict                    string
		questions                  int
	}{
		{"open", "", "564", "", uncertainty.Unsure, 1},
		{"right as read", "", "564", "right 564", uncertainty.Pass, 0},
		{"to be read again", "", "564", "again", uncertainty.Unsure, 0}, // a planned place is not read
		{"meant", "", "805", "right 805", uncertainty.Pass, 0},
		{"none", "", "805", "", uncertainty.Pass, 0},
		{"not in shot", "# area: 0,0,4,1.9\n", "564", "", uncertainty.Pass, 0},
		{"in shot", "# area: 0,1,3,4\n", "564", "", uncertainty.Unsure, 1},
		{"fails all the same", "# tolerance: 0.01 stop\n", "564", "", uncertainty.Fail, 1},
	} {
		csv := "# for: backdrop\n# width: 4\n# height: 4\n# repeatability: 1 %\n" + c.notes + "label,E (lx),status\n"
		for i := range 16 {
			level, status := fmt.Sprint(800+i), ""
			if c.verdict == uncertainty.Fail {
				level = fmt.Sprint(800 + 20*i)
			}
			if i == 5 {
				level, status = c.level, c.status
			}
			csv += fmt.Sprintf("%c%d,%s,%s\n", 'A'+i/4, 1+i%4, level, status)
		}
		s, err := survey.Read([]survey.Input{{Name: "s.csv", Reader: strings.NewReader(csv)}}, survey.ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		r, err := Analyze(s)
		if err != nil {
			t.Fatal(err)
		}
		if r.Verdict.Evenness != c.verdict || r.Questions != c.questions {
			t.Errorf("%s: %s with %d questions, expected %s with %d; suspects %v", c.name, r.Verdict.Evenness, r.Questions, c.verdict, c.questions, r.Suspects)
		}
	}
}
