// Package evenness judges a surface by its readings: whether it is even enough,
// where it is not, why, and what to change.
//
// Analyze makes a Result of a survey, which carries that survey, and every face
// presents that Result.
//
// What the package is opinionated about:
//
//   - Levels are compared in stops, log2 of a ratio. The spread of a surface is
//     its brightest over its darkest place.
//   - A verdict rests on an interval. The truth lies above its upper end, or
//     below its lower end, at most 2.5 % of the time each; pass and fail are
//     said only where the whole interval agrees, and unsure comes with the
//     readings that would settle it.
//   - A suspect reading is named with every reason that fits. It stays in the
//     numbers; where leaving it out would change the verdict, the verdict waits.
//   - A cause is claimed only where the readings support it over its
//     rival explanation: a slope over a drift, a patch over a data-entry error, a curvature
//     over a patch.
//   - Colors are mixed in XYZ and compared in mired, Duv and CIE 1976 u', v';
//     kelvins are never averaged.
//
// Sources: EN 12464-1 for uniformity and the spacing of readings; package
// uncertainty for intervals. testdata/SOURCES.md has them all.
package evenness
