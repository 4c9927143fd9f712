package falloff

import (
	"encoding/json"
	"math"
)

// What tests ask besides what the program does.

// UnmarshalJSON reads what MarshalJSON writes.
func (i *Interval) UnmarshalJSON(b []byte) error {
	var ends [2]*float64
	if err := json.Unmarshal(b, &ends); err != nil {
		return err
	}
	i.Lo, i.Hi = math.Inf(-1), math.Inf(1)
	if ends[0] != nil {
		i.Lo = *ends[0]
	}
	if ends[1] != nil {
		i.Hi = *ends[1]
	}
	return nil
}

// Intensity returns the intensity π·R²·L in cd that the disc shows along its
// axis from far away.
func (s Disc) Intensity() float64 { return math.Pi * s.RadiusM * s.RadiusM * s.Luminance }

// Intensity returns the intensity L·A in cd that the polygon shows along its
// normal from far away.
func (s Polygon) Intensity() float64 { return s.luminance * s.area }
