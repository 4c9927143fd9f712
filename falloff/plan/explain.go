package plan

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat/distuv"

	"evenfall/photometry"
)

// inverseDiagonal is the diagonal of (JᵀJ)⁻¹, infinite where the columns of J
// cannot be told apart. Columns are scaled first, so that units do not matter.
func inverseDiagonal(rows [][]float64, m int) []float64 {
	out := make([]float64, m)
	size := make([]float64, m)
	for _, row := range rows {
		for k, v := range row {
			size[k] += v * v
		}
	}
	normal := mat.NewSymDense(m, nil)
	for i := range m {
		for j := i; j < m; j++ {
			sum := 0.0
			for _, row := range rows {
				sum += row[i] * row[j]
			}
			if size[i] > 0 && size[j] > 0 {
				sum /= math.Sqrt(size[i] * size[j])
			} else if i == j {
				sum = 1
			}
			normal.SetSym(i, j, sum)
		}
	}
	var chol mat.Cholesky
	var inverse mat.SymDense
	if !chol.Factorize(normal) || chol.Cond() > 1e12 || chol.InverseTo(&inverse) != nil {
		for k := range out {
			out[k] = math.Inf(1)
		}
		return out
	}
	for k := range out {
		out[k] = math.Inf(1)
		if size[k] > 0 {
			out[k] = inverse.At(k, k) / size[k]
		}
	}
	return out
}

// chiSquareQuantile is the 97.5 % point of χ² with nu degrees of freedom.
func chiSquareQuantile(nu float64) float64 { return distuv.ChiSquared{K: nu}.Quantile(0.975) }

// When a lamp's level is worth a warning: outside a third of a stop for sure.
const oddLevel = 1.0 / 3

// explain says where the readings contradict a lamp: it gives nothing, it gives
// another level than planned, readings cannot tell it from another, or it
// stands or aims elsewhere.
func (f *fit) explain(out *Score, limit float64) {
	warn := func(code, format string, args ...any) {
		out.Warnings = append(out.Warnings, finding(code, format, args...))
	}
	for _, l := range out.Lamps {
		name := l.Name
		if len(l.Through) > 0 {
			name += " (through " + joined(l.Through) + ")"
		}
		switch {
		case l.High == nil || *l.High-*l.Low > 100:
			warn("cannot_tell", "The readings cannot tell %s from the other lamps: read it alone at a few places.", name)
		case *l.High < 10:
			warn("lamp_dark", "The readings show no light of %s (%.0f %% of its plan at most): is it on, and where the table says?", name, *l.High)
		case l.Stops != nil && (*l.Low > 100*math.Exp2(oddLevel) || *l.High < 100*math.Exp2(-oddLevel)):
			warn("lamp_level", "%s gives %.0f %% of its plan (%+.1f stop): its dimmer, scrims, age or figures are other than the table says.", capital(name), l.Percent, *l.Stops)
		}
	}
	if a := out.Ambient; a.Low != nil && *a.Low > 0 && len(out.Points) > 0 {
		sum, n := 0.0, 0.0
		for _, p := range out.Points {
			if !p.alone {
				sum, n = sum+p.Measured, n+1
			}
		}
		if mean := sum / n; a.Value > 0.02*mean {
			warn("ambient", "%s of ambient light or spill that is in no row, %.0f %% of the mean.", f.levelText(a.Value), 100*a.Value/mean)
		}
	}
	if out.Explained {
		return
	}
	if text := f.elsewhere(); text != "" {
		warn("lamp_elsewhere", "%s", text)
	} else if out.RMSStops > limit {
		warn("not_explained", "The readings scatter more about the plan (±%.2f stop) than a meter does (±%.2f): walls, spill or a lamp that is in no row; most at %s.",
			out.RMSStops, out.ScatterStops, placeName(out.Worst))
	}
}

// levelText writes a level as the readings were written, or as was asked.
func (f *fit) levelText(v float64) string {
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

// elsewhere finds the one stand and direction in which it would have to be off
// to explain most of the errors, and says so; empty where none explains half of
// them.
func (f *fit) elsewhere() string {
	type row struct {
		e, w float64
		n    int
	}
	var rows []row
	total := 0.0
	for n, level := range f.levels {
		if f.left[n] || f.alone[n] != everyLamp {
			continue
		}
		e := math.Log2(level / f.model(n, f.scale))
		rows = append(rows, row{e, 1, n})
		total += e * e
	}
	bestShare, text := 0.5, ""
	for k, lamp := range f.lamps {
		for i := range f.scene.Fixtures {
			// The lamp itself, or a frame that it stands behind.
			if i != lamp && !contains(f.scene.through(lamp), f.scene.Fixtures[i].Name) {
				continue
			}
			for _, d := range offsets {
				if d.move.X < 0 || d.move.Y < 0 || d.move.Z < 0 || d.pan < 0 || d.tilt < 0 {
					continue
				}
				moved := f.scene.shifted(i, d.move, d.pan, d.tilt)
				if moved == nil {
					continue
				}
				there := moved.lampMap(lamp, f.read)
				// The change that the shift makes, with every lamp's level fitted
				// again: project the errors on it past the lamps' own maps.
				var jac [][]float64
				var e []float64
				for _, r := range rows {
					m := f.model(r.n, f.scale)
					line := make([]float64, len(f.lamps)+2)
					for q := range f.lamps {
						line[q] = f.maps[q][f.place[r.n]] / m / math.Ln2
					}
					line[len(f.lamps)] = f.ambient(r.n) / m / math.Ln2
					line[len(f.lamps)+1] = f.scale[k] * (there[f.place[r.n]] - f.maps[k][f.place[r.n]]) / m / math.Ln2
					jac, e = append(jac, line), append(e, r.e)
				}
				amount, left, ok := lastCoefficient(jac, e)
				if !ok || math.Abs(amount) > 6 {
					continue
				}
				if share := 1 - left/total; share > bestShare {
					bestShare = share
					text = f.scene.offText(f.scene.Fixtures[i].Name, d.move, d.pan, d.tilt, amount, share)
				}
			}
		}
	}
	return text
}

func contains(names []string, name string) bool {
	for _, n := range names {
		if n == name {
			return true
		}
	}
	return false
}

// lastCoefficient fits e by least squares on the columns of rows and returns the
// last one's coefficient and the sum of squares left.
func lastCoefficient(rows [][]float64, e []float64) (coefficient, left float64, ok bool) {
	n, m := len(rows), len(rows[0])
	if n <= m {
		return 0, 0, false
	}
	a := mat.NewDense(n, m, nil)
	for i, row := range rows {
		a.SetRow(i, row)
	}
	var qr mat.QR
	qr.Factorize(a)
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, mat.NewVecDense(n, e)); err != nil {
		return 0, 0, false
	}
	var fitted mat.VecDense
	fitted.MulVec(a, &x)
	for i := range e {
		d := e[i] - fitted.AtVec(i)
		left += d * d
	}
	return x.AtVec(m - 1), left, true
}

// offText says by how much a stand seems to be off.
func (s *Scene) offText(name string, move r3.Vec, pan, tilt, amount, share float64) string {
	size := math.Abs(amount)
	way := func(plus, minus string) string {
		if amount > 0 {
			return plus
		}
		return minus
	}
	what := ""
	switch {
	case move.X != 0:
		what = fmt.Sprintf("it stands about %s farther to camera %s", s.shortText(offMeters*size), way("right", "left"))
	case move.Y != 0:
		what = fmt.Sprintf("it stands about %s %s", s.shortText(offMeters*size), way("higher", "lower"))
	case move.Z != 0:
		what = fmt.Sprintf("it stands about %s %s the surface", s.shortText(offMeters*size), way("farther from", "nearer to"))
	case pan != 0:
		what = fmt.Sprintf("it is panned about %.0f° farther to camera %s", offDegrees*size, way("right", "left"))
	default:
		what = fmt.Sprintf("it is tilted about %.0f° farther %s", offDegrees*size, way("up", "down"))
	}
	return fmt.Sprintf("%s as planned cannot explain the readings: that %s would explain %.0f %% of the error.", capital(name), what, 100*share)
}
