// Package colorimetry is about the color of white light on a set: what
// correlated color temperature and Duv a chromaticity has, how lights mix, and
// which filters and gels bring one light to another.
//
// It rests on the CIE 1931 2° observer at 1 nm from 360 nm to 830 nm, on
// Planck's law with c2 = 1.438776877e-2 m·K, and on a spectral model of every
// filter, so that a gel shifts warm light and cool light differently, as it does
// on the set. It never averages kelvins: lights are summed as tristimulus
// values, and shifts are taken in mired.
//
// # Signs and units
//
//   - Color temperatures are in kelvins, 1,000 K to 25,000 K; mired is 10⁶/K.
//   - Duv is the distance from the Planckian locus in CIE 1960 (u, v): positive
//     above the locus (green), negative below it (magenta), at most 0.05.
//   - A shift is target minus source. A positive mired shift warms, a positive
//     Duv shift goes toward green.
//   - CC points are hundredths of peak density: 30 is a CC30 filter, which is
//     also a full plus green or minus green; positive is green.
//   - Losses are in stops and positive; transmittances are fractions.
//   - A step is 0.0011 in CIE 1976 (u′, v′).
//
// # What a caller may rely on
//
// CCT and Duv are the exact nearest point on the locus to far better than a
// meter shows; the functions that find them allocate nothing and may be called
// from many goroutines. Bad data is an error that says why; a result that does
// not exist is absent, never NaN. Advice and warnings are values on a result
// and nothing is ever printed.
//
// A light that is known only by CCT and Duv is taken to be a Planckian radiator
// seen through one color compensating filter. That is right for tungsten and
// close for daylight; a lamp with a spiky spectrum can land elsewhere than
// predicted, which every prediction says.
package colorimetry
