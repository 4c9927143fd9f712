// Package photometry is about one reading of a light meter: what its number
// means, in which unit, and how it relates to stops, exposure, distance and
// angle.
//
// It is opinionated in three ways. A level always carries its quantity
// (illuminance, luminous exposure, luminance or a relative figure), and
// quantities never mix silently. A marked f-number means the exact value behind
// the mark (5.6 is 2^2.5), while a shutter time is taken as written. And
// differences between lights are told in stops, the base-2 logarithm of a
// ratio, because that is how lights are set.
//
// Every formula names its source. Functions do not guess: text that cannot be
// read is a *SyntaxError that says what was found and what was expected.
package photometry
