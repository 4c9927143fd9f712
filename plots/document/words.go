package document

import (
	"math"
	"strconv"

	"evenfall/photometry"
)

// Words are the units in which a reader wants figures.
type Words struct {
	Unit photometry.Unit // LX or FC, for illuminance; NoUnit is as Read says
	Feet bool            // lengths in feet
	// AsTyped has lengths in feet also where the file that they are from has them so.
	AsTyped bool

	// Read writes levels as they were read, such as f-numbers; nil takes Unit.
	Read func(photometry.Level) string
}

// Level is a level with its unit.
func (w Words) Level(l photometry.Level) string {
	if w.Read != nil {
		return w.Read(l)
	}
	return photometry.FormatLevel(l, w.Unit)
}

// Figure is a length in meters as it was written, with its unit.
func (w Words) Figure(meters float64) string {
	return photometry.FormatFigure(w.InUnit(meters)) + " " + w.LengthUnit()
}

// InUnit is a length in meters in the reader's unit.
func (w Words) InUnit(meters float64) float64 {
	if w.Feet {
		return meters / foot
	}
	return meters
}

// foot is a foot in meters.
const foot = 0.3048

// Length is a length in meters as a tape gives it, to the centimeter (or hundredth
// of a foot) at best, with its unit.
func (w Words) Length(meters float64) string { return w.Bare(meters) + " " + w.LengthUnit() }

// LengthUnit is the unit of lengths.
func (w Words) LengthUnit() string {
	if w.Feet {
		return "ft"
	}
	return "m"
}

// Bare is Length without the unit.
func (w Words) Bare(meters float64) string {
	length := w.InUnit(meters)
	if length == 0 {
		return "0"
	}
	decimals := 2
	switch size := math.Abs(length); {
	case size >= 99.95:
		return photometry.FormatFigure(math.Round(length))
	case size >= 9.995:
		decimals = 1
	case size < 0.0995:
		decimals = 3
	}
	return strconv.FormatFloat(length, 'f', decimals, 64)
}

// Small is a length of centimeters, or inches.
func (w Words) Small(meters float64) string {
	if w.Feet {
		return strconv.FormatFloat(meters/foot*12, 'f', 1, 64) + " in"
	}
	return strconv.FormatFloat(100*meters, 'f', 1, 64) + " cm"
}

// Place is a pair of coordinates in meters.
func (w Words) Place(x, y float64) string { return w.BarePlace(x, y) + " " + w.LengthUnit() }

// BarePlace is Place without the unit.
func (w Words) BarePlace(x, y float64) string { return w.Coordinate(x) + ", " + w.Coordinate(y) }

// Coordinate is one coordinate of a place in meters, to the centimeter, without the
// unit.
func (w Words) Coordinate(x float64) string { return strconv.FormatFloat(w.InUnit(x), 'f', 2, 64) }

// PerLength is a figure per meter in the reader's unit of length, and that unit.
func (w Words) PerLength(perMeter float64) (float64, string) {
	if w.Feet {
		return perMeter * foot, "ft"
	}
	return perMeter, "m"
}
