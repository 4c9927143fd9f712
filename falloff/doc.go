// Package falloff is about how light falls with distance and with angle.
//
// Forward, it holds sources that have an exact form: a point with a beam
// (Beam), a round and a polygonal Lambertian surface (Disc, Polygon), each
// giving the illuminance at any point of any receiver, horizon included.
//
// Backward, FitDistance takes a series of meter readings at known distances and
// says whether the inverse square law holds and from where on, how much is
// lost from here to there, how deep a zone is even, how strong and how large
// the source looks, where it seems to stand and how much of the reading is
// ambient; CheckMeter says how far the meter itself may be trusted. FitSeries and
// CheckSeries do the same for the readings of a file, with its notes and with
// faults placed at their cells.
//
// An analysis of distances goes in one direction, a file or two each:
//
//	readings (fromfile, faults) → series (series) → models fitted to it (model,
//	fit, search, profile) → conclusions (conclude, zone, inversesquare, settle,
//	explain, advise, answer) → Distance
//
// and a check of a meter likewise through its four parts (meter, angles with
// directional, ladder, linearity) to Meter. What both say beside their figures are
// Conclusions.
//
// The package is opinionated in three things. A reading's error is relative (a
// meter is good to so many percent, or stops), so fits are made in stops.
// Several models are always tried, and where the series cannot tell them apart
// and it matters, the result says so and says which reading would. And a figure
// that the readings do not support is absent, never a guess or a NaN.
//
// Distances are in meters, angles in degrees, levels in any one unit. A caller
// may rely on results being free of NaN and, for the sources, on illuminance
// never being negative.
package falloff
