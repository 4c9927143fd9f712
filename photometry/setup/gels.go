package setup

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
)

// Gel is a row of a table of gels: one sheet of filter as its maker's sheet
// describes it. Mired and CC are for the light named in Source where that is
// given, and Transmission does too; colorimetry.Gel says what is taken for those
// without one. A row with only a name may be one of the trade's nominal gels.
type Gel struct {
	Name         string   `csv:"name"`
	Kind         GelKind  `csv:"kind"`
	Mired        *float64 `csv:"mired"` // positive warms
	CC           Points   `csv:"CC"`
	Transmission *float64 `csv:"transmission" unit:"%"`
	X            *float64 `csv:"cie x"` // of the source behind the gel
	Y            *float64 `csv:"cie y"`
	Source       string   `csv:"source"`
	Note         string   `csv:"note"`
}

// Bag is the content of a table of gels.
type Bag struct {
	Origin
	Gels []colorimetry.Gel
}

// ReadGels reads a table of gels. The error is table.Errors, or one *table.Error
// where the table has no gels at all.
func ReadGels(r io.Reader, file string) (*Bag, error) { return Flags(nil).Gels(r, file) }

// Gels is ReadGels with notes of a command line, which answer questions.
func (flags Flags) Gels(r io.Reader, file string) (*Bag, error) {
	return read(r, file, kindOf{schema.GelsFile, "gel", []string{"name"}}, flags, newBag)
}

func newBag(t *rows[Gel]) (*Bag, error) {
	bag := &Bag{Origin: t.origin()}
	seen := map[string]int{} // lines
	for i, row := range t.Rows {
		key := strings.ToLower(strings.Join(strings.Fields(row.Value.Name), " "))
		if line, twice := seen[key]; twice && key != "" {
			t.fail(i, "name", fmt.Sprintf("each gel once; it is on line %d already", line))
		}
		seen[key] = row.Line
		gel := row.Value.gel()
		if nominal, ok := colorimetry.NominalGel(gel.Name); ok && row.Value.onlyNamed() {
			gel = nominal
		}
		t.checkGel(i, row.Value, gel)
		bag.Gels = append(bag.Gels, gel)
	}
	if err := t.errs.ErrOrNil(); err != nil {
		return nil, err
	}
	return bag, nil
}

// gel converts the row unchanged.
func (g Gel) gel() colorimetry.Gel {
	out := colorimetry.Gel{Name: g.Name, Kind: colorimetry.Kind(g.Kind), CC: colorimetry.CC(g.CC), Source: g.Source}
	if g.Mired != nil {
		out.Mired = *g.Mired
	}
	if g.Transmission != nil {
		out.Transmittance = colorimetry.Percent(*g.Transmission)
	}
	if g.X != nil && g.Y != nil {
		out.XY = &colorimetry.XY{X: *g.X, Y: *g.Y}
	}
	return out
}

// onlyNamed reports whether the row has no figures of its own.
func (g Gel) onlyNamed() bool {
	return g.Mired == nil && g.CC == 0 && g.Transmission == nil && g.X == nil && g.Y == nil
}

// gelColumns are the columns of the figures of a gel.
var gelColumns = map[colorimetry.GelField]string{
	colorimetry.GelName: "name", colorimetry.GelMired: "mired", colorimetry.GelCC: "CC",
	colorimetry.GelTransmittance: "transmission", colorimetry.GelXY: "cie x", colorimetry.GelSource: "source",
}

// leastTransmission is the percentage under which a transmission is taken for a
// fraction of 1: nothing but a neutral density passes less than a hundredth.
const leastTransmission = 1.0

func (r *rows[T]) checkGel(row int, g Gel, gel colorimetry.Gel) {
	if t := g.Transmission; t != nil && *t > 0 && *t <= leastTransmission && gel.Kind != colorimetry.ND {
		r.fail(row, "transmission", "percent, such as 58 for a gel that passes 58 %")
	}
	switch {
	case g.X != nil && g.Y == nil:
		r.fail(row, "cie y", "the y that belongs to cie x")
	case g.Y != nil && g.X == nil:
		r.fail(row, "cie x", "the x that belongs to cie y")
	}
	err := gel.Check()
	if err == nil {
		// Figures may be possible one by one and still fit no filter.
		if _, err := gel.Filter(); err != nil {
			r.fail(row, figureColumn(g), "figures that a filter can have ("+err.Error()+")")
		}
		return
	}
	for _, one := range unjoined(err) {
		var wrong *colorimetry.GelError
		if errors.As(one, &wrong) {
			r.fail(row, gelColumns[wrong.Field], wrong.Expected)
		}
	}
}

// figureColumn is the column of the figure that a gel is modeled by.
func figureColumn(g Gel) string {
	if g.X != nil {
		return "cie x"
	}
	return "mired"
}

// unjoined takes a joined error apart.
func unjoined(err error) []error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		return joined.Unwrap()
	}
	return []error{err}
}
