// Package balance finds the trims of lamps, from readings of each lamp alone, that
// make their sum most even: a linear program whose dual proves the optimum.
//
// Solve answers for a set of readings, with how sure the verdict after trimming
// is; MinSpreadProblem is the bare question for any shares of levels. Trims take
// light away and never add any. Ambient light and fixed lamps stay as they are.
package balance
