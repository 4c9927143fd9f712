package schema

import (
	"slices"
	"testing"
)

// The order of days is that of the Gregorian calendar: a month ends before the next one
// begins. Dates with points have the day first (DIN 5008); those with strokes have it first
// or second.
func TestDaysInOrder(t *testing.T) {
	for _, c := range []struct {
		dates []string // as the calendar has them
		sure  bool
	}{
		{[]string{"9.11.2026", "10.11.2026", "1.12.2026"}, true},
		{[]string{"30.11.2026", "2026-12-01"}, true},
		{[]string{"11/30/2026", "12/1/2026"}, true},
		{[]string{"28/11/2026", "30/11/2026", "1/12/2026"}, true},
		{[]string{"Nov 9, 2026", "Nov 10, 2026", "Dec 1, 2026"}, true},
		{[]string{"30 novembre 2026", "1 décembre 2026"}, true},
		{[]string{"30 juin 2026", "1 juillet 2026"}, true},
		{[]string{"Mon 30 Nov", "Tue 1 Dec"}, true},
		{[]string{"9.11.", "10.11."}, true},
		{[]string{"20261130", "20261201"}, true},
		{[]string{"2026-11-30 9:05", "2026-11-30 18:40"}, true},
		{[]string{"day 9", "day 10"}, true},
		{[]string{"", "30.11.2026", "1.12.2026"}, true},
		{[]string{"Jan 2", "Dec 30"}, false}, // of one year or the next
		{[]string{"after", "before"}, false},
		{[]string{"30.11.2026", "2026-11-30"}, false}, // one day, written in two ways
		{[]string{"2026-11-30 evening", "2026-11-30 morning"}, false},
	} {
		days := DaysOf(c.dates...)
		got := slices.Clone(c.dates)
		slices.Reverse(got)
		slices.SortStableFunc(got, days.Compare)
		if !slices.Equal(got, c.dates) || days.Sure != c.sure {
			t.Errorf("%q in order %q, sure %v; expected %q, %v", c.dates, got, days.Sure, c.dates, c.sure)
		}
	}
	// 2 November and 1 December, or 11 February and 12 January.
	if DaysOf("2/11/2026", "1/12/2026").Sure {
		t.Error("sure of days that are in another order with the month first")
	}
}
