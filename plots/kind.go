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
	steps      []float64 // from one isoline to the next
}{
	Level: {
		name: "level", of: "light levels", high: "brightest", low: "darkest",
		unit: "stops", each: "stop", numbers: "stops", decimals: 1, steps: []float64{0.05, 0.1, 0.2, 0.5, 1, 2, 5},
	},
	Mired: {
		name: "mired", of: "warm and cool light", title: ": warm and cool", high: "warmest", low: "coolest", up: "warmer", down: "cooler",
		unit: "mired", each: "mired", numbers: "mired", steps: []float64{1, 2, 5, 10, 20, 50, 100, 200, 500},
	},
	Duv: {
		name: "Duv", of: "green and magenta light", title: ": green and magenta", high: "greenest", low: "most magenta", up: "greener", down: "more magenta",
		unit: "Duv, thousandths", each: "Duv", numbers: "thousandths of Duv", decimals: 1, steps: []float64{0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05},
	},
}

// String is the kind's name: level, mired or Duv.
func (k Kind) String() string { return kinds[k].name }

// formatShift prints a shift of color with its quantity: +4 mired, Duv −0.0012.
func (k Kind) formatShift(v float64) string {
	if k == Mired {
		return formatSigned(v, 0) + " mired"
	}
	return "Duv " + formatSigned(v, 4)
}

// describeSign is what the sign of a shift of color means.
func (k Kind) describeSign() string {
	if k == Level {
		return ""
	}
	return "; plus is " + kinds[k].up
}
