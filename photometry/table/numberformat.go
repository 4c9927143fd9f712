package table

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// numberFormat is the part of a workbook cell's format that changes the meaning of its
// number.
type numberFormat struct {
	date, clock, elapsed, percent bool
}

// format returns the number format of a cell style.
func (w *workbook) format(style int) numberFormat {
	if style <= 0 || style >= len(w.formats) {
		return numberFormat{}
	}
	return w.formats[style]
}

// readFormats reads the number formats of the cell styles, by their numbers.
// Source: ECMA-376 part 1, 18.8 styles.
func (c container) readFormats(name string) ([]numberFormat, error) {
	var styles struct {
		Codes []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Cells []struct {
			ID int `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	if err := c.decode(name, &styles); err != nil {
		return nil, err
	}
	custom := make(map[int]numberFormat, len(styles.Codes))
	for _, f := range styles.Codes {
		custom[f.ID] = parseFormat(f.Code)
	}
	formats := make([]numberFormat, len(styles.Cells))
	for i, cell := range styles.Cells {
		f, ok := custom[cell.ID]
		if !ok {
			f = builtInFormat(cell.ID)
		}
		formats[i] = f
	}
	return formats, nil
}

// builtInFormat returns a number format that has an id but no code.
// Source: ECMA-376 part 1, 18.8.30 numFmt; 27–36 and 50–58 are dates of East
// Asian locales, 32–33 and 55–56 times among them.
func builtInFormat(id int) numberFormat {
	switch {
	case id == 9 || id == 10:
		return numberFormat{percent: true}
	case id == 22:
		return numberFormat{date: true, clock: true}
	case id == 46:
		return numberFormat{clock: true, elapsed: true}
	case id >= 18 && id <= 21, id == 45, id == 47, id == 32, id == 33, id == 55, id == 56:
		return numberFormat{clock: true}
	case id >= 14 && id <= 17, id >= 27 && id <= 36, id >= 50 && id <= 58:
		return numberFormat{date: true}
	}
	return numberFormat{}
}

// parseFormat reads a number format's code: letters outside quotes and brackets are
// parts of a date or a time. Only the first section, for positive numbers, is used.
// Source: ECMA-376 part 1, 18.8.31 numFmts.
func parseFormat(code string) numberFormat {
	var f numberFormat
	months := false
	for i := 0; i < len(code); i++ {
		switch c := code[i] | 0x20; {
		case code[i] == ';':
			i = len(code)
		case code[i] == '\\' || code[i] == '_' || code[i] == '*':
			i++
		case code[i] == '"':
			if end := strings.IndexByte(code[i+1:], '"'); end >= 0 {
				i += end + 1
			}
		case code[i] == '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				return f
			}
			inside := strings.ToLower(code[i+1 : i+end])
			if inside != "" && strings.Trim(inside, inside[:1]) == "" && strings.Contains("hms", inside[:1]) {
				f.clock, f.elapsed = true, true
			}
			i += end
		case code[i] == '%':
			f.percent = true
		case strings.HasPrefix(strings.ToLower(code[i:]), "general"):
			i += len("general") - 1
		case c == 'y' || c == 'd':
			f.date = true
		case c == 'h' || c == 's':
			f.clock = true
		case c == 'm':
			months = true // or minutes
		}
	}
	if months && !f.clock {
		f.date = true
	}
	return f
}

// format writes a number that is a date, a time or a percentage: 2026-11-25 10:05:00,
// 2026-11-25, 10:05:00 or 50%. It is false for anything else.
func (f numberFormat) format(v float64, date1904 bool) (string, bool) {
	switch {
	case f.date || f.clock:
		// The last day of a workbook's calendar is 9999-12-31.
		if v < 0 || v >= 2_958_466 {
			return "", false
		}
		return formatDate(v, f, date1904), true
	case f.percent:
		return strconv.FormatFloat(v*100, 'g', 15, 64) + "%", true
	}
	return "", false
}

// formatDate writes a date counted in days from 1899-12-30 (or 1904-01-01), to the
// millisecond. Before March 1900 the count is one day off, since it treats 1900 as
// a leap year.
// Source: ECMA-376 part 1, 18.17.4 dates and times.
func formatDate(v float64, f numberFormat, date1904 bool) string {
	days := math.Floor(v)
	clock := time.Duration(math.Round((v-days)*86_400_000)) * time.Millisecond
	if clock == 24*time.Hour {
		days, clock = days+1, 0
	}
	base := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	switch {
	case date1904:
		base = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	case days >= 1 && days < 60:
		base = base.AddDate(0, 0, 1)
	}
	t := base.AddDate(0, 0, int(days)).Add(clock)
	millis := ""
	if t.Nanosecond() > 0 {
		millis = strings.TrimRight(t.Format(".000"), "0")
	}
	switch {
	case f.elapsed:
		hours := int(days)*24 + t.Hour()
		text := strconv.Itoa(hours)
		if hours < 10 {
			text = "0" + text
		}
		return text + t.Format(":04:05") + millis
	case f.date && !f.clock && clock == 0:
		return t.Format(time.DateOnly)
	case days == 0 && !f.date:
		return t.Format(time.TimeOnly) + millis
	}
	return t.Format(time.DateTime) + millis
}
