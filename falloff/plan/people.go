package plan

import (
	"fmt"

	"evenfall/photometry"
)

const (
	metersPerFoot = 0.3048
	metersPerInch = 0.0254
)

// levelText writes a level for a sentence.
func (s *Scene) levelText(v float64) string {
	return photometry.FormatLevel(photometry.Level{Value: v, Quantity: s.Quantity}, s.options.Unit)
}

// lengthText writes a length in meters for a sentence.
func (s *Scene) lengthText(m float64) string {
	if s.options.Feet {
		return photometry.FormatFigure(m/metersPerFoot) + " ft"
	}
	return photometry.FormatFigure(m) + " m"
}

// shortText writes a short length in meters for a sentence, with the digits of a
// tape measure.
func (s *Scene) shortText(m float64) string {
	if s.options.Feet {
		return fmt.Sprintf("%.0f in", m/metersPerInch)
	}
	return fmt.Sprintf("%.0f cm", 100*m)
}

// penumbraText writes the width of a penumbra as it was asked for.
func (s *Scene) penumbraText(m float64) string {
	if s.options.Feet {
		return photometry.FormatFigure(m/metersPerInch) + " in"
	}
	return photometry.FormatFigure(100*m) + " cm"
}
