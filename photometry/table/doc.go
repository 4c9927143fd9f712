// Package table reads the tables that people write, CSV or the sheets of an
// .xlsx workbook, into columns and cells that know where they stand.
//
// It knows nothing of light: no column has a meaning here. It knows cells,
// numbers, notes, header names with units, lengths, and the many dialects
// that spreadsheet programs write, and it is opinionated about these:
//
//   - No flag is needed. Encoding, delimiter, decimal sign and line ends are
//     found from the content, and what was inferred is kept in [Dialect] so
//     that it can be shown.
//   - Nothing is guessed in silence. A number that can be read in two ways
//     (1,234) and that no other cell settles is an error that says how to
//     settle it; cells that contradict each other are an error that names
//     both lines.
//   - Nothing is dropped in silence. A cell that is not a plain number is
//     handed on with its text and place ([Column.Odd]); cells beyond the
//     header are errors; what was skipped is a warning.
//   - All errors of a file come together ([Errors]), in the order of its
//     lines, each with file, sheet, line, column, found and expected. Lines
//     and columns are those that a spreadsheet program or an editor shows,
//     counted from one: lines of the file (rows of the sheet) and cells in
//     the line, not bytes.
//
// A table is: notes (lines “# key: value”), then one header row, then a row a
// record. Blank lines, and lines of delimiters only, are skipped but counted.
// A line that starts with # is a remark wherever it stands.
//
// A workbook is believed only after each of its parts was read to its end and
// agrees with its checksum, within limits of size and number; a worksheet that
// ends before its end tag is an error.
//
// Long streams of numbers are read by [ReadColumns], line by line, straight into
// columns of float64. Small tables with a Go type a row are read by
// [ReadTyped].
package table
