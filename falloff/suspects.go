package falloff

import (
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"

	"gonum.org/v1/gonum/floats"
)

// rising warns where the level rises with distance by more than chance.
func (a *answers) rising() {
	d, level, precision := make([]float64, a.s.distinct), make([]float64, a.s.distinct), make([]float64, a.s.distinct)
	for i, k := range a.s.place {
		d[k] = a.s.d[i]
		level[k] += a.s.precision[i] * a.s.facing[i]
		precision[k] += a.s.precision[i]
	}
	floats.Div(level, precision)
	var worst, from, to float64
	// At least 3 standard deviations, and more among many steps: one series in a hundred
	// has a step that rises so by chance.
	deviations := max(3, uncertainty.Quantile(1-0.01/float64(len(d)), 0))
	for i := 1; i < len(d); i++ {
		rise := level[i] - level[i-1]
		if rise > deviations*math.Sqrt(1/precision[i-1]+1/precision[i]) && rise > worst {
			worst, from, to = rise, d[i-1], d[i]
		}
	}
	if worst == 0 {
		return
	}
	a.rises, a.upward = true, a.Exponent > 0
	near, far := photometry.Length(from*a.s.scaleM), photometry.Length(to*a.s.scaleM)
	if a.upward {
		a.warn("everywhere.rising", "rise", worst/math.Ln2, "from", near, "to", far)
	} else {
		a.warn("rising", "rise", worst/math.Ln2, "from", near, "to", far)
	}
}

// fewDistances is below how many distances a full law fits almost anything once
// one of them is left out.
const fewDistances = 6

// suspects looks, where no law fits, for a single reading without which one does,
// and for the data-entry error that would explain it. With few distances only the
// plain law counts, and only an error that is known. It never changes a figure.
func (a *answers) suspects(readings []Reading) {
	few := a.s.distinct < fewDistances
	if a.s.distinct < 4 || len(readings) > 60 {
		return
	}
	law, i := a.bestWithout(readings, few)
	if i < 0 {
		return
	}
	r := readings[i]
	off := photometry.Stops(r.Level, law.LevelTilted(r.DistanceM, r.IncidenceDeg))
	code, nearest := "outlier", math.Inf(1)
	var causes []Finding
	for _, e := range dataEntryErrors {
		// Several can be this near to each other: all are named, and the nearest
		// gives the code.
		if miss := math.Abs(math.Abs(off) - e.stops); miss < 0.12 {
			if miss < nearest {
				nearest, code = miss, e.code
			}
			causes = append(causes, e.cause)
		}
	}
	if few && code == "outlier" {
		return
	}
	name := r.called(i)
	found := photometry.Found("outlier", "reading", name, "level", a.o.level(r.Level), "at", photometry.Length(r.DistanceM), "off", photometry.Stop(off), "slips", causes)
	found.Code = code
	a.suspect = &name
	for k := range a.Points {
		a.Points[k].Suspect = a.Points[k].Reading == i+1
	}
	a.Warnings = append(a.Warnings, found)
}

// bestWithout returns the law that fits all readings but one best and leaves
// nothing unexplained, and the reading left out; −1 where there is none. The plain
// law goes first: it is the one that says most of a reading far off the others.
func (a *answers) bestWithout(readings []Reading, few bool) (best Law, i int) {
	least, i := math.Inf(1), -1
	for k := range readings {
		s := newSeries(slices.Concat(readings[:k], readings[k+1:]), a.o)
		if s.distinct < leastDistances-1 {
			continue
		}
		fit, params := s.solve(shape{}, s.tape(a.o.TapeChecked)), 1
		if !few && misfit(fit.readings, len(s.d)-params) > 1 {
			fit, params = s.minima(all, s.tape(a.o.TapeChecked))[0], 3
		}
		score := fit.chi2 + 2*float64(params)
		if misfit(fit.readings, len(s.d)-params) == 1 && score < least {
			least, best, i = score, s.law(fit), k
		}
	}
	return best, i
}
