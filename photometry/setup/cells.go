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

// UnmarshalCSV reads a cell.
func (k *Kelvins) UnmarshalCSV(text string) error {
	v, err := strconv.ParseFloat(text, 64)
	light := colorimetry.CCT{Kelvin: v}
	if err != nil {
		light, err = colorimetry.ParseCCT(text)
	}
	if err != nil || light.Duv != 0 || light.Check() != nil {
		return &table.Error{Found: text, Expected: "a color temperature from 1,000 K to 25,000 K"}
	}
	*k = Kelvins(light.Kelvin)
	return nil
}

// MarshalCSV writes the cell back.
func (k Kelvins) MarshalCSV() (string, error) { return shortest(float64(k)), nil }

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

// MarshalCSV writes the cell back.
func (k GelKind) MarshalCSV() (string, error) { return string(k), nil }

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

// MarshalCSV writes the cell back.
func (p Points) MarshalCSV() (string, error) {
	if p == 0 {
		return "", nil
	}
	return colorimetry.CC(p).String(), nil
}

// Lux is an illuminance; a cell may have a unit of its own, 116 fc.
type Lux float64

// UnmarshalCSV reads a cell.
func (l *Lux) UnmarshalCSV(text string) error {
	lux, err := illuminance(text, photometry.LX)
	*l = Lux(lux)
	return err
}

// MarshalCSV writes the cell back.
func (l Lux) MarshalCSV() (string, error) { return strconv.FormatFloat(float64(l), 'g', -1, 64), nil }

// Footcandles is an illuminance in a column of footcandles; a cell may have a
// unit of its own, 1250 lx.
type Footcandles float64

// UnmarshalCSV reads a cell.
func (f *Footcandles) UnmarshalCSV(text string) error {
	lux, err := illuminance(text, photometry.FC)
	*f = Footcandles(photometry.Footcandles(lux))
	return err
}

// MarshalCSV writes the cell back.
func (f Footcandles) MarshalCSV() (string, error) {
	return strconv.FormatFloat(float64(f), 'g', -1, 64), nil
}

// illuminance reads a level in lux from a cell whose bare numbers are in unit.
func illuminance(text string, unit photometry.Unit) (float64, error) {
	level, _, err := photometry.Meter{Unit: unit}.ParseLevel(text)
	if err != nil || level.Quantity != photometry.Illuminance || level.Value < 0 {
		return 0, &table.Error{Found: text, Expected: "an illuminance such as 1250 lx or 116 fc"}
	}
	return level.Value, nil
}

// shortest writes a number that is absent at 0.
func shortest(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}
