package photometry

import "strings"

// Unit is how a meter writes a level. Several units may stand for one
// quantity.
type Unit uint8

// The units that people write. NoUnit means that nothing was said.
const (
	NoUnit Unit = iota
	LX
	FC
	EV      // exposure value, incident unless a luminance is meant
	FStop   // f-number of an incident reading
	LXS     // lux seconds
	FCS     // footcandle seconds
	CDM2    // candela per square meter
	Plain   // relative, no unit
	Percent // relative, in percent
)

var unitNames = map[string]Unit{
	"lx": LX, "lux": LX,
	"fc": FC, "ftc": FC, "ft-c": FC, "footcandle": FC, "footcandles": FC, "foot-candle": FC, "foot-candles": FC, "lm/ft2": FC,
	"ev": EV,
	"f":  FStop, "f-number": FStop, "f-stop": FStop, "fstop": FStop,
	"lxs": LXS, "lx.s": LXS, "lxsec": LXS, "lux.s": LXS, "luxs": LXS, "luxseconds": LXS, "luxsecond": LXS,
	"fcs": FCS, "fc.s": FCS,
	"cd/m2": CDM2, "cd/sqm": CDM2, "nit": CDM2, "nits": CDM2,
	"relative": Plain, "rel": Plain, "ratio": Plain,
	"%": Percent, "percent": Percent,
}

// ParseUnit reads a unit's name in any case: lx, lux, fc, footcandles, EV, f,
// lx·s, cd/m², relative, %. It reports false where the text is not one.
func ParseUnit(text string) (Unit, bool) {
	u, ok := unitNames[foldUnit(text)]
	return u, ok
}

// foldUnit maps the ways to write one unit onto a single spelling.
func foldUnit(text string) string {
	return unitSpellings.Replace(strings.ToLower(strings.TrimSpace(text)))
}

var unitSpellings = strings.NewReplacer("²", "2", "^2", "2", "·", ".", "*", ".", "⋅", ".", " ", "", "\u00a0", "")

// String is the unit as printed: lx, fc, EV, f, lx·s, cd/m², relative.
func (u Unit) String() string {
	return [...]string{"", "lx", "fc", "EV", "f", "lx·s", "fc·s", "cd/m²", "relative", "%"}[u]
}

// Or is the unit to show illuminance in: the one asked for, or without one (NoUnit)
// footcandles where they were read and lux elsewhere.
func (u Unit) Or(read Unit) Unit {
	switch {
	case u != NoUnit:
		return u
	case read == FC:
		return FC
	}
	return LX
}
