package lm63

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// seamShare is the largest difference, as a share of the peak, between two values
// that the file gives for one direction.
const seamShare = 0.02

// checkSeam warns where the planes at 0 and 360 differ.
func (d *Distribution) checkSeam(r *report, line int) {
	cd, nv := d.grid.cd, d.grid.rows
	apart := floats.Distance(cd[:nv], cd[len(cd)-nv:], math.Inf(1))
	if peak := slices.Max(cd); apart > seamShare*peak {
		r.warn(line, "seam", "the first and the last horizontal angle are the same plane, yet differ by %.0f %% of the peak", 100*apart/peak)
	}
}

// checkPoles warns where planes of type C differ along the aim or straight back.
func (d *Distribution) checkPoles(r *report, line int) {
	if d.Type != TypeC {
		return
	}
	for _, pole := range []struct {
		name string
		at   int
		deg  float64
	}{{"along the aim", 0, 0}, {"straight back", d.grid.rows - 1, 180}} {
		if !sameAngle(d.VerticalDeg[pole.at], pole.deg) {
			continue
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for k := pole.at; k < len(d.grid.cd); k += d.grid.rows {
			lo, hi = min(lo, d.grid.cd[k]), max(hi, d.grid.cd[k])
		}
		if hi-lo > seamShare*d.peak {
			r.warn(line, "pole", "the planes differ %s by %.0f %% of the peak, though it is one direction", pole.name, 100*(hi-lo)/d.peak)
		}
	}
}

// checkEdges warns where the intensity is not yet small at the last angle.
func (d *Distribution) checkEdges(r *report, vEnds, hEnds [2]token) {
	const share = 0.05
	lastV, lastH := len(d.VerticalDeg)-1, len(d.HorizontalDeg)-1
	var top [4]float64 // along the first and last vertical, first and last horizontal angle
	for k, cd := range d.grid.cd {
		i, j := k%(lastV+1), k/(lastV+1)
		for e, on := range [4]bool{i == 0, i == lastV, j == 0, j == lastH} {
			if on {
				top[e] = max(top[e], cd)
			}
		}
	}
	edges := []struct {
		what string
		at   token
		deg  float64
	}{
		{"vertical", vEnds[0], d.VerticalDeg[0]}, {"vertical", vEnds[1], d.VerticalDeg[lastV]},
		{"horizontal", hEnds[0], d.HorizontalDeg[0]}, {"horizontal", hEnds[1], d.HorizontalDeg[lastH]},
	}
	if d.Type == TypeC {
		edges = edges[:2] // its planes cover a full turn
	}
	for e, edge := range edges {
		if off := math.Mod(math.Abs(edge.deg), 90); sameAngle(off, 0) || sameAngle(off, 90) {
			continue
		}
		if peak := d.peak; top[e] > share*peak {
			r.warn(edge.at.line, "cut_off", "%s angles end at %s° with %.0f %% of the peak; nothing is known beyond, taken as dark", edge.what, formatNumber(edge.deg), 100*top[e]/peak)
		}
	}
}
