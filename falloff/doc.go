// Package falloff is about how light falls with distance and with angle.
//
// Forward, it holds sources that have an exact form: a point with a beam
// (Beam), a round and a polygonal Lambertian surface (Disc, Polygon), each
// giving the illuminance at any point of any receiver, horizon included.
//
// Backward, FitDistance takes a series of meter readings at known distances and
// says from where on the inverse square holds, how much is lost from here to
// there, how deep a zone is even, how strong and how large the source looks, where
// its light starts and how much of the reading is ambient; CheckMeter says how far
// the meter itself may be trusted. FitSeries and CheckSeries do the same for the
// readings of a file, with its notes and with faults placed at their cells.
//
// An analysis of distances goes in one direction, a file or two each:
//
//	readings (fromfile, inputerrors) → series (series) → χ² of a law (chisquare)
//	→ every law that the readings allow (region) → conclusions (settle, zone,
//	explain, suspects, nextreading, answer, conclude) → Distance
//
// and a check of a meter likewise through its four parts (meter, angles with
// directional, ladder, linearity) to Meter. What both say beside their figures are
// Conclusions.
//
// The package is opinionated in three things. A reading's error is relative (a
// meter is good to so many percent, or stops), so fits are made in stops. One law
// has all parameters at once, and a conclusion's interval is its range over every
// law that the readings allow; each settles for itself, and where one does not,
// the result says which reading would settle it. And a figure that the readings
// do not support is absent, never a guess or a NaN.
//
// Distances are in meters, angles in degrees, levels in any one unit. A caller
// may rely on results being free of NaN and, for the sources, on illuminance
// never being negative.
package falloff
