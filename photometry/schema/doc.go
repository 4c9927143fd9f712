// Package schema declares the words that people write in their files: every note
// and key, every column, the roles of lights and the bounds of figures, each once,
// with its names, what it may be, where it may be and a line of help. It knows
// no readings; it says how the words around them are read.
//
// A note means the same wherever it is: in a table of readings, in a table of
// lights at marks, above a table of lamps, as a key of setup.csv and as a flag.
// [Read] takes the notes of several sources, those that count first in front, and
// [Get] gives what they come to. What cannot be read is an error with file, line,
// column, found and expected, and so is a note that is there twice with two values.
//
// What is settled here for all:
//
//   - A tolerance is in all, 0.5 stop, unless it has the sign ±, which is on each
//     side.
//   - A flag counts before a file and a file before setup.csv. What the camera is
//     set to (iso, shutter) and what the meter was set to when an f-number or EV
//     was read (meter iso, meter shutter) are different notes; where only the first
//     are given, the meter was set like the camera.
//   - A figure whose unit cannot be known from its place has its unit beside it: a
//     resolution in stops, a repeatability in percent.
//   - Plain lengths are in meters, or as the note “length unit” says; on the command
//     line they are in the unit of --length.
package schema
