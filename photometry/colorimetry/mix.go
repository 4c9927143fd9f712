package colorimetry

import (
	"fmt"

	"evenfall/photometry"
)

// Light is a light at one place: its photometric level, in any one unit, and its
// chromaticity.
type Light struct {
	Level float64 `json:"level"`
	XY    XY      `json:"xy"`
}

// XYZ returns the tristimulus values of the light.
func (l Light) XYZ() XYZ { return l.XY.XYZ(l.Level) }

// Mix returns the light that several lights make together: the sum of their
// tristimulus values (Grassmann's law). Color temperatures are never averaged.
// The order does not matter, nor does the unit of level, as long as it is the
// same for all.
//
// It is an error if there is no light, if a level is negative or not finite, if
// all are zero, or if a chromaticity is one that no light has.
func Mix(lights ...Light) (Light, error) {
	var sum XYZ
	for i, l := range lights {
		if !photometry.Finite(l.Level) || l.Level < 0 {
			return Light{}, fmt.Errorf("light %d of the mixture: level %v is not a number from 0 up", i+1, l.Level)
		}
		if err := l.XY.Check(); err != nil {
			return Light{}, fmt.Errorf("light %d of the mixture: %w", i+1, err)
		}
		if l.Level > 0 {
			sum = sum.Add(l.XYZ())
		}
	}
	if !(sum.Y > 0) {
		return Light{}, fmt.Errorf("a mixture of %d lights with no level between them has no color", len(lights))
	}
	return Light{sum.Y, sum.XY()}, nil
}
