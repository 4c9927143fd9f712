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
			moved, stands := f.scene.shifted(i, d)
			if !stands {
				continue
			}
			for _, k := range lamps {
				amount, share, fits := e.explainedBy(k, moved.lampMap(f.lamps[k], f.read))
				if fits && moved.TooMuch() == nil && math.Abs(amount) <= mostOffsets && share > best.share {
					best = displaced{i, d, amount, share}
				}
			}
		}
	}
	return best, best.share > leastExplained
}

// togetherErrors are the errors of the readings of all lamps together, in stops, and
// what they and the change of a shift are taken past: the lamps' levels and the ambient
// light, whose columns are factorized once for all shifts.
type togetherErrors struct {
	*levelFit
	used    []*equation
	columns *mat.Dense
	qr      mat.QR
	squares float64   // of the errors
	errs    []float64 // past the levels
}

// together is false where there are too few readings to project.
func (f *levelFit) together() (e *togetherErrors, ok bool) {
	e = &togetherErrors{levelFit: f}
	var errs []float64
	for i := range f.equations {
		if q := &f.equations[i]; !q.excluded && q.of == everyLamp {
			e.used, errs = append(e.used, q), append(errs, photometry.Stops(q.level, f.model(q, f.scale)))
		}
	}
	columns := f.ambientAt() + 1
	if len(e.used) <= columns+1 {
		return e, false
	}
	e.columns = mat.NewDense(len(e.used), columns, nil)
	row := make([]float64, len(f.scale)+1)
	for n, q := range e.used {
		f.gradient(q, f.scale, f.model(q, f.scale), row)
		e.columns.SetRow(n, row[:columns])
	}
	e.qr.Factorize(e.columns)
	e.squares = floats.Dot(errs, errs)
	e.errs, ok = e.pastLevels(errs)
	return e, ok
}

// pastLevels is what of a change at the readings no levels explain; false where the
// readings do not tell the levels.
func (e *togetherErrors) pastLevels(change []float64) (rest []float64, ok bool) {
	var x, by mat.VecDense
	v := mat.NewVecDense(len(change), change)
	if err := e.qr.SolveVecTo(&x, false, v); err != nil {
		return nil, false
	}
	by.MulVec(e.columns, &x)
	by.SubVec(v, &by)
	return by.RawVector().Data, true
}

// explainedBy projects the errors on the change that a shift makes to lamp k, past
// the levels: how many times the shift, and what share of the squares it explains.
func (e *togetherErrors) explainedBy(k int, there []float64) (amount, share float64, ok bool) {
	change := make([]float64, len(e.used))
	for n, q := range e.used {
		change[n] = e.scale[k] * (there[q.place] - e.maps[k][q.place]) / e.model(q, e.scale) / math.Ln2
	}
	own, ok := e.pastLevels(change)
	if !ok || floats.Norm(own, 2) <= sameAsLevels*floats.Norm(change, 2) {
		return 0, 0, false
	}
	along := floats.Dot(own, e.errs)
	amount = along / floats.Dot(own, own)
	return amount, 1 - (floats.Dot(e.errs, e.errs)-amount*along)/e.squares, true
}

// sameAsLevels is the part of a change past the levels below which it is rounding.
const sameAsLevels = 1e-10

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
