package plan

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// sameLevel is how far two statements of a lamp's level may be apart.
const sameLevel = 0.02

// lamp gives a fixture its own light: its shape at an intensity of 1 cd on the
// axis, scaled to the level of the row.
func (b *builder) lamp(i int) {
	l, f := &b.rows[i], &b.Fixtures[i]
	one, ok := b.unitLight(i)
	if !ok {
		return
	}
	// Each statement of the level as a factor on the light of 1 cd.
	type statement struct {
		column string
		factor float64
		words  string
	}
	var said []statement
	if l.Flux.Set {
		said = append(said, statement{"flux", l.Flux.At / one.flux(), fmt.Sprintf("the flux, %s lm", photometry.FormatFigure(l.Flux.At))})
	}
	if l.Intensity.Set {
		said = append(said, statement{"intensity", l.Intensity.At / axial(one, f.pose), fmt.Sprintf("the intensity, %s cd", photometry.FormatFigure(l.Intensity.At))})
	}
	lux, at, column, ok := b.rated(i)
	if !ok {
		return
	}
	if lux > 0 {
		e := one.full(r3.Add(f.At, r3.Scale(at, f.pose.front)), r3.Scale(-1, f.pose.front))
		if !(e > 0) {
			b.fail(i, column, "a level that a lamp of this kind can have on its axis")
			return
		}
		said = append(said, statement{column, lux / e, fmt.Sprintf("E, %s lx at %s m", photometry.FormatFigure(lux), photometry.FormatFigure(at))})
	}
	k := 1.0
	switch {
	case len(said) > 0:
		k = said[0].factor
	case l.Kind == setup.File:
	default:
		b.fail(i, "flux", "a level: flux (lm), intensity (cd), or E (lx) at (m)")
		return
	}
	for _, s := range said[min(1, len(said)):] {
		if math.Abs(s.factor/k-1) > sameLevel {
			b.fail(i, s.column, fmt.Sprintf("one level, or levels that agree: this one is %s times %s", photometry.FormatFigure(s.factor/k), said[0].words))
			return
		}
	}
	full := one.scaled(k)
	f.FluxLM, f.IntensityCD = full.flux(), axial(full, f.pose)
	f.source = full.scaled(f.Output)
}

// axial is the intensity on the axis, from so far away that a face is a point.
func axial(l light, p pose) float64 {
	switch l := l.(type) {
	case spot:
		return l.PeakIntensity
	case bulb:
		if l.shape != nil {
			return l.intensity * l.shape.Intensity(r3.Vec{Z: 1})
		}
		return l.intensity
	case round:
		return l.peak
	case *sheet:
		return falloff.PeakIntensity(l.flux(), l.m)
	}
	panic("plan: a light without an axis")
}

// unitLight is the shape of a lamp's light.
func (b *builder) unitLight(i int) (light, bool) {
	l, f := &b.rows[i], &b.Fixtures[i]
	m := 1.0
	if l.Lobe.Set {
		m = l.Lobe.At
	}
	if l.Beam.Set {
		fromBeam, err := falloff.BeamExponent(l.Beam.At)
		if err != nil {
			b.fail(i, "beam", "more than 0 and less than 180 degrees")
			return nil, false
		}
		if l.Lobe.Set && math.Abs(falloff.BeamDeg(m)-l.Beam.At) > 1 {
			b.fail(i, "lobe m", fmt.Sprintf("%.3g, which the beam angle means; or one of the two left empty", fromBeam))
			return nil, false
		}
		m, f.BeamDeg = fromBeam, l.Beam.At
	}
	f.lobe = m
	switch l.Kind {
	case setup.Point:
		if !l.Beam.Set && !l.Lobe.Set {
			b.assume(fmt.Sprintf("“%s” has no beam and shines evenly in all directions, as a bare bulb does", l.Name))
			return bulb{pose: f.pose, intensity: 1, where: []r3.Vec{f.At}}, true
		}
		f.BeamDeg = falloff.BeamDeg(m)
		return newSpot(falloff.Beam{Place: f.At, Axis: f.pose.front, PeakIntensity: 1, Exponent: m}), true
	case setup.Disc:
		if !b.size(i) {
			return nil, false
		}
		f.BeamDeg = falloff.BeamDeg(m)
		return newRound(f.pose, f.w/2, m, 1), true
	case setup.Panel:
		if !b.size(i) {
			return nil, false
		}
		f.BeamDeg = falloff.BeamDeg(m)
		return newPanel(f.pose, f.w, f.h, m, 1), true
	}
	return b.fromFile(i)
}

// fromFile is the light of a file of intensities.
func (b *builder) fromFile(i int) (light, bool) {
	l, f := &b.rows[i], &b.Fixtures[i]
	switch {
	case l.File == "":
		b.fail(i, "file", "the name of a file of intensities (LM-63)")
		return nil, false
	case b.options.Distribution == nil:
		b.fail(i, "kind", "another kind: files of intensities cannot be read here")
		return nil, false
	}
	d, err := b.options.Distribution(l.File)
	if err != nil {
		b.fail(i, "file", "a file of intensities (LM-63) that can be read ("+err.Error()+")")
		return nil, false
	}
	f.BeamDeg = d.BeamDeg
	for _, note := range d.Notes {
		b.warn("file", "lamp", l.Name, "note", note)
	}
	return bulb{pose: f.pose, intensity: 1, shape: d.Intensity, lumens: d.FluxLM, where: []r3.Vec{f.At}}, true
}

// rated reads E at a distance, which may stand in two cells or in one; ok is
// false after an error.
func (b *builder) rated(i int) (lux, at float64, column string, ok bool) {
	l := &b.rows[i]
	switch {
	case l.E.Set && l.EFootcandles.Set:
		b.fail(i, "E (fc)", "E in lx or in fc, not both")
		return 0, 0, "", false
	case l.E.Set:
		lux, column = l.E.At, "E"
	case l.EFootcandles.Set:
		lux, column = photometry.Lux(l.EFootcandles.At), "E (fc)"
	}
	switch {
	case l.EAt != "" && column != "":
		b.fail(i, column, "E at a distance in one cell or in two, not in both")
		return 0, 0, "", false
	case l.EAt != "":
		lux, at, ok = parseRating(l.EAt)
		if !ok {
			b.fail(i, "E at", "an illuminance and its distance, such as 1200 at 3 (lx and m)")
		}
		return lux, at, "E at", ok
	case column == "" && l.At.Set && !l.Flux.Set && !l.Intensity.Set:
		b.fail(i, "E", "the illuminance at that distance")
		return 0, 0, "", false
	case column == "":
		return 0, 0, "", true
	case !l.At.Set:
		b.fail(i, "at", "the distance in meters at which the lamp gives E")
		return 0, 0, "", false
	}
	return lux, l.At.At, column, true
}
