package plan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"evenfall/photometry"
)

// When a lamp's level is worth a warning: outside a third of a stop for sure.
const oddLevel = 1.0 / 3

// warnOfLamps says which lamps the readings contradict: one emits nothing, or
// another level than planned, or cannot be distinguished from another.
func (f *levelFit) warnOfLamps(out *Score) {
	for _, l := range out.Lamps {
		switch {
		case l.High == nil || *l.High-*l.Low > 100:
			out.warn("cannot_tell", "lamp", l.Name, "through", l.Through)
		case *l.High < 10:
			out.warn("lamp_dark", "lamp", l.Name, "through", l.Through, "most", photometry.Percentage(*l.High))
		case l.Stops != nil && (*l.Low > 100*math.Exp2(oddLevel) || *l.High < 100*math.Exp2(-oddLevel)):
			out.warn("lamp_level", "lamp", l.Name, "through", l.Through, "percent", photometry.Percentage(l.Percent), "change", *l.Stops)
		}
	}
}

// warnOfAmbient tells of light that is in no row of the plan.
func (f *levelFit) warnOfAmbient(out *Score) {
	a := out.Ambient
	if a.Low == nil || *a.Low <= 0 || len(out.Points) == 0 {
		return
	}
	sum, n := 0.0, 0.0
	for _, p := range out.Points {
		if !p.alone {
			sum, n = sum+p.Measured, n+1
		}
	}
	if mean := sum / n; a.Value > 0.02*mean {
		out.warn("plan.ambient", "level", photometry.Level{Value: a.Value, Quantity: f.scene.Quantity}, "share", photometry.Percentage(100*a.Value/mean))
	}
}

// warnOfErrors says what would explain errors that are more than scatter: a stand
// elsewhere, or something that is in no row.
func (f *levelFit) warnOfErrors(out *Score, limit float64) {
	if d, ok := f.findDisplaced(); ok {
		out.warn("lamp_elsewhere", "lamp", f.scene.Fixtures[d.fixture].Name, "by", d.offset.axis(), "distance", photometry.Length(offMeters*d.amount), "degrees", offDegrees*d.amount,
			"explained", photometry.Percentage(100*d.share))
	} else if out.RMSStops > limit {
		out.warn("not_explained", "rms", out.RMSStops, "scatter", out.ScatterStops, "worst", photometry.Point{Label: out.Worst.Label, X: out.Worst.X, Y: out.Worst.Y})
	}
}

func (c *Score) warn(key string, namesAndValues ...any) {
	c.Warnings = append(c.Warnings, photometry.Found(key, namesAndValues...))
}

// displaced is a stand that would explain errors if it were elsewhere.
type displaced struct {
	fixture int
	offset  offset
	amount  float64 // times the offset; negative is the other way
	share   float64 // of the sum of the squared errors that it explains
}

// Limits of what counts as an explanation: half of the errors, by no more than
// six times the offset, beyond which its map is no longer in proportion.
const (
	leastExplained = 0.5
	mostOffsets    = 6
)

// findDisplaced finds the one stand and direction in which it would have to be
// off to explain most of the errors, and false where none explains half of them.
// The errors of all lamps together are projected on the change that a small shift
// makes, with every lamp's level and the ambient light fitted again.
func (f *levelFit) findDisplaced() (best displaced, ok bool) {
	var used []*equation
	var errs []float64
	for i := range f.equations {
		if q := &f.equations[i]; !q.excluded && q.of == everyLamp {
			used, errs = append(used, q), append(errs, photometry.Stops(q.level, f.model(q, f.scale)))
		}
	}
	last := f.ambientAt() + 1 // of the columns
	if len(used) <= last+1 {
		return best, false
	}
	columns := mat.NewDense(len(used), last+1, nil)
	row := make([]float64, len(f.scale)+1)
	for n, q := range used {
		f.gradient(q, f.model(q, f.scale), row)
		columns.SetRow(n, row[:last+1])
	}
	total := mat.Dot(mat.NewVecDense(len(errs), errs), mat.NewVecDense(len(errs), errs))
	best.share = leastExplained
	for i := range f.scene.Fixtures {
		lamps := f.shiningBy(i)
		for _, d := range offsets {
			if len(lamps) == 0 || d.backward() {
				continue
			}
			moved := f.scene.shifted(i, d)
			if moved == nil {
				continue
			}
			for _, k := range lamps {
				there := moved.lampMap(f.lamps[k], f.read)
				for n, q := range used {
					columns.Set(n, last, f.scale[k]*(there[q.place]-f.maps[k][q.place])/f.model(q, f.scale)/math.Ln2)
				}
				amount, left, fits := lastCoefficient(columns, errs)
				if share := 1 - left/total; fits && math.Abs(amount) <= mostOffsets && share > best.share {
					best, ok = displaced{i, d, amount, share}, true
				}
			}
		}
	}
	return best, ok
}

// shiningBy is the lamps, by their index, whose light leaves by a fixture: the
// lamp itself, or those behind a frame or a bounce.
func (f *levelFit) shiningBy(fixture int) (lamps []int) {
	for k, lamp := range f.lamps {
		if fixture == lamp || slices.Contains(f.scene.through(lamp), f.scene.Fixtures[fixture].Name) {
			lamps = append(lamps, k)
		}
	}
	return lamps
}

// lastCoefficient fits e by least squares on columns and returns the last one's
// coefficient and the sum of squares left.
func lastCoefficient(columns *mat.Dense, e []float64) (coefficient, left float64, ok bool) {
	_, m := columns.Dims()
	var qr mat.QR
	qr.Factorize(columns)
	var x, rest mat.VecDense
	if err := qr.SolveVecTo(&x, false, mat.NewVecDense(len(e), e)); err != nil {
		return 0, 0, false
	}
	rest.MulVec(columns, &x)
	rest.SubVec(mat.NewVecDense(len(e), e), &rest)
	return x.AtVec(m - 1), mat.Dot(&rest, &rest), true
}
