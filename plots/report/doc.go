// Package report hands a set-up over: it gathers a folder of surveys, lamps,
// series and notes, computes every result with the packages that the commands
// use, and writes all of it as one page that a person can rebuild the light from.
//
// Read makes a Report of a folder, once; HTML, Markdown and JSON show that same
// struct. Nothing in it is computed anew for a face. A file that cannot be used
// is a Problem of the report and never stops the rest. Everything that people
// typed, file names too, is text in every face and never markup.
package report
