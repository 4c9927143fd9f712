package schema

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Days are dates as people wrote them, with what puts them in order.
type Days struct {
	order map[string]string // what stands for a text, in the order of days
	Sure  bool              // whether the dates can be in no other order
}

// halfYear is how far apart dates without a year may be for the nearer order to be meant.
const halfYear = 183 * 24 * time.Hour

// DaysOf puts dates in order: by their days where all say one, the parts of 3/14/2026 and
// 14/3/2026 in the one order that all allow; else by their text, in which 10 is after 9. An
// empty one is before all others.
func DaysOf(dates ...string) Days {
	var monthFirst, dayFirst []time.Time
	var texts []string
	yearless := 0
	for _, text := range dates {
		if text == "" || slices.Contains(texts, text) {
			continue
		}
		texts = append(texts, text)
		m, d, noYear := readDay(text)
		monthFirst, dayFirst = append(monthFirst, m), append(dayFirst, d)
		if noYear {
			yearless++
		}
	}
	known := func(all []time.Time) bool { return !slices.ContainsFunc(all, time.Time.IsZero) }
	days, sure := dayFirst, true
	switch m, d := known(monthFirst), known(dayFirst); {
	case !m && !d, yearless > 0 && yearless < len(texts):
		return Days{order: map[string]string{}, Sure: len(texts) < 2 || numberedAlike(texts)}
	case !d:
		days = monthFirst
	case m:
		sure = sameOrder(monthFirst, dayFirst)
	}
	sure = sure && !sharedDay(texts, days)
	out := Days{order: map[string]string{}, Sure: sure}
	for i, text := range texts {
		out.order[text] = days[i].Format(time.DateOnly)
	}
	if yearless > 0 {
		out.Sure = sure && slices.MaxFunc(days, time.Time.Compare).Sub(slices.MinFunc(days, time.Time.Compare)) < halfYear
	}
	return out
}

// Compare compares two of the dates.
func (d Days) Compare(a, b string) int {
	return cmp.Or(strings.Compare(d.order[a], d.order[b]), strings.Compare(padded(a), padded(b)))
}

// sameOrder reports whether days are in one order in two ways to read them.
func sameOrder(a, b []time.Time) bool {
	for i := range a {
		for k := range i {
			if a[i].Compare(a[k]) != b[i].Compare(b[k]) {
				return false
			}
		}
	}
	return true
}

// sharedDay reports whether two texts say the same day and differ in more than their numbers:
// which of the two is the later one nobody knows, as of morning and evening.
func sharedDay(texts []string, days []time.Time) bool {
	for i := range days {
		for k := range i {
			if days[i].Equal(days[k]) && worded(texts[i]) != worded(texts[k]) {
				return true
			}
		}
	}
	return false
}

var digits = regexp.MustCompile(`\d+`)

// padded is a text whose numbers are in order as texts too.
func padded(text string) string {
	return digits.ReplaceAllStringFunc(text, func(n string) string { return strings.Repeat("0", max(0, 12-len(n))) + n })
}

// worded is a text without what its numbers are.
func worded(text string) string { return digits.ReplaceAllString(text, "#") }

// numberedAlike reports whether texts are the same word with a number each, as day 1 and
// day 2.
func numberedAlike(texts []string) bool {
	return !slices.ContainsFunc(texts, func(text string) bool { return worded(text) != worded(texts[0]) }) &&
		strings.ContainsFunc(texts[0], func(r rune) bool { return r >= 'A' }) && digits.MatchString(texts[0])
}

// The ways to write a day: its year first, in figures of one order or of either, or with
// the name of its month. The year may lack but in the first.
var (
	yearFirst = regexp.MustCompile(`(?:^|\D)(\d{4})(?:\s?[-./]\s?(\d{1,2})\s?[-./]\s?|(\d{2}))(\d{1,2})(?:\D|$)`)
	inFigures = regexp.MustCompile(`(?:^|[^\d:])(\d{1,2})\s?([./-])\s?(\d{1,2})(?:\s?[./-]\s?(\d{4})|\.?)(?:[^\d:.,]|$)`)
	dayMonth  = regexp.MustCompile(`(?i)(?:^|\D)(\d{1,2})(?:st|nd|rd|th)?\.?[\s-]*(?:de\s+)?` + months + `\.?,?(?:[\s-]+(?:de\s+)?(\d{4}))?(?:\D|$)`)
	monthDay  = regexp.MustCompile(`(?i)(?:^|[^\pL])` + months + `\.?[\s-]+(\d{1,2})(?:st|nd|rd|th)?(?:,?\s+(\d{4}))?(?:\D|$)`)
)

// monthNames are how the names of the months begin in the languages of sheets, January first.
var monthNames = [...]string{"jan gen ene", "feb fev fév", "mar mär", "apr avr abr", "mai may maj mag mei", "jun juin giu", "jul juil lug",
	"aug ago aou aoû", "sep set", "oct okt out ott", "nov", "dec dez dic déc"}

// readDay is the day of a text with the month first and with the day first, zero times
// where it says none, and whether no year is given.
func readDay(text string) (monthFirst, dayFirst time.Time, noYear bool) {
	if p := yearFirst.FindStringSubmatch(text); p != nil {
		day := dayAt(p[1], cmp.Or(p[2], p[3]), p[4])
		return day, day, false
	}
	if p := inFigures.FindStringSubmatch(text); p != nil {
		dayFirst = dayAt(p[4], p[3], p[1])
		if monthFirst = dayAt(p[4], p[1], p[3]); p[2] == "." {
			monthFirst = dayFirst
		}
		return monthFirst, dayFirst, p[4] == ""
	}
	if p := dayMonth.FindStringSubmatch(text); p != nil {
		day := dayAt(p[3], monthOf(p[2]), p[1])
		return day, day, p[3] == ""
	}
	if p := monthDay.FindStringSubmatch(text); p != nil {
		day := dayAt(p[3], monthOf(p[1]), p[2])
		return day, day, p[3] == ""
	}
	return time.Time{}, time.Time{}, false
}

// dayAt is a day of the calendar, the zero time where there is none; without a year it is
// of one with 366 days.
func dayAt(year, month, day string) time.Time {
	y, _ := strconv.Atoi(cmp.Or(year, "2000"))
	m, _ := strconv.Atoi(month)
	d, _ := strconv.Atoi(day)
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if t.Day() != d || int(t.Month()) != m {
		return time.Time{}
	}
	return t
}

// monthOf is the number of a month whose name begins so, "" for none.
func monthOf(start string) string {
	for i, names := range monthNames {
		if slices.Contains(strings.Fields(names), strings.ToLower(start)) {
			return strconv.Itoa(i + 1)
		}
	}
	return ""
}
