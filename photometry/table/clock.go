package table

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// ClockStyle is how times are written.
type ClockStyle uint8

// The ways to write a time. Tables without times take Zoned, which is the only one that
// says the moment whatever the clock's zone.
const (
	Zoned     ClockStyle = iota // 2026-03-04T10:05:30.250+01:00
	Dated                       // 2026-03-04 10:05:30.250
	TimeOfDay                   // 10:05:30.250
	PlainTime                   // numbers with the unit in the header
	Mixed                       // several of these
)

// clockLayouts are the ways to write a time that are understood.
var clockLayouts = []struct {
	layout string
	style  ClockStyle
}{
	{"15:04", TimeOfDay}, {"15:04:05", TimeOfDay}, {"15.04.05", TimeOfDay}, {"3:04 PM", TimeOfDay}, {"3:04:05 PM", TimeOfDay}, {"3:04PM", TimeOfDay}, {"15H04", TimeOfDay},
	{"2006-01-02 15:04", Dated}, {"2006-01-02 15:04:05", Dated}, {"2006-01-02T15:04", Dated}, {"2006-01-02T15:04:05", Dated},
	{time.RFC3339, Zoned}, {"02.01.2006 15:04", Dated}, {"02.01.2006 15:04:05", Dated},
}

var halfDays = strings.NewReplacer("P.M.", "PM", "A.M.", "AM")

// ParseClock reads a time and how it is written. One without a date is in the year 0, one
// without a zone in UTC. A plain number is no time: ok is false and style PlainTime.
func ParseClock(text string) (t time.Time, style ClockStyle, ok bool) {
	upper := halfDays.Replace(strings.ToUpper(strings.TrimSpace(text)))
	for _, l := range clockLayouts {
		if t, err := time.Parse(l.layout, upper); err == nil {
			return t, l.style, true
		}
	}
	return time.Time{}, PlainTime, false
}

// Format writes a moment in a zone, to the millisecond; it panics for times that are
// plain numbers or mixed.
func (c ClockStyle) Format(unixMilli int64, zone *time.Location) string {
	t := time.UnixMilli(unixMilli).In(zone)
	switch c {
	case Zoned:
		return t.Format("2006-01-02T15:04:05.000Z07:00")
	case Dated:
		return t.Format("2006-01-02 15:04:05.000")
	case TimeOfDay:
		return t.Format("15:04:05.000")
	}
	panic("table: times of this style cannot be written")
}

// FormatMinutes prints minutes: a time of day (10:05:20) where they were read from a
// clock, else minutes (12.5 min); "" for NaN. Times of day without a date count from the
// year 0, those with one from 1970; plain numbers are far smaller than either.
func FormatMinutes(minutes float64) string {
	switch {
	case math.IsNaN(minutes):
		return ""
	case math.Abs(minutes) > 1e6:
		return time.UnixMilli(int64(math.Round(minutes * 60e3))).UTC().Format("15:04:05")
	}
	return strconv.FormatFloat(math.Round(minutes*100)/100, 'f', -1, 64) + " min"
}
