package survey

import (
	"math"
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

// parseClock reads a time into minutes; dated tells whether it carried a date.
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
