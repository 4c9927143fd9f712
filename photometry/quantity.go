package photometry

import "fmt"

// Quantity is what a level measures. Levels of two quantities cannot be
// compared, added or divided.
type Quantity uint8

// The quantities a handheld meter shows.
const (
	Illuminance      Quantity = iota // lx
	LuminousExposure                 // lx·s, flash
	Luminance                        // cd/m²
	Relative                         // any proportional figure, no unit
)

var quantities = [...]struct{ name, symbol, plain string }{
	Illuminance:      {"illuminance", "lx", "lx"},
	LuminousExposure: {"luminous exposure", "lx·s", "lx.s"},
	Luminance:        {"luminance", "cd/m²", "cd/m2"},
	Relative:         {"relative level", "relative", "relative"},
}

// String is the quantity's name, such as "illuminance".
func (q Quantity) String() string {
	if int(q) >= len(quantities) {
		return fmt.Sprintf("Quantity(%d)", uint8(q))
	}
	return quantities[q].name
}

// Symbol is the SI unit for people: lx, lx·s, cd/m², relative.
func (q Quantity) Symbol() string { return quantities[q].symbol }

// Unit is the SI unit in plain ASCII for JSON: lx, lx.s, cd/m2, relative.
func (q Quantity) Unit() string { return quantities[q].plain }

// Level is one reading in the SI unit of its quantity.
type Level struct {
	Value    float64
	Quantity Quantity
}

// QuantityOf is the quantity with a unit as Unit writes it.
func QuantityOf(unit string) (Quantity, bool) {
	for q := range quantities {
		if quantities[q].plain == unit {
			return Quantity(q), true
		}
	}
	return 0, false
}

// LuxPerFootcandle is 1 fc in lux: a lumen a square foot, 1/0.3048² (NIST SP
// 811, appendix B; the foot is exact).
const LuxPerFootcandle = 1 / (0.3048 * 0.3048)

// Footcandles turns lux into footcandles.
func Footcandles(lux float64) float64 { return lux / LuxPerFootcandle }

// Lux turns footcandles into lux.
func Lux(footcandles float64) float64 { return footcandles * LuxPerFootcandle }
