// Package spatial is about points on a plane: the box around them, the rows and
// columns that they form, their neighbors, the area that each stands for, and
// smooth surfaces through values at them.
//
// Lengths are meters, x to the right and y up. Fits bear outliers: Holland and
// Welsch's robust weights (Comm. Stat. A6, 1977). A value of NaN is a place without one:
// it counts in no fit, and whatever a plane of points does not determine is absent.
package spatial
