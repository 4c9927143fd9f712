// Package sheet finds the table in a sheet as people type it and brings it into the
// plain form that package survey reads: a row a reading, known columns.
//
// A sheet comes as cells. Its parts are read in several ways (a list, a list with its
// rows and columns swapped, a grid, lines of text), each way explains so many of the
// numbers and so many of the words, and the best one is taken. Where another one explains
// nearly as much and gives another result, or where a cell, column or row can be meant in
// two ways, the answer is a [Question]: asking costs a word, misreading a set.
//
// Whatever is not read is named in [ReadAs], whatever was assumed as well. Cells keep
// their places, so that an error or a suspect reading is found in the file.
package sheet
