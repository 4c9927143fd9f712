package plan

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// When a lamp's level is worth a warning: outside a third of a stop for sure.
const oddLevel = 1.0 / 3

// warnOfLamps says which lamps the readings contradict: one gives nothing, or
// another level than planned, or cannot be told from another.
func (f *levelFit) warnOfLamps(out *Score) {
	var untellable []string
	for _, l := range out.Lamps {
		switch {
		case !l.Told():
			if !slices.Contains(untellable, l.Name) {
				untellable = append(untellable, l.Name)
			}
		case *l.High < 10:
			out.warn("lamp_dark", "lamp", l.Name, "through", l.Through, "most", photometry.Percentage(*l.High))
		case l.Stops != nil && (*l.Low > 100*math.Exp2(oddLevel) || *l.High < 100*math.Exp2(-oddLevel)):
			out.warn("lamp_level", "lamp", l.Name, "through", l.Through, "percent", photometry.Percentage(l.Percent), "change", *l.Stops)
		}
	}
	if len(untellable) > 0 {
		out.warn("cannot_tell", "lamps", untellable)
	}
	for _, lamp := range f.dark {
		name := f.scene.Fixtures[lamp].Name
		read := slices.ContainsFunc(f.read.Lamps, func(l survey.Lamp) bool { return strings.EqualFold(l.Name, name) && slices.Max(l.Level) > 0 })
		out.warn("gives_nothing", "lamp", name, "through", f.scene.through(lamp), "read", read)
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
	e, ok := f.together()
	if !ok {
		return best, false
	}
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
				amount, share, fits := e.explainedBy(k, moved.lampMap(f.lamps[k], f.read))
				if fits && math.Abs(amount) <= mostOffsets && share > best.share {
					best = displaced{i, d, amount, share}
				}
			}
		}
	}
	return best, best.share > leastExplained
}

// togetherErrors are the errors of the readings of all lamps together, in stops, and
// the columns that they are projected on: the lamps' levels, the ambient light, and
// last the change that a shift makes.
type togetherErrors struct {
	*levelFit
	used    []*equation
	errs    []float64
	columns *mat.Dense
}

// together is false where there are too few readings to project.
func (f *levelFit) together() (e togetherErrors, ok bool) {
	e.levelFit = f
	for i := range f.equations {
		if q := &f.equations[i]; !q.excluded && q.of == everyLamp {
			e.used, e.errs = append(e.used, q), append(e.errs, photometry.Stops(q.level, f.model(q, f.scale)))
		}
	}
	columns := f.ambientAt() + 2
	if len(e.used) <= columns {
		return e, false
	}
	e.columns = mat.NewDense(len(e.used), columns, nil)
	row := make([]float64, len(f.scale)+1)
	for n, q := range e.used {
		f.gradient(q, f.scale, f.model(q, f.scale), row)
		e.columns.SetRow(n, row[:columns])
	}
	return e, true
}

// explainedBy projects the errors on the change that a shift makes to lamp k, past
// the levels: how many times the shift, and what share of the squares it explains.
func (e *togetherErrors) explainedBy(k int, there []float64) (amount, share float64, ok bool) {
	_, columns := e.columns.Dims()
	for n, q := range e.used {
		e.columns.Set(n, columns-1, e.scale[k]*(there[q.place]-e.maps[k][q.place])/e.model(q, e.scale)/math.Ln2)
	}
	amount, left, ok := lastCoefficient(e.columns, e.errs)
	return amount, 1 - left/floats.Dot(e.errs, e.errs), ok
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
