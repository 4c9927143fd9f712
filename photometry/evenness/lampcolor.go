package evenness

import (
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// lampsBehindColor finds, for mired and for Duv each, the one lamp whose share
// of the light explains how color runs over the surface: its color stands
// farthest from the middle one of the lamps, and the shifts follow its share by
// a straight line that explains most of them and has the right sign. It needs
// every lamp's level and color at four places at least. half is the size of run
// in mired and in Duv that is worth telling.
func lampsBehindColor(s *survey.Survey, c *ColorResult, halfMired, halfDuv float64) []Cause {
	if len(s.Lamps) < 2 {
		return nil
	}
	colors := make([]colorimetry.CCT, len(s.Lamps))
	for k, l := range s.Lamps {
		t, ok := l.Color()
		if !ok {
			return nil
		}
		colors[k] = t
	}
	// Places where all lamps were read, and their sum.
	sum, read := map[int32]float64{}, map[int32]int{}
	for _, l := range s.Lamps {
		for k, p := range l.Point {
			sum[p] += l.Level[k]
			read[p]++
		}
	}
	var out []Cause
	for _, part := range []struct {
		of     func(colorimetry.CCT) float64
		shifts []float64
		half   float64
		unit   func(float64) any
	}{
		{colorimetry.CCT.Mired, c.Shifts.Mired, halfMired, func(v float64) any { return photometry.Mired(v) }},
		{func(t colorimetry.CCT) float64 { return t.Duv }, c.Shifts.Duv, halfDuv, func(v float64) any { return photometry.Duv(v) }},
	} {
		values := make([]float64, len(colors))
		for k, t := range colors {
			values[k] = part.of(t)
		}
		sorted := slices.Clone(values)
		middle := spatial.MedianInPlace(sorted)
		odd := 0
		for k, v := range values {
			if math.Abs(v-middle) > math.Abs(values[odd]-middle)*(1+1e-9) {
				odd = k
			}
		}
		lamp, offset := s.Lamps[odd], values[odd]-middle
		var share, shift []float64
		for k, p := range lamp.Point {
			if read[p] == len(s.Lamps) && sum[p] > 0 && !math.IsNaN(part.shifts[p]) {
				share, shift = append(share, lamp.Level[k]/sum[p]), append(shift, part.shifts[p])
			}
		}
		if len(share) < 4 {
			continue
		}
		slope, explained := line(share, shift)
		low, high := slices.Min(share), slices.Max(share)
		if explained < 0.5 || slope*offset <= 0 || math.Abs(slope*(high-low)) < part.half {
			continue
		}
		out = append(out, Cause{photometry.Found(CauseLampColor, "lamp", lamp.Name, "offset", part.unit(offset)),
			photometry.Remarked("evidence_share", "low", photometry.Percentage(100*low), "high", photometry.Percentage(100*high),
				"explained", photometry.Percentage(100*explained), "places", len(share))})
	}
	return out
}

// line fits y on x and returns the slope and the share of variance explained.
func line(x, y []float64) (slope, explained float64) {
	mx, my := mean(x, nil), mean(y, nil)
	var sxx, sxy, syy float64
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
		syy += (y[i] - my) * (y[i] - my)
	}
	if sxx == 0 || syy == 0 {
		return 0, 0
	}
	return sxy / sxx, sxy * sxy / (sxx * syy)
}
