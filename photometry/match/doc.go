// Package match compares the light of one day with that of another day of the same
// surface: the offset over all, the pattern that is left after removing it, the
// shift of color, which lamp changed, and the steps that restore the first day.
//
// It promises that wrong passes and wrong fails of each part of a verdict are at most
// 2.5 % each, that readings which look like data-entry errors are left out by name,
// and that a lamp is named only where the readings support it over every other
// explanation. Compare takes two surveys, Read files, CompareFolders whole set-ups;
// CompareRatios does the same for lights at marks. What a result has to say is codes
// with values; package plots/answers has the sentences.
package match
