package survey

import (
	"math"
	"strconv"
	"strings"
	"time"

	"evenfall/photometry/table"
)

// clockLayouts are the ways to write a time that are understood.
var clockLayouts = []struct {
	layout string
	dated  bool
}{
	{"15:04", false}, {"15:04:05", false}, {"15.04.05", false}, {"3:04 PM", false}, {"3:04:05 PM", false}, {"3:04PM", false}, {"15H04", false},
	{"2006-01-02 15:04", true}, {"2006-01-02 15:04:05", true}, {"2006-01-02T15:04", true}, {"2006-01-02T15:04:05", true},
	{time.RFC3339, true}, {"02.01.2006 15:04", true}, {"02.01.2006 15:04:05", true},
}

// parseClock reads a time into minutes; dated reports whether it carried a date.
func parseClock(text string) (minutes float64, dated, ok bool) {
	upper := strings.ToUpper(strings.TrimSpace(text))
	upper = strings.NewReplacer("P.M.", "PM", "A.M.", "AM").Replace(upper)
	for _, l := range clockLayouts {
		if t, err := time.Parse(l.layout, upper); err == nil {
			return float64(t.UnixMilli()) / 60e3, l.dated, true
		}
	}
	return 0, false, false
}

// times takes a column of times of day, of dates with times, or of plain
// numbers with the unit in the header.
func (r *rows) times(col *column, data *table.Column, c *collector) []float64 {
	perUnit := map[string]float64{"min": 1, "s": 1.0 / 60, "h": 60}
	minutes := nans(len(data.Text))
	last, dayOffset := math.NaN(), 0.0
	for i, text := range data.Text {
		if text == "" {
			continue
		}
		if v, dated, ok := parseClock(text); ok {
			// A walk past midnight goes on the next day.
			if !dated && v+dayOffset < last-12*60 {
				dayOffset += 24 * 60
			}
			minutes[i] = v + dayOffset
			last = minutes[i]
			continue
		}
		if factor, ok := perUnit[col.unit]; ok {
			if v, err := r.sheet.Dialect.Number(text); err == nil && !math.IsInf(v, 0) {
				minutes[i] = v * factor
				continue
			}
		}
		c.add(r.sheet.Error(r.cell(i, timeRole, text), "a time such as 10:05, 10:05:30 or 2026-03-04 10:05 (plain numbers need a unit in the header, time (min))"))
	}
	return minutes
}

// TimeOf is when point i was read, as a time of day (10:05:20) or where the times
// were plain numbers in minutes (12.5 min); "" where that is not known.
func (s *Survey) TimeOf(i int) string {
	if s.Minutes == nil {
		return ""
	}
	return FormatTime(s.Minutes[i])
}

// FormatTime prints minutes as Survey and Replicate have them: a time of day where
// they were read from a clock, else minutes; "" for NaN.
func FormatTime(minutes float64) string {
	if math.IsNaN(minutes) {
		return ""
	}
	// Times of day without a date count from the year 0, those with one from
	// 1970; plain numbers are far smaller than either.
	if math.Abs(minutes) > 1e6 {
		return time.UnixMilli(int64(math.Round(minutes * 60e3))).UTC().Format("15:04:05")
	}
	return strconv.FormatFloat(math.Round(minutes*100)/100, 'f', -1, 64) + " min"
}
