package report

import (
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
	"evenfall/plots/answers"
	"evenfall/plots/document"
	"evenfall/plots/steps"
)

// exposure is what the camera is set to: as the set-up says, else as the marks' table
// does, else as the first survey's notes do.
func (r *Report) exposure(set *setup.Settings) {
	e := &Exposure{ISO: set.ISO, ShutterS: set.ShutterS, LossStops: set.NDStops, From: []string{}, Areas: []Area{}}
	if set.FilterFactor > 1 {
		e.LossStops += photometry.FilterFactorStops(set.FilterFactor)
	}
	if set.SetStop > 0 {
		e.SetFNumber = &set.SetStop
	}
	if set.ISO > 0 {
		e.From = append(e.From, told(set.ISO, set.ShutterS)+" from "+r.Setup.File)
	}
	if r.Ratios != nil {
		r.Ratios.exposures(e)
	}
	for i := range r.Surfaces {
		s := &r.Surfaces[i]
		var after *steps.Prediction
		if s == r.subject() {
			after = r.afterList()
		}
		s.exposures(e, after)
	}
	if e.ISO > 0 {
		e.compareAreas()
		r.Exposure = e
	}
}

// compareAreas takes areas of one quantity as levels of light: what each receptor's
// constant would set says nothing of the light. Others compare by their f-numbers.
func (e *Exposure) compareAreas() {
	for i := range e.Areas {
		a, first := &e.Areas[i], e.Areas[0]
		a.fromFirst = 2 * photometry.Stops(a.FNumber, first.FNumber) // a level goes with the square
		if a.quantity == first.quantity {
			a.fromFirst = photometry.Stops(a.Level, first.Level)
		}
		if first.OverStops != nil {
			over := *first.OverStops + a.fromFirst
			a.OverStops = &over
		}
	}
}

// exposures adds what each mark is exposed for.
func (r *Ratios) exposures(e *Exposure) {
	iso, shutter := 0.0, 0.0
	for i, m := range r.Result.Marks {
		x := m.Exposure
		if x == nil || x.FNumber == nil {
			continue
		}
		iso, shutter = orNone(x.ISO), orNone(x.ShutterS)
		quantity, _ := photometry.QuantityOf(m.Unit)
		e.Areas = append(e.Areas, Area{mark: &r.Result.Marks[i].Label, Name: joined(m.Label, strings.ReplaceAll(string(x.Of), "+", " plus ")), Level: x.Level, Unit: m.Unit, FNumber: *x.FNumber, Constant: x.Constant,
			OverStops: x.OverStops, quantity: quantity, unitFor: r.unitFor})
	}
	if len(e.Areas) == 0 || told(iso, shutter) == told(e.ISO, e.ShutterS) {
		return
	}
	if e.ISO == 0 {
		e.ISO, e.ShutterS = iso, shutter
	}
	e.From = append(e.From, told(iso, shutter)+" for the marks, by "+r.File)
}

// exposures adds what the surface is exposed for, with what filters take counted, now
// and as the list of what to do leaves it.
func (s *Surface) exposures(e *Exposure, after *steps.Prediction) {
	of, read := s.Result.Exposure, s.Result.Survey
	if of == nil || of.FNumber == nil {
		return
	}
	flash := read.Quantity == photometry.LuminousExposure
	own := read.Settings.ISO > 0 || !flash && read.Settings.ShutterS > 0
	switch {
	case e.ISO == 0:
		e.ISO, e.ShutterS = of.ISO, of.ShutterS
		e.From = append(e.From, told(of.ISO, of.ShutterS)+" from the notes of "+s.Files[0])
	case own && (of.ISO != e.ISO || !flash && of.ShutterS != e.ShutterS):
		e.From = append(e.From, fmt.Sprintf("%s for %s, by its own notes", told(of.ISO, of.ShutterS), s.Title))
	}
	area := Area{Name: s.Title, Level: s.Result.Decisive().Mean, Unit: s.Result.Unit, Constant: of.Constant, quantity: read.Quantity, unitFor: read.UnitFor}
	if s.Result.Area != nil {
		area.Name += ", in shot"
	}
	area.FNumber = *of.FNumber * photometry.Factor(-e.LossStops/2)
	if e.SetFNumber != nil {
		over := 2 * photometry.Stops(area.FNumber, *e.SetFNumber) // a level goes with the square
		area.OverStops = &over
	}
	e.Areas = append(e.Areas, area)
	if after != nil && after.MeanChangeStops != nil {
		area.Name, area.Computed = area.Name+", "+afterListed, true
		area.Level *= photometry.Factor(*after.MeanChangeStops)
		area.FNumber *= photometry.Factor(*after.MeanChangeStops / 2)
		e.Areas = append(e.Areas, area)
	}
}

// areasOf are the areas of some marks and of all surfaces. The first, by which the others
// are compared, is always among them.
func (e *Exposure) areasOf(marks []ratio.Mark) []Area {
	listed := map[string]bool{}
	for _, m := range marks {
		listed[m.Label] = true
	}
	var out []Area
	for i, a := range e.Areas {
		if i == 0 || a.mark == nil || listed[*a.mark] {
			out = append(out, a)
		}
	}
	return out
}

const afterListed = "after the list"

// level is the level of an area, with ≈ where it is computed.
func (a Area) level(w document.Words) string {
	return map[bool]string{true: "≈"}[a.Computed] + photometry.FormatLevel(photometry.Level{Value: a.Level, Quantity: a.quantity}, a.unitFor(w.Unit))
}

// stop is what exposes an area.
func (a Area) stop() string {
	return answers.LensStop(a.FNumber, a.quantity != photometry.LuminousExposure)
}

func orNone(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

// told is a camera's setting in words.
func told(iso, shutterS float64) string {
	if shutterS > 0 {
		return fmt.Sprintf("ISO %.0f, %s", iso, photometry.FormatShutter(shutterS))
	}
	return fmt.Sprintf("ISO %.0f", iso)
}
