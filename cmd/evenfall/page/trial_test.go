package page

import (
	"bytes"
	"math"
	"slices"
	"testing"
	"time"

	"evenfall/photometry/survey"
)

// At whatever hour somebody tries it, the invented walk ends then: what is typed next has
// its reference a little before, as whoever walks on has it.
func TestTrialEndsNow(t *testing.T) {
	t.Parallel()
	for _, clock := range []string{"00:04:00", "09:00:00", "10:10:00", "10:21:40", "16:00:00", "22:28:00", "23:59:58"} {
		now, err := time.ParseInLocation(time.DateTime, "2026-03-05 "+clock, time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		content, err := invented(&store{zone: time.UTC, now: func() time.Time { return now }})
		if err != nil {
			t.Fatal(err)
		}
		b, err := newEditor("cloth.csv", content, now, time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		if got := last(b.rows).time(); got != now.UnixMilli() {
			t.Errorf("%s: the last reading was at %s", clock, time.UnixMilli(got).UTC())
		}
		s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: bytes.NewReader(content)}}, survey.ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		minutes := slices.DeleteFunc(slices.Clone(s.Minutes), math.IsNaN)
		if long := slices.Max(minutes) - slices.Min(minutes); long < 15 || long > 17 {
			t.Errorf("%s: the walk took %.1f min, expected that from 10:05:00 to 10:21:40", clock, long)
		}
	}
}
