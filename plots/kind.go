package plots

// Kind is the quantity that a map shows.
type Kind uint8

// The maps. All are differences from the reference.
const (
	Level Kind = iota // level in stops; positive is brighter
	Mired             // mired shift; positive is warmer
	Duv               // Duv shift; positive is greener
)

// kinds are the words and the steps of each kind of map.
var kinds = [...]struct {
	name, of   string // the kind; what its map is a map of
	title      string // after the title of the survey
	high, low  string // the extremes
	up, down   string // the directions of a shift of color
	unit, each string // of the labels; of a step
	numbers    string // what the numbers on a map are
	decimals   int
}{
	Level: {
		name: "level", of: "light levels", title: "level", high: "brightest", low: "darkest",
		unit: "stops", each: "stop", numbers: "stops", decimals: 1,
	},
	Mired: {
		name: "mired", of: "warm and cool light", title: "warm and cool", high: "warmest", low: "coolest", up: "warmer", down: "cooler",
		unit: "mired", each: "mired", numbers: "mired",
	},
	Duv: {
		name: "Duv", of: "green and magenta light", title: "green and magenta", high: "greenest", low: "most magenta", up: "greener", down: "more magenta",
		unit: "thousandths", each: "ΔDuv", numbers: "thousandths of ΔDuv", decimals: 1,
	},
}

// String is the kind's name: level, mired or Duv.
func (k Kind) String() string { return kinds[k].name }

// formatShift prints a shift of color with its quantity: +4 mired, ΔDuv −0.0012.
func (k Kind) formatShift(v float64) string {
	if k == Mired {
		return formatSigned(v, 0) + " mired"
	}
	return "ΔDuv " + formatSigned(v, 4)
}

// tolerance prints how far on each side of a reference a shift may be.
func (k Kind) tolerance(v float64) string {
	return "±" + formatPlain(v) + map[Kind]string{Mired: " mired", Duv: " Duv"}[k]
}

// describeSign is what the sign of a shift of color means.
func (k Kind) describeSign() string {
	return either(k == Level, "", "; plus is "+kinds[k].up)
}
