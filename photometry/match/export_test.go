package match

// Simulated is how many cases a simulation runs through.
func Simulated(short, full int) int { return simulated(short, full) }
