// Package lm63 reads the luminous intensity distribution of one luminaire, in
// candela, from a file of the open photometric standard ANSI/IES LM-63
// (generations 1986, 1991, 1995, 2002 and 2019).
//
// Four rules apply. Only the numbers of a file count: line breaks, commas,
// keywords and the encoding of text never matter, and a count that does not match
// is an error with its line rather than a shifted table. Between the angles of
// the file the intensity is bilinear in the file's own two angles, outside them
// it is zero; flux, peak and beam angle are exactly those of that interpolant, so
// that they agree with whatever a caller integrates. A field that is not a factor
// (the 2019 generation's code) is not multiplied. What was repaired or looks
// wrong is a Warning on the Distribution.
//
// # The fixture's frame
//
// A direction is (x, y, z): z lies along the aim, x in the half-plane C = 0
// (types A and B: toward positive H), y in the half-plane C = 90 (types A and
// B: toward positive V). Seen by someone behind the luminaire who looks along
// its aim, x is to the right and y is up, which is how the standard counts its
// angles (type C counterclockwise from above with the luminaire looking down,
// types A and B clockwise). As three vectors in space x, y and the aim are
// therefore left-handed: y = x × aim. A luminaire aimed along −z of a right-handed
// frame, with its x along that frame's x, has its y along that frame's y.
//
// A caller may rely on a Distribution being safe for concurrent use, on
// intensities that are finite and never negative, and on no allocation in
// Intensity.
//
// Sources: ANSI/IESNA LM-63-2002 and earlier generations, ANSI/IES LM-63-19
// (fields and their order, angles, key definitions); IES Lighting Handbook
// (zonal lumens, beam and field angle).
package lm63
