package setup

import (
	"strconv"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/table"
)

// Kelvins is a color temperature, 1,000 K to 25,000 K; 0 is an empty cell. It is
// written as 5600, 5600 K or 179 mired.
type Kelvins float64

// What a color should have been that no light has.
const (
	kelvinExpected = "a color temperature from 1,000 K to 25,000 K"
	duvExpected    = "a Duv that light of this color temperature can have, at most 0.05 either way"
)

// UnmarshalCSV reads a cell.
func (k *Kelvins) UnmarshalCSV(text string) error {
	v, err := strconv.ParseFloat(text, 64)
	light := colorimetry.CCT{Kelvin: v}
	if err != nil {
		light, err = colorimetry.ParseCCT(text)
	}
	if err != nil || light.Duv != 0 || light.Check() != nil {
		return &table.Error{Found: text, Expected: kelvinExpected}
	}
	*k = Kelvins(light.Kelvin)
	return nil
}

// GelKind is the kind of a gel as people write it.
type GelKind colorimetry.Kind

// UnmarshalCSV reads a cell.
func (k *GelKind) UnmarshalCSV(text string) error {
	kind, err := colorimetry.ParseKind(text)
	if err != nil {
		return &table.Error{Found: text, Expected: "a kind of gel: CTO, CTB, conversion, plus green, minus green, CC, ND or other"}
	}
	*k = GelKind(kind)
	return nil
}

// Points is the strength of a filter in CC points with its color spelled, 30G or
// 15M; positive is green, 0 an empty cell.
type Points colorimetry.CC

// UnmarshalCSV reads a cell.
func (p *Points) UnmarshalCSV(text string) error {
	cc, err := colorimetry.ParseFilter(text)
	if err != nil {
		return &table.Error{Found: text, Expected: "CC points of the gel with their color, such as 30G for green or 15M for magenta"}
	}
	*p = Points(cc)
	return nil
}

// Lux is an illuminance; a cell may have a unit of its own, 116 fc.
type Lux float64

// UnmarshalCSV reads a cell.
func (l *Lux) UnmarshalCSV(text string) error {
	lux, err := illuminance(text, photometry.LX)
	*l = Lux(lux)
	return err
}

// Footcandles is an illuminance in a column of footcandles; a cell may have a
// unit of its own, 1250 lx.
type Footcandles float64

// UnmarshalCSV reads a cell.
func (f *Footcandles) UnmarshalCSV(text string) error {
	lux, err := illuminance(text, photometry.FC)
	*f = Footcandles(photometry.Footcandles(lux))
	return err
}

// illuminance reads a level in lux from a cell whose bare numbers are in unit.
func illuminance(text string, unit photometry.Unit) (float64, error) {
	level, _, err := photometry.Meter{Unit: unit}.ParseLevel(text)
	if err != nil || level.Quantity != photometry.Illuminance || level.Value < 0 {
		return 0, &table.Error{Found: text, Expected: "an illuminance such as 1250 lx or 116 fc"}
	}
	return level.Value, nil
}
