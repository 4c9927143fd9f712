package setup

import (
	"cmp"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
)

// ScreenRow is a row of a table of a screen: the light on it and its luminance at one
// place, or those of a card of stated reflectance that was held there.
type ScreenRow struct {
	Label string   `csv:"label"`
	X     *float64 `csv:"x" unit:"m"`
	Y     *float64 `csv:"y" unit:"m"`
	LevelCells
	Reflectance *float64 `csv:"reflectance" unit:"%"`
	Time        string   `csv:"time"`
	Status      string   `csv:"status"`
	Note        string   `csv:"note"`
}

// ScreenPlace is a row of such a table, checked.
type ScreenPlace struct {
	Label     string
	Line      int
	X, Y      float64 // m; NaN where the table does not say
	Light     float64 // lx; 0 where it is to be found in a survey of the same places
	Luminance float64 // cd/m²
	Card      float64 // stated reflectance, 0 for the screen itself

	row int // of the table
}

// Screen is the content of a table of a screen.
type Screen struct {
	Origin
	Title, Date   string
	Places        []ScreenPlace
	Area          *spatial.Box // the part in view, by the notes; nil where they do not say
	Width, Height float64      // m, 0 where the notes do not say
	Repeatability *float64
	Resolution    float64

	Findings []photometry.Finding // what does not count, and what is still to be read

	table *rows[ScreenRow]
}

// LightError says at the row of a place that its luminance has no light beside it.
func (s *Screen) LightError(place int) *table.Error {
	return s.table.Error(s.Places[place].row, "L (cd/m²)", "the light at "+s.Places[place].Label+" as well, in a column E (lx) or in a survey of the same places: without it a luminance has no reflectance")
}

// Complete reports whether nothing has to be taken from a survey.
func (s *Screen) Complete() bool {
	return (s.Area != nil || s.Width > 0 && s.Height > 0) &&
		!slices.ContainsFunc(s.Places, func(p ScreenPlace) bool { return p.Light == 0 || p.Card == 0 && math.IsNaN(p.X) })
}

// ReadScreen reads a table of a screen. A row's light may be left out where another
// table has it. The error is table.Errors, or one *table.Error where the table has no
// rows at all.
func ReadScreen(r io.Reader, file string) (*Screen, error) {
	plain, err := table.ReadTyped[ScreenRow](r, file, schema.Vocabulary(schema.ScreenFile))
	t, err := newRows(plain, err, file, kindOf{schema.ScreenFile, "place", []string{"L (cd/m²)"}})
	if err != nil {
		return nil, err
	}
	out := &Screen{Origin: t.origin(), table: t}
	v := schema.Read(schema.ScreenFile, []*schema.Source{schema.Sheet(t.Sheet)})
	t.add(v.Errors)
	out.Warnings = append(out.Warnings, v.Warnings...)
	schema.Put(v, schema.Title, &out.Title)
	schema.Put(v, schema.Date, &out.Date)
	schema.Put(v, schema.Width, &out.Width)
	schema.Put(v, schema.Height, &out.Height)
	schema.Put(v, schema.Resolution, &out.Resolution)
	if r, ok := schema.Get(v, schema.Repeatability); ok {
		out.Repeatability = &r
	}
	if a, ok := schema.Get(v, schema.Area); ok {
		out.Area = &spatial.Box{X0: a[0], Y0: a[1], X1: a[2], Y1: a[3]}
	}
	places := 0
	aside := t.notCounted()
	for i, row := range t.Rows {
		if t.status(i, &aside) == schema.LeftOut {
			continue
		}
		if row.Value.LevelCells == (LevelCells{}) && row.Value.Reflectance == nil {
			aside.unread = append(aside.unread, cmp.Or(row.Value.Label, photometry.ReadingName(row.Line, i)))
			continue
		}
		p := t.screenPlace(i, row.Value)
		p.Line, p.row = row.Line, i
		if out.Places = append(out.Places, p); p.Card == 0 {
			places++
		}
	}
	out.Findings = aside.findings()
	if len(out.Places) == 0 && len(t.errs) == 0 {
		return nil, t.fault("no level", "a luminance at each place that was read")
	}
	if places == 0 && len(t.errs) == 0 {
		t.fail(0, "reflectance", "a row of the screen itself as well, without a stated reflectance")
	}
	return out, t.errs.ErrOrNil()
}

// cardName is in the names of cards that are held before a screen, and statedPercent the
// reflectance that such a name states.
var (
	cardName      = regexp.MustCompile(`(?i)(^|\PL)(gr[ae]y ?card|card|graukarte|wei(ss|ß)karte|karte|carte|carta|kaart|grijskaart|tarjeta)(\PL|$)`)
	statedPercent = regexp.MustCompile(`(\d+(?:[.,]\d+)?)\s?%`)
)

// screenPlace reads a row: its luminance, and its light where it has one.
func (r *rows[T]) screenPlace(i int, row ScreenRow) ScreenPlace {
	p := ScreenPlace{Label: row.Label, X: math.NaN(), Y: math.NaN()}
	if row.X != nil && row.Y != nil {
		p.X, p.Y = *row.X, *row.Y
	}
	r.within(i, schema.X, row.X)
	r.within(i, schema.Y, row.Y)
	if c := row.Reflectance; c != nil {
		if p.Card = *c / 100; !(*c > leastTransmission && *c <= 100) {
			r.fail(i, "reflectance", "the stated reflectance of a card in percent, such as 18")
		}
	}
	if p.Card == 0 && cardName.MatchString(p.Label) {
		if m := statedPercent.FindStringSubmatch(p.Label); m != nil {
			p.Card, _ = strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
			p.Card /= 100
		}
		if !(p.Card > leastTransmission/100 && p.Card <= 1) {
			r.fail(i, "label", "its reflectance in a column reflectance (%), such as 18, or another name if it is no card")
		}
	}
	for _, c := range row.LevelCells.filled() {
		text := string(c.of(row.LevelCells))
		level, _, err := photometry.Meter{Unit: c.unit}.ParseLevel(text)
		level.Value *= c.scale(text)
		switch {
		case err != nil:
			r.fail(i, c.name, schema.Expected(err))
		case !schema.IsMeasurable(level.Value):
			r.fail(i, c.name, "a level that a meter can show")
		case level.Quantity == photometry.Luminance && p.Luminance == 0 && level.Value > 0:
			p.Luminance = level.Value
		case level.Quantity == photometry.Illuminance && p.Light == 0 && level.Value > 0:
			p.Light = level.Value
		case level.Quantity == photometry.LuminousExposure:
			r.fail(i, c.name, "an illuminance in lx or fc: a flash exposure cannot be compared with a luminance")
		default:
			r.fail(i, c.name, "one light in lx or fc and one luminance in cd/m² a line, each above 0")
		}
	}
	if p.Luminance == 0 {
		r.fail(i, "L (cd/m²)", "a luminance beside the light")
	}
	return p
}
