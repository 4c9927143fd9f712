package report

import (
	"fmt"
	"strings"

	"evenfall/photometry"
)

// Comparison is a surface against the same one of another day.
type Comparison struct {
	Day
	// From is the day or folder that it was read from.
	From string `json:"from,omitempty"`

	read *Surface
}

// compare takes a survey as the day before.
func (s *Surface) compare(before *Surface, from string) {
	s.Before = &Comparison{Day: before.inShort(), From: from, read: before}
}

// tell puts the comparison in words.
func (c *Comparison) tell(s *section, after *Surface, o Options) {
	var f facts
	e := after.decisive()
	f.add("Before", fmt.Sprintf("%s (%s): %s, spread %.2f stop, mean %s", c.From, strings.Join(c.Files, ", "), c.Verdict, c.SpreadStops, c.read.level(c.Mean, o)))
	f.add("Now", fmt.Sprintf("%s, spread %.2f stop, mean %s", after.Result.Verdict.Overall, e.SpreadStops, after.level(e.Mean, o)))
	if c.Unit == after.Result.Unit && c.Mean > 0 {
		f.add("Mean", stops(photometry.Stops(e.Mean, c.Mean))+" to the day before")
	}
	s.facts(f)
	if len(after.Older) > 1 {
		t := &grid{Caption: "Further days of " + after.Title, Header: []string{"Day", "Verdict", "Mean", "Spread", "Files"}, Right: []bool{false, false, true, true, false}}
		for _, d := range after.Older[1:] {
			t.Rows = append(t.Rows, []cell{one(d.Date), one(d.Verdict), one(after.level(d.Mean, o)), one(fmt.Sprintf("%.2f stop", d.SpreadStops)), one(strings.Join(d.Files, ", "))})
		}
		s.table(t)
	}
}
