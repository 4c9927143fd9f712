package testdata

// RatioFigures are published ratios of lights, losses of filters and shutters
// that do not flicker, in the order of ratio.csv.
func RatioFigures() []Figure { return figures("ratio.csv") }
