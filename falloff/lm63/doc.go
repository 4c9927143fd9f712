// Package lm63 is about the light of one luminaire in every direction: it reads
// a file of the open photometric standard ANSI/IES LM-63 (generations 1986,
// 1991, 1995, 2002 and 2019) and answers with intensities in candela.
//
// The package is opinionated in four things. A file is what its numbers say:
// line breaks, commas, keywords and text in any encoding never matter, counts
// always do, and a count that does not match is an error with its line rather
// than a shifted table. Between the angles of the file the intensity is linear
// in the file's own two angles (bilinear), outside them it is zero; flux, peak
// and beam angle are exactly those of that interpolant, so that they agree with
// whatever a caller integrates. A field that is no factor (the 2019
// generation's code) is not multiplied. And what was repaired or looks odd is a
// Warning on the Distribution.
//
// # The fixture's frame
//
// A direction is (x, y, z): z lies along the aim, x in the half-plane C = 0
// (types A and B: toward positive H), y in the half-plane C = 90 (types A and
// B: toward positive V). Seen by someone behind the luminaire who looks along
// its aim, x is to the right and y is up, which is how the standard counts its
// angles (type C counterclockwise from above with the luminaire looking down,
// types A and B clockwise). As three vectors in space x, y and the aim are
// therefore left-handed: y = x × aim. A luminaire that looks along −z of a
// right-handed room, its x along the room's x, has its y along the room's y.
//
// A caller may rely on a Distribution being safe for concurrent use, on
// intensities that are finite and never negative, and on no allocation in
// Intensity.
//
// Sources: ANSI/IESNA LM-63-2002 and earlier generations, ANSI/IES LM-63-19
// (fields and their order, angles, key definitions); IES Lighting Handbook
// (zonal lumens, beam and field angle).
package lm63
