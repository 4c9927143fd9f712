// Package setup is the rows of the small tables that describe a set-up: the
// lamps and what is in front of them, their colors, gels in the bag, cameras
// compared with the meter, lights at marks, and values by key. Each row
// type has all columns of its table, and reading one checks every cell and
// names file, line and column of what is wrong, all of it at once.
//
// There is no arithmetic here. Rows are converted to the values of the packages
// that compute with them.
package setup
