package falloff

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// Units of a series, as the results write them.
const (
	UnitLux       = "lx"       // illuminance
	UnitLuxSecond = "lx.s"     // luminous exposure of a flash
	UnitRelative  = "relative" // any other level that is proportional to light
)

// Receptors of a meter.
const (
	ReceptorFlat = "flat"
	ReceptorDome = "dome"
)

// Reading is one reading of a distance series.
type Reading struct {
	// DistanceM is the distance from the source in meters, more than 0.
	DistanceM float64
	// Level is what the meter showed, more than 0, in the unit of the series.
	Level float64
	// IncidenceDeg is the angle between the receiver's normal and the direction
	// to the source, in degrees, less than 90 either way.
	IncidenceDeg float64
	// Repeats says of how many readings Level is the mean; 0 and 1 both mean one.
	Repeats int
	// OpenStops is by how many stops Level may be off either way because it is open which
	// of several readings counts; nothing is settled with it.
	OpenStops float64
	// Name is what the reading is called, such as by its label; Line is its line in
	// a file. Without either it goes by its number.
	Name string
	Line int
}

// Options say what is known about the meter and what is wanted. The zero value
// is a flat receptor reading lux, with 2 % repeatability assumed unless the
// readings repeat themselves. A check of the meter wants nothing: it leaves
// MarkM, WantedLevel and WithinStops alone.
type Options struct {
	// Unit is UnitLux (also where empty), UnitLuxSecond or UnitRelative.
	Unit string
	// MarkM is the distance that matters, in meters. Zero means none: then the
	// reading nearest to the geometric middle of the series stands in.
	MarkM float64
	// WantedLevel is a level to find the distance of; zero means none.
	WantedLevel float64
	// WithinStops is the half width of the zone about the mark, in stops; zero
	// means a third.
	WithinStops float64
	// Repeatability is the relative standard deviation of one reading to the
	// next (0.02 is 2 %). Zero means unknown: it is then taken from readings
	// that repeat a place, or assumed. In a check of the meter its own repeats go
	// before it.
	Repeatability float64
	// ResolutionStops and ResolutionLevel are the step of the display, in stops
	// or in the unit of the levels; zero means fine. Both may be set.
	ResolutionStops, ResolutionLevel float64
	// TapeChecked says that the distances were checked to start where the light
	// does, to about a centimeter. A light behind a lens starts behind that: from one
	// checked at the lens, half of the settled candelas are wrong, by up to 40 %.
	TapeChecked bool
	// Receptor is ReceptorFlat (also where empty) or ReceptorDome.
	Receptor string
}

// Repeatability is how far one reading strays from the next.
type Repeatability struct {
	// Percent is the relative standard deviation in percent.
	Percent float64 `json:"percent"`
	// From is "note" (given), "repeats" (found in the series) or "assumed".
	From string `json:"from"`
	// DegreesOfFreedom is set where repeats stand behind it.
	DegreesOfFreedom int `json:"degrees_of_freedom,omitempty"`
}

// series is a checked distance series in the scaled units of the fit: distances
// in units of scaleM, levels in units of scaleE.
type series struct {
	columns                  // the readings
	fitted         columns   // what laws are fitted to: the readings, pooled where they are many
	order          []int     // input index of each entry, nearest first
	place          []int     // which distance, counted from 0, each entry is at
	facing         []float64 // ln level if the receiver faced the source
	totalPrecision float64
	scaleM, scaleE float64
	nearM, farM    float64
	distinct       int
	repeat         Repeatability
	quantile       float64 // 2.576 (99 %), or Student's where repeatability is estimated
}

// columns are readings by distance.
type columns struct {
	d, cos []float64
	lny    []float64 // ln level
	// weight is 1/standard deviation of lny, precision its square.
	weight, precision []float64
	// within is Σ precision·(lny − mean)² of the readings that one entry stands for.
	within float64
}

// mostFitted is how many steps of distance laws are fitted to.
const mostFitted = 2000

// pooled are the readings, or where there are more than mostFitted the weighted means of
// those at one angle within a step, a 2000th of the way from the nearest to the farthest
// in ln distance, each brought to their mean distance by the inverse square: what another
// law makes of so short a way is far below their scatter.
func (c columns) pooled() columns {
	n := len(c.d)
	if n <= mostFitted {
		return c
	}
	var out columns
	step := math.Log(c.d[n-1]/c.d[0]) / mostFitted
	at := func(i int) int { return int(math.Log(c.d[i]/c.d[0]) / step) }
	for from, to := 0, 0; from < n; from = to {
		for to = from + 1; to < n && at(to) == at(from) && c.cos[to] == c.cos[from]; {
			to++
		}
		weights := c.precision[from:to]
		d := stat.Mean(c.d[from:to], weights)
		there := make([]float64, to-from)
		for i := range there {
			there[i] = c.lny[from+i] + 2*math.Log(c.d[from+i]/d)
		}
		mean := stat.Mean(there, weights)
		for i, v := range there {
			out.within += weights[i] * (v - mean) * (v - mean)
		}
		out.d, out.cos, out.lny = append(out.d, d), append(out.cos, c.cos[from]), append(out.lny, mean)
		out.precision = append(out.precision, floats.Sum(weights))
		out.weight = append(out.weight, math.Sqrt(floats.Sum(weights)))
	}
	return out
}

// checkOptions fills in what is left open and checks the rest.
func checkOptions(o *Options) error {
	bad := func(found string, v any, expected string) error {
		return seriesFault(fmt.Sprintf("%s %v", found, v), expected)
	}
	positive := func(v float64) bool { return v >= 0 && !math.IsInf(v, 1) }
	if o.Unit == "" {
		o.Unit = UnitLux
	}
	if o.WithinStops == 0 {
		o.WithinStops = 1.0 / 3
	}
	switch q, known := photometry.QuantityOf(o.Unit); {
	case !known || q == photometry.Luminance:
		return bad("the unit", o.Unit, "lx, lx.s or relative: no other level falls with distance as a light does")
	case o.Receptor != "" && o.Receptor != ReceptorFlat && o.Receptor != ReceptorDome:
		return bad("the receptor", o.Receptor, "flat or dome")
	case !positive(o.MarkM):
		return bad("a mark at", fmt.Sprint(o.MarkM, " m"), "a distance of more than 0")
	case !positive(o.WantedLevel):
		return bad("a wanted level of", o.WantedLevel, "more than 0")
	case !positive(o.WithinStops):
		return bad("a zone of", fmt.Sprint(o.WithinStops, " stops"), "more than 0")
	case !positive(o.Repeatability) || o.Repeatability >= 1:
		return bad("a repeatability of", o.Repeatability, "a share between 0 and 1, such as 0.02")
	case !positive(o.ResolutionStops) || !positive(o.ResolutionLevel):
		return bad("a resolution of", fmt.Sprint(o.ResolutionStops, " stops, ", o.ResolutionLevel), "0 or more")
	}
	return nil
}

// checkReadings returns every fault of the series at once.
func checkReadings(readings []Reading, o Options) error {
	var errs faults
	places := map[float64]bool{}
	for i, r := range readings {
		places[r.DistanceM] = true
		errs.check(i, r.DistanceM, distanceLimits)
		errs.check(i, r.Level, levelLimits)
		if errs.angle(i, r.IncidenceDeg, "less than 90° between the receptor's axis and the source") && o.Receptor == ReceptorDome && r.IncidenceDeg != 0 {
			errs.add(i, AngleFigure, fmt.Sprintf("a dome receptor at %g°", r.IncidenceDeg),
				"a flat receptor, or the dome facing the source: "+domeReason(r.IncidenceDeg))
		}
		if r.Repeats < 0 {
			errs.add(i, "", fmt.Sprintf("%d repeats", r.Repeats), "0 or more")
		}
	}
	if len(errs.InputErrors) == 0 && len(places) < 2 {
		found := fmt.Sprintf("%d readings, all at one distance", len(readings))
		if len(readings) < 2 {
			found = [...]string{"no readings", "one reading"}[len(readings)]
		}
		errs.add(-1, "", found, "readings at two distances or more")
	}
	return errs.OrNil()
}

// newSeries scales a checked series and settles how good its readings are.
func newSeries(readings []Reading, o Options) *series {
	n := len(readings)
	s := &series{order: make([]int, n), place: make([]int, n)}
	var mean float64
	for i, r := range readings {
		s.order[i] = i
		mean += math.Log(r.Level) / float64(n)
	}
	slices.SortStableFunc(s.order, func(a, b int) int { return cmp.Compare(readings[a].DistanceM, readings[b].DistanceM) })
	s.nearM, s.farM = readings[s.order[0]].DistanceM, readings[s.order[n-1]].DistanceM
	s.scaleM, s.scaleE = math.Sqrt(s.nearM)*math.Sqrt(s.farM), math.Exp(mean)
	for k := 1; k < n; k++ {
		d, before := readings[s.order[k]].DistanceM, readings[s.order[k-1]].DistanceM
		s.place[k] = s.place[k-1]
		if d-before > 1e-9*d { // 2 m and 200 cm may differ in the last bit
			s.place[k]++
		}
	}
	s.distinct = s.place[n-1] + 1
	s.repeatability(readings, o)
	for k, i := range s.order {
		r := readings[i]
		s.d = append(s.d, r.DistanceM/s.scaleM)
		s.cos = append(s.cos, photometry.CosineFactor(r.IncidenceDeg))
		s.lny = append(s.lny, math.Log(r.Level/s.scaleE))
		s.facing = append(s.facing, s.lny[k]-math.Log(s.cos[k]))
		s.weight = append(s.weight, 1/s.spread(r, o))
		s.precision = append(s.precision, s.weight[k]*s.weight[k])
		s.totalPrecision += s.precision[k]
	}
	s.fitted = s.pooled()
	return s
}

// repeatability takes the repeatability from the options, from readings that
// repeat the same place, or from the assumption.
func (s *series) repeatability(readings []Reading, o Options) {
	s.quantile = uncertainty.Quantile(0.995, 0)
	if o.Repeatability > 0 {
		s.repeat = Repeatability{Percent: 100 * o.Repeatability, From: "note"}
		return
	}
	var single []int // a mean says nothing about a single reading
	for k, i := range s.order {
		if readings[i].Repeats <= 1 && readings[i].OpenStops == 0 {
			single = append(single, k)
		}
	}
	type spot struct {
		place int
		angle float64
	}
	var same [][]float64
	for _, group := range grouped(len(single), func(j int) spot {
		return spot{s.place[single[j]], readings[s.order[single[j]]].IncidenceDeg}
	}) {
		levels := make([]float64, len(group))
		for g, j := range group {
			levels[g] = readings[s.order[single[j]]].Level
		}
		same = append(same, levels)
	}
	r, dof := pooledRepeatability(same)
	// Repeats that agree to the last digit tell the display's step only.
	exact := r == 0 && o.ResolutionStops == 0 && o.ResolutionLevel == 0
	if dof == 0 || dof < uncertainty.FewRepeats && r < uncertainty.AssumedRepeatability || exact {
		s.repeat = Repeatability{Percent: 100 * uncertainty.AssumedRepeatability, From: "assumed", DegreesOfFreedom: dof}
		return
	}
	s.repeat = Repeatability{Percent: 100 * r, From: "repeats", DegreesOfFreedom: dof}
	if dof >= uncertainty.FewRepeats {
		s.quantile = uncertainty.Quantile(0.995, dof)
	}
}

// grouped returns the indices 0 to n−1 by their keys, in order.
func grouped[K comparable](n int, key func(int) K) [][]int {
	known := map[K]int{}
	var groups [][]int
	for i := range n {
		g, ok := known[key(i)]
		if !ok {
			g = len(groups)
			known[key(i)], groups = g, append(groups, nil)
		}
		groups[g] = append(groups[g], i)
	}
	return groups
}

// spread returns the standard deviation of ln level of a reading, from
// repeatability r, step q of the display and k repeats:
// √((r² + q²/12)/k), q taken relative to the level, and what is open of it.
func (s *series) spread(r Reading, o Options) float64 {
	v := s.repeat.Percent / 100
	q := o.ResolutionStops * math.Ln2
	p := o.ResolutionLevel / r.Level
	return math.Hypot(math.Sqrt((v*v+(q*q+p*p)/12)/math.Max(1, float64(r.Repeats))), r.OpenStops*math.Ln2)
}

// exponent returns the weighted slope of ln level against ln distance, tilted
// readings counted as if they faced the source.
func (s *series) exponent() float64 {
	lnD := make([]float64, len(s.d))
	for i, d := range s.d {
		lnD[i] = math.Log(d)
	}
	_, slope := stat.LinearRegression(lnD, s.facing, s.precision, false)
	return slope
}

// pooledRepeatability returns the relative standard deviation of one reading
// and its degrees of freedom from groups of readings of the same light: the
// root of the pooled variance of ln level, Σ(ln E − mean of the group)²/Σ(k − 1).
func pooledRepeatability(groups [][]float64) (r float64, dof int) {
	var squares float64
	for _, g := range groups {
		dof += max(0, len(g)-1)
		var mean float64
		for _, v := range g {
			mean += math.Log(v/g[0]) / float64(len(g))
		}
		for _, v := range g {
			e := math.Log(v/g[0]) - mean
			squares += e * e
		}
	}
	if dof <= 0 {
		return 0, 0
	}
	return math.Sqrt(squares / float64(dof)), dof
}

// called names reading i.
func (r Reading) called(i int) Finding {
	switch {
	case r.Name != "":
		return Finding{Text: r.Name}
	case r.Line > 0:
		return photometry.Found("by_line", "line", r.Line)
	}
	return photometry.Found("by_number", "number", i+1)
}
