package plan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
)

// sameLevel is how far two statements of a lamp's level may be apart.
const sameLevel = 0.02

// lamp gives a fixture its own light: its shape at an intensity of 1 cd on the
// axis, scaled to the level of the row.
func (b *builder) lamp(i int) {
	one, ok := b.unitLight(i)
	if !ok {
		return
	}
	said, ok := b.statedLevels(i, one)
	if !ok {
		return
	}
	full := one
	if len(said) > 0 {
		full = one.scaled(said[0].factor)
		for _, s := range said[1:] {
			if times := s.factor / said[0].factor; math.Abs(times-1) > sameLevel {
				b.fail(i, s.column, fmt.Sprintf("one level, or levels that agree: this one is %s times %s", photometry.FormatFigure(times), said[0].words))
				return
			}
		}
	}
	f := &b.Fixtures[i]
	f.FluxLM, f.IntensityCD = full.flux(), full.axial()
	f.source = full.scaled(f.Output)
}

// statedLevel is a level that a row states, as a factor on the light of 1 cd.
type statedLevel struct {
	column string
	factor float64
	words  string
}

// statedLevels are all that a row states, one as a rule: a file of intensities needs
// none. It is false after an error.
func (b *builder) statedLevels(i int, one light) (said []statedLevel, ok bool) {
	l, p := &b.rows[i], b.Fixtures[i].pose
	if l.Flux.Set {
		said = append(said, statedLevel{"flux", l.Flux.At / one.flux(), fmt.Sprintf("the flux, %s lm", photometry.FormatFigure(l.Flux.At))})
	}
	if l.Intensity.Set {
		said = append(said, statedLevel{"intensity", l.Intensity.At / one.axial(), fmt.Sprintf("the intensity, %s cd", photometry.FormatFigure(l.Intensity.At))})
	}
	lux, at, column, ok := b.rated(i)
	if !ok {
		return nil, false
	}
	if lux > 0 {
		e := one.illuminance(r3.Add(p.at, r3.Scale(at, p.front)), r3.Scale(-1, p.front), sight{})
		if !(e > 0) {
			b.fail(i, column, "a level that a lamp of this kind can have on its axis")
			return nil, false
		}
		said = append(said, statedLevel{column, lux / e, fmt.Sprintf("E, %s lx at %s m", photometry.FormatFigure(lux), photometry.FormatFigure(at))})
	}
	if len(said) == 0 && l.Kind != setup.File {
		b.fail(i, "flux", "the level of "+strconv.Quote(l.Name)+": flux (lm), intensity (cd), or a column “E at” with what it was metered at: 950 lx at 2 m")
		return nil, false
	}
	return said, true
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
			b.assume("bare_bulb", "lamp", l.Name)
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
	out := bulb{pose: f.pose, intensity: 1, shape: d.Intensity, lumens: d.FluxLM, where: []r3.Vec{f.At}, limit: enough(1)}
	w, h := d.OpeningM[0], d.OpeningM[1]
	if out.area = w * h; out.area == 0 { // a point or a line
		return out, true
	}
	if m, err := falloff.BeamExponent(d.BeamDeg); err == nil {
		out.limit = enough(m)
	}
	out.size, f.opening, out.where = math.Max(w, h), math.Max(w, h), f.pose.corners(w, h)
	if d.Round {
		out.area, out.where = out.area*math.Pi/4, f.pose.rim(w, h)
	}
	return out, true
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

// parseRating reads 1200 at 3, 1200 lx at 3 m, 110 fc @ 10 ft.
func parseRating(text string) (lux, meters float64, ok bool) {
	level, distance, found := strings.Cut(strings.ToLower(text), " at ")
	if !found {
		if level, distance, found = strings.Cut(text, "@"); !found {
			return 0, 0, false
		}
	}
	l, _, err := photometry.Meter{Unit: photometry.LX, Number: table.ParseNumber}.ParseLevel(strings.TrimSpace(level))
	if err != nil || l.Quantity != photometry.Illuminance || !(l.Value > 0) {
		return 0, 0, false
	}
	meters, err = table.ParseLength(strings.TrimSpace(distance), "m")
	return l.Value, meters, err == nil && meters > 0
}
