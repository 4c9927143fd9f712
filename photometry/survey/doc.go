// Package survey judges many readings of one surface: whether it is even
// enough, where it is not, why, and what to change.
//
// Read makes a Survey of the files that people write, Analyze makes a Result of
// a Survey, and every face shows that Result. A Survey is columns, one entry a
// place, so that a million readings cost a few large slices; a prediction from
// lamps is the same type with Predicted set, and is analyzed alike.
//
// What the package is opinionated about:
//
//   - Levels are compared in stops, log2 of a ratio. The spread of a surface is
//     its brightest over its darkest place.
//   - A verdict rests on an interval. The truth lies above its upper end, or
//     below its lower end, at most 2.5 % of the time each; pass and fail are
//     said only where the whole interval agrees, and unsure comes with the
//     readings that would settle it.
//   - A reading that looks like a slip of the pen is named with every reason
//     that fits. It stays in the numbers; where leaving it out would change the
//     verdict, the verdict waits.
//   - A cause is claimed only where the readings support it over its
//     look-alike: a slope over a drift, a patch over a slip, a bow over a patch.
//   - Colors are mixed in XYZ and compared in mired, Duv and CIE 1976 u', v';
//     kelvins are never averaged.
//
// Lengths are meters (x to camera right, y up, from the lower left corner),
// times minutes, levels the SI unit of their quantity. Errors of reading are
// table.Errors, each with file, line, column, found and expected, as many at
// once as can be told.
//
// Sources: EN 12464-1 for uniformity and the spacing of readings; Tukey and
// Kramer's inequality (Hayter 1984) and the studentized range for intervals;
// Holland and Welsch (1977) for robust weights. testdata/SOURCES.md has them all.
package survey
