package evenness

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// lampsBehindColor finds, for mired and for Duv each, the one lamp whose share
// of the light explains how color runs over the surface: its color is farthest
// from the middle one of the lamps, and the shifts follow its share by a straight
// line that explains most of them and has the right sign. It needs every lamp's
// level and color at four places at least.
func (r *Result) lampsBehindColor() []Cause {
	lamps := r.Survey.Lamps
	if len(lamps) < 2 {
		return nil
	}
	mired, duv := make([]float64, len(lamps)), make([]float64, len(lamps))
	for k, l := range lamps {
		t, ok := l.Color()
		if !ok {
			return nil
		}
		mired[k], duv[k] = t.Mired(), t.Duv
	}
	var out []Cause
	if c, ok := lampBehind(lamps, mired, r.Color.Shifts.Mired, r.Limits.Mired/2, func(v float64) any { return photometry.Mired(v) }); ok {
		out = append(out, c)
	}
	if c, ok := lampBehind(lamps, duv, r.Color.Shifts.Duv, r.Limits.Duv/2, func(v float64) any { return photometry.Duv(v) }); ok {
		out = append(out, c)
	}
	return out
}

// lampBehind is the lamp behind the shifts of one coordinate of color, from that
// coordinate of each lamp; least is the size of run that is worth telling.
func lampBehind(lamps []survey.Lamp, colors, shifts []float64, least float64, unit func(float64) any) (cause Cause, ok bool) {
	middle := spatial.MedianInPlace(slices.Clone(colors))
	odd := 0
	for k, v := range colors {
		if math.Abs(v-middle) > math.Abs(colors[odd]-middle)*(1+1e-9) {
			odd = k
		}
	}
	// Places where all lamps were read, and their sum.
	sum, read := map[int32]float64{}, map[int32]int{}
	for _, l := range lamps {
		for k, p := range l.Point {
			sum[p] += l.Level[k]
			read[p]++
		}
	}
	var share, shift []float64
	for k, p := range lamps[odd].Point {
		if read[p] == len(lamps) && sum[p] > 0 && !math.IsNaN(shifts[p]) {
			share, shift = append(share, lamps[odd].Level[k]/sum[p]), append(shift, shifts[p])
		}
	}
	if len(share) < 4 {
		return Cause{}, false
	}
	_, slope := stat.LinearRegression(share, shift, nil, false)
	rho := stat.Correlation(share, shift, nil)
	low, high, offset := slices.Min(share), slices.Max(share), colors[odd]-middle
	if !(rho*rho >= 0.5) || slope*offset <= 0 || math.Abs(slope*(high-low)) < least {
		return Cause{}, false
	}
	return Cause{Finding: photometry.Found(CauseLampColor, "lamp", lamps[odd].Name, "offset", unit(offset)),
		Evidence: photometry.Remarked("evidence_share", "low", photometry.Percentage(100*low), "high", photometry.Percentage(100*high),
			"explained", photometry.Percentage(100*rho*rho), "places", len(share))}, true
}
