package falloff

import (
	"fmt"
	"math"
	"slices"

	"evenfall/photometry"

	"gonum.org/v1/gonum/stat/distuv"
)

// filters takes the deviation from the densities, with the best common level.
func (m *meterCheck) filters(in MeterReadings) error {
	if len(in.Filters) == 0 {
		return nil
	}
	var errs faults
	densities := map[float64]bool{}
	var mean float64
	for i, r := range in.Filters {
		if !(r.Density >= 0) || r.Density > 10 {
			errs.add(i, DensityFigure, fmt.Sprintf("a density of %g", r.Density), "0 to 10, 0.3 a stop")
		}
		errs.check(i, r.Level, levelLimits)
		densities[r.Density] = true
		mean += (math.Log2(r.Level) + photometry.DensityStops(r.Density)) / float64(len(in.Filters))
	}
	if len(errs.InputErrors) == 0 && len(densities) < 3 {
		errs.add(-1, "", fmt.Sprintf("readings at %d densities", len(densities)), "three densities or more, none (0) among them")
	}
	if err := errs.OrNil(); err != nil {
		return &PartError{"filter", 0, err}
	}
	var levels []float64
	var largest float64
	for i, r := range in.Filters {
		stops := photometry.DensityStops(r.Density)
		p := MeterPoint{Part: "filter", Reading: i + 1, FilterStops: ptr(stops), Level: r.Level}
		p.compare(math.Exp2(mean - stops))
		largest = math.Max(largest, math.Abs(*p.DeviationStops))
		levels = append(levels, r.Level)
		m.Points = append(m.Points, p)
	}
	// Filters tell a bent meter from distances counted from another place.
	if l := m.Ladder; l != nil && photometry.Stops(slices.Max(levels), slices.Min(levels)) >= enoughOfLadder*photometry.Stops(*m.LinearityTo, *m.LinearityFrom) {
		m.Warnings = slices.DeleteFunc(m.Warnings, func(w Finding) bool { return w.Code == "offset_or_meter" })
	}
	m.linearity(largest, levels, 1)
	m.warn("filter_density")
	return nil
}

// linearity notes a deviation; where both ladders are read, the larger counts.
func (m *meterCheck) linearity(largest float64, levels []float64, params int) {
	if m.LinearityStops != nil && *m.LinearityStops >= largest {
		return
	}
	low, high := slices.Min(levels), slices.Max(levels)
	atMost := func(p float64) float64 { return m.largestOf(levels, params, p) }
	m.LinearityStops = ptr(largest)
	m.LinearityNoiseStops = ptr(atMost(0.5))
	m.LinearityFrom, m.LinearityTo = ptr(low), ptr(high)
	m.Causes = slices.DeleteFunc(m.Causes, func(c Finding) bool { return c.Code == "linear" || c.Code == "not_linear" })
	if stops := photometry.Stops(high, low); largest > atMost(0.975) {
		m.cause("not_linear", "range", stops, "largest", largest)
	} else {
		m.cause("linear", "range", stops, "largest", largest)
	}
}

// largestOf returns the deviation in stops that the largest of the readings'
// own scatter stays below with probability p. That of independent normals with
// deviations s is below x with probability Π(2Φ(x/s) − 1). A fit of params
// parameters takes up its share of the scatter.
func (m *meterCheck) largestOf(levels []float64, params int, p float64) float64 {
	n := float64(len(levels))
	taken := math.Sqrt((n - float64(params)) / n)
	spreads := make([]float64, len(levels))
	for i, level := range levels {
		spreads[i] = m.readingSpread(level) / math.Ln2 * taken
	}
	below := func(x float64) float64 {
		product := 1.0
		for _, s := range spreads {
			product *= 2*distuv.UnitNormal.CDF(x/s) - 1
		}
		return product
	}
	_, hi := bisect(0, 10*slices.Max(spreads), func(x float64) bool { return below(x) < p })
	return hi
}

// bisect halves the interval from lo to hi until its ends are next to each other;
// low says whether a place belongs to the lower part.
func bisect(lo, hi float64, low func(float64) bool) (float64, float64) {
	for range 60 {
		if mid := (lo + hi) / 2; low(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo, hi
}
