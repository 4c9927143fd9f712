// Package uncertainty says how far the truth may be from what scattering readings
// have: intervals for the spread of many levels and for their largest distance
// from a reference, and the verdict that they allow against a tolerance.
//
// The truth lies above the upper end of an interval, or below its lower end, with
// a probability of at most 2.5 % each. Sources: the range of normals (David and
// Nagaraja), the studentized range, Tukey and Kramer's inequality (Hayter 1984).
package uncertainty
