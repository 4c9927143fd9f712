// Package table reads the tables that people write, CSV or the sheets of an
// .xlsx workbook, into columns and cells that keep their places in the file.
//
// Columns have no meaning here. The package handles cells, numbers, notes, header
// names with units, lengths, and the dialects that spreadsheet programs write, by
// these rules:
//
//   - No flag is needed. Encoding, delimiter, decimal sign and line ends are
//     found from the content, and what was inferred is kept in [Dialect] so
//     that it can be shown.
//   - Nothing is guessed silently. A number that can be read in two ways (1,234)
//     where no other cell decides is an error that says how to write it; cells
//     that contradict each other are an error that names both lines.
//   - Nothing is dropped silently. A cell that is not a plain number is returned
//     with its text and place ([Column.Odd]); cells beyond the header are
//     errors; whatever was skipped is a warning.
//   - All errors of a file come together ([Errors]), in the order of its
//     lines, each with file, sheet, line, column, found and expected. Lines
//     and columns are those that a spreadsheet program or an editor shows,
//     counted from one: lines of the file (rows of the sheet) and cells in
//     the line, not bytes.
//
// A table is: notes (lines “# key: value”), then one header row, then one row per
// record. Blank lines, and lines of delimiters only, are skipped but counted.
// A line that starts with # is a remark anywhere.
//
// A workbook is used only after each of its parts was read to its end and matches
// its checksum, within limits on size and number; a worksheet that ends before its
// end tag is an error.
//
// Long streams of numbers are read by [ReadColumns], line by line, straight into
// columns of float64. Small tables with a Go type for their rows are read by
// [ReadTyped].
package table
