package setup

import (
	"cmp"
	"fmt"
	"io"

	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// DimmerRow is a row of a table of lamps over their own dimmers: one reading at one
// setting of the dial.
type DimmerRow struct {
	Lamp   string   `csv:"lamp"`
	Dimmer *float64 `csv:"dimmer" unit:"%"`
	LevelCells
	CCT     Kelvins  `csv:"CCT" unit:"K"`
	Mired   *float64 `csv:"mired"`
	Duv     *float64 `csv:"Duv"`
	CC      string   `csv:"CC"`
	Flicker *bool    `csv:"flicker"`
	Time    string   `csv:"time"`
	Status  string   `csv:"status"`
	Note    string   `csv:"note"`
}

// planned reports whether a row names a setting that is still to be read.
func (r DimmerRow) planned() bool {
	return r.LevelCells == LevelCells{} && r.CCT == 0 && r.Mired == nil && r.Duv == nil && r.CC == "" && r.Flicker == nil
}

// Dimmers is the content of such a table.
type Dimmers struct {
	Origin
	Input dimmer.Input
	Meter photometry.Meter // that the levels were read with
}

// Lamps are the names, each once, in the order of the table.
func (d *Dimmers) Lamps() []string { return d.Input.Lamps() }

// dimmersFile is the sort of table.
var dimmersFile = kindOf{schema.DimmersFile, "reading", []string{"dimmer"}}

// ReadDimmers reads a table of lamps over their dimmers. The error is table.Errors, or
// one *table.Error where the table has no rows at all.
func ReadDimmers(r io.Reader, file string) (*Dimmers, error) { return Flags(nil).Dimmers(r, file) }

// Dimmers is ReadDimmers with notes of a command line, which count before the file's.
func (flags Flags) Dimmers(r io.Reader, file string) (*Dimmers, error) {
	plain, err := table.ReadTyped[DimmerRow](r, file, schema.Vocabulary(schema.DimmersFile))
	t, err := newRows(plain, err, file, dimmersFile)
	if err != nil {
		return nil, err
	}
	out := &Dimmers{Origin: t.origin()}
	v := schema.Read(schema.DimmersFile, flags, []*schema.Source{schema.Sheet(t.Sheet)})
	t.add(v.Errors)
	out.Warnings = append(out.Warnings, v.Warnings...)
	lamp := "the lamp"
	in, m := &out.Input, &out.Meter
	schema.Put(v, schema.Title, &in.Title)
	schema.Put(v, schema.Date, &in.Date)
	schema.Put(v, schema.Lamp, &lamp)
	schema.Put(v, schema.Resolution, &in.Resolution)
	schema.Put(v, schema.Continuous, &m.Continuous)
	schema.Put(v, schema.FStops, &m.Marks)
	schema.Put(v, schema.Receptor, &m.Receptor)
	m.ISO, m.ShutterS = v.ReadAt()
	if r, ok := schema.Get(v, schema.Repeatability); ok {
		in.Repeatability = &r
	}
	in.Inferred = schema.Assumed(schema.DimmersFile, t.Header)
	if err := t.noLevels(); err != nil {
		return nil, err
	}
	var at []int // rows of the readings
	aside := t.notCounted()
	for i, row := range t.Rows {
		if t.status(i, &aside) == schema.LeftOut {
			continue
		}
		if v := row.Value; v.planned() && v.Dimmer != nil {
			aside.unread = append(aside.unread, fmt.Sprintf("%s at %g %%", cmp.Or(v.Lamp, lamp), *v.Dimmer))
			continue
		}
		if reading, ok := t.dimmed(i, row.Value, *m, lamp); ok {
			reading.Line = row.Line
			in.Readings = append(in.Readings, reading)
			at = append(at, i)
		}
	}
	in.Warnings = append(in.Warnings, aside.findings()...)
	if len(at) == 0 && len(t.errs) == 0 {
		return nil, t.fault("no level", "a level at each setting that was read")
	}
	t.check(in.Check(), at)
	return out, t.errs.ErrOrNil()
}

// dimmed reads a row; false where something of it was wrong.
func (r *rows[T]) dimmed(i int, row DimmerRow, meter photometry.Meter, lamp string) (dimmer.Reading, bool) {
	before := len(r.errs)
	out := dimmer.Reading{Lamp: row.Lamp, Flickers: row.Flicker}
	if out.Lamp == "" {
		out.Lamp = lamp
	}
	switch {
	case row.Dimmer == nil:
		r.fail(i, "dimmer", "the setting of the dial in percent")
	case *row.Dimmer > 0 && *row.Dimmer < leastTransmission:
		r.fail(i, "dimmer", "percent, such as 63, not a share of 1")
	default:
		out.Percent = *row.Dimmer
	}
	out.Level, _, _ = r.oneLevel(i, row.LevelCells, meter, missingForContinuous(meter.ISO > 0, meter.ShutterS))
	if light, ok := r.color(i, LampColor{CCT: row.CCT, Mired: row.Mired, Duv: row.Duv, CC: row.CC}); ok {
		out.Kelvin = &light.Kelvin
		if row.Duv != nil || row.CC != "" {
			out.Duv = &light.Duv
		}
	}
	return out, len(r.errs) == before
}
