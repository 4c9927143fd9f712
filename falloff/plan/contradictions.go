package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

	"evenfall/photometry"
)

// When a lamp's level is worth a warning: outside a third of a stop for sure.
const oddLevel = 1.0 / 3

// warnOfLamps says which lamps the readings contradict: one gives nothing, or
// another level than planned, or cannot be told from another.
func (f *levelFit) warnOfLamps(out *Score) {
	for _, l := range out.Lamps {
		name := l.Name
		if len(l.Through) > 0 {
			name += " (through " + joined(l.Through) + ")"
		}
		switch {
		case l.High == nil || *l.High-*l.Low > 100:
			out.warn("cannot_tell", "The readings cannot tell %s from the other lamps: read it alone at a few places.", name)
		case *l.High < 10:
			out.warn("lamp_dark", "The readings show no light of %s (%.0f %% of its plan at most): is it on, and where the table says?", name, *l.High)
		case l.Stops != nil && (*l.Low > 100*math.Exp2(oddLevel) || *l.High < 100*math.Exp2(-oddLevel)):
			out.warn("lamp_level", "%s gives %.0f %% of its plan (%+.1f stop): its dimmer, scrims, age or figures are other than the table says.", capital(name), l.Percent, *l.Stops)
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
		out.warn("ambient", "%s of ambient light or spill that is in no row, %.0f %% of the mean.", f.levelText(a.Value), 100*a.Value/mean)
	}
}

// warnOfErrors says what would explain errors that are more than scatter: a stand
// elsewhere, or something that is in no row.
func (f *levelFit) warnOfErrors(out *Score, limit float64) {
	if d, ok := f.findDisplaced(); ok {
		out.warn("lamp_elsewhere", "%s", d.text(f.scene))
	} else if out.RMSStops > limit {
		out.warn("not_explained", "The readings scatter more about the plan (±%.2f stop) than a meter does (±%.2f): walls, spill or a lamp that is in no row; most at %s.",
			out.RMSStops, out.ScatterStops, placeName(out.Worst))
	}
}

func (c *Score) warn(code, format string, args ...any) {
	c.Warnings = append(c.Warnings, finding(code, format, args...))
}

// levelText writes a level as the readings were written, or as was asked.
func (f *levelFit) levelText(v float64) string {
	return photometry.FormatLevel(photometry.Level{Value: v, Quantity: f.scene.Quantity}, f.read.UnitFor(f.scene.options.Unit))
}

func placeName(e Error) string {
	if e.Label != "" {
		return e.Label
	}
	return fmt.Sprintf("%.2f, %.2f m", e.X, e.Y)
}

func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
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

// text says by how much the stand seems to be off.
func (d displaced) text(s *Scene) string {
	size := math.Abs(d.amount)
	way := func(plus, minus string) string {
		if d.amount > 0 {
			return plus
		}
		return minus
	}
	what := ""
	switch o := d.offset; {
	case o.move.X != 0:
		what = fmt.Sprintf("it stands about %s farther to camera %s", s.shortText(offMeters*size), way("right", "left"))
	case o.move.Y != 0:
		what = fmt.Sprintf("it stands about %s %s", s.shortText(offMeters*size), way("higher", "lower"))
	case o.move.Z != 0:
		what = fmt.Sprintf("it stands about %s %s the surface", s.shortText(offMeters*size), way("farther from", "nearer to"))
	case o.pan != 0:
		what = fmt.Sprintf("it is panned about %.0f° farther to camera %s", offDegrees*size, way("right", "left"))
	default:
		what = fmt.Sprintf("it is tilted about %.0f° farther %s", offDegrees*size, way("up", "down"))
	}
	return fmt.Sprintf("%s as planned cannot explain the readings: that %s would explain %.0f %% of the error.", capital(s.Fixtures[d.fixture].Name), what, 100*d.share)
}
