package answers

import (
	"fmt"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/plots/document"
)

// Conversions is what convert found, for all faces.
type Conversions struct {
	Schema   string  `json:"schema"`
	ISO      float64 `json:"iso,omitempty"`
	ShutterS float64 `json:"shutter_s,omitempty"`
	// LossStops is what ND before the lens takes.
	LossStops float64     `json:"loss_stops,omitempty"`
	Inferred  []string    `json:"inferred"`
	Values    []Converted `json:"values"`
}

// Converted is one value in the units that apply.
type Converted struct {
	Input string `json:"input"`
	Level
	*Color
}

// Level and Color give the two kinds of conversion names of their own, so that
// a value can hold both.
type (
	Level = photometry.Conversion
	Color = colorimetry.Conversion
)

// Convert shows conversions, a line a value.
func Convert(c Conversions, w document.Words, full bool) *document.Document {
	p := newPage(w, full)
	var lines document.Lines
	for _, v := range c.Values {
		lines = append(lines, document.Line{Key: v.Input, Texts: []string{converted(v, c)}})
	}
	if len(c.Inferred) > 0 {
		lines = append(lines, document.Line{Key: "assumed", Texts: c.Inferred})
	}
	p.Add(lines)
	return p.Document
}

// converted is a value in all units that apply.
func converted(v Converted, c Conversions) string {
	unit := func(symbol string) func(float64) string {
		return func(x float64) string { return significant(x) + " " + symbol }
	}
	continuous := v.LXS == nil && c.ShutterS > 0
	parts := []string{known(v.LX, unit("lx")), known(v.FC, unit("fc")), known(v.LXS, unit("lx·s")), known(v.CDM2, unit("cd/m²")), Optional("EV %.2f at ISO 100", v.EV100),
		known(v.FNumber, func(x float64) string {
			exposure := LensStop(x, continuous)
			if continuous {
				exposure += fmt.Sprintf(" at ISO %s, %s", trimmed(c.ISO), photometry.FormatShutter(c.ShutterS))
			}
			if c.LossStops > 0 {
				exposure += " with " + photometry.FormatStops(c.LossStops) + " of ND"
			}
			return exposure
		})}
	if k := v.Color; k != nil {
		parts = append(parts, Optional("%.0f K", k.Kelvin), known(k.Duv, func(x float64) string { return "Duv " + signed(x, 4) }), Optional("%.1f mired", k.Mired),
			fmt.Sprintf("xy %.4f %.4f, u'v' %.4f %.4f", k.X, k.Y, k.UPrime, k.VPrime))
		if k.NoCCT != "" {
			parts = append(parts, "no color temperature: "+k.NoCCT)
		}
	}
	return FilledIn(", ", parts...)
}
