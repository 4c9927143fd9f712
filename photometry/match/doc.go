// Package match holds the light of one day against that of another day of the same
// surface: the offset over all, the pattern that is left after removing it, the
// shift of color, which lamp changed, and the steps that restore the first day.
package match
