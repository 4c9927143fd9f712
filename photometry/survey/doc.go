// Package survey reads many readings of one surface as data: of files that people
// write into columns, one entry a place, joined by place, with repeats, times and
// lamps read alone.
//
// Read makes a Survey of the files. It is columns, so that a million readings cost
// a few large slices; a prediction from lamps is the same type with Predicted set.
// ReadLampSet reads what each lamp does alone, ReadSeries a light along a
// distance, an angle or a ladder of filters, ReadForm the places of a sheet that
// is being filled in.
//
// What the readings say of themselves is found here too: the drift of the light
// and how far readings scatter, by repeats, and the readings that look like a
// data-entry error, each with every reason that fits.
//
// Lengths are meters (x to camera right, y up, from the lower left corner),
// times minutes, levels the SI unit of their quantity. Errors of reading are
// table.Errors, each with file, line, column, found and expected, as many at
// once as can be told.
package survey
