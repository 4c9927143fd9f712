package report

import (
	"fmt"

	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// exposure is what the camera is set to, from what each survey's notes say and,
// where they do not, from the set-up.
func (r *Report) exposure(set *setup.Settings) {
	e := &Exposure{ISO: set.ISO, ShutterS: set.ShutterS, LossStops: set.NDStops, From: []string{}, Areas: []Area{}}
	if set.FilterFactor > 1 {
		e.LossStops += photometry.FilterFactorStops(set.FilterFactor)
	}
	if set.SetStop > 0 {
		e.SetFNumber = &set.SetStop
	}
	if r.Ratios != nil {
		areas, from := r.Ratios.exposures()
		e.Areas = append(e.Areas, areas...)
		if from != "" && from != told(e.ISO, e.ShutterS) {
			if m := r.Ratios.Result.Marks[0].Exposure; e.ISO == 0 && m != nil && m.ISO != nil {
				e.ISO = *m.ISO
				if m.ShutterS != nil {
					e.ShutterS = *m.ShutterS
				}
			}
			e.From = append(e.From, from+" for the marks, by "+r.Ratios.File)
		}
	}
	for i := range r.Surfaces {
		s := &r.Surfaces[i]
		of := s.Result.Exposure
		if of == nil || of.FNumber == nil {
			continue
		}
		flash := s.Result.Survey.Quantity == photometry.LuminousExposure
		own := s.Result.Survey.Settings.ISO > 0 || !flash && s.Result.Survey.Settings.ShutterS > 0
		switch {
		case e.ISO == 0:
			e.ISO, e.ShutterS = of.ISO, of.ShutterS
			e.From = append(e.From, told(of.ISO, of.ShutterS)+" from the notes of "+s.Files[0])
		case own && (of.ISO != e.ISO || !flash && of.ShutterS != e.ShutterS):
			e.From = append(e.From, fmt.Sprintf("%s for %s, by its own notes", told(of.ISO, of.ShutterS), s.Title))
		}
		mean := s.decisive().Mean
		area := Area{Name: s.Title, Level: mean, Unit: s.Result.Unit, Constant: of.Constant, quantity: s.Result.Survey.Quantity, unitFor: s.Result.Survey.UnitFor}
		if s.Result.Area != nil {
			area.Name += ", in shot"
		}
		area.FNumber = *of.FNumber * photometry.Factor(-e.LossStops/2)
		if e.SetFNumber != nil {
			over := 2 * photometry.Stops(area.FNumber, *e.SetFNumber) // a level goes with the square
			area.OverStops = &over
		}
		e.Areas = append(e.Areas, area)
	}
	if set.ISO > 0 {
		e.From = append([]string{told(set.ISO, set.ShutterS) + " from " + r.Setup.File}, e.From...)
	}
	if e.ISO > 0 {
		r.Exposure = e
	}
}

// told is a camera's setting in words.
func told(iso, shutterS float64) string {
	text := fmt.Sprintf("ISO %.0f", iso)
	if shutterS > 0 {
		text += ", " + photometry.FormatShutter(shutterS)
	}
	return text
}
