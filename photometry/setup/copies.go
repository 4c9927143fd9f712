package setup

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// copyFinder finds tables that are the same in every cell as others of the folder.
type copyFinder struct {
	fsys fs.FS
	keys map[string][][]uint64 // of the sheets of each file that was looked at, in ascending order
	all  []photometry.Finding
}

// found reports whether a file of at least so many rows is a copy of one of others, and
// keeps that it is.
func (c *copyFinder) found(name string, others []string, rows int) bool {
	for _, other := range others {
		mine := c.keysOf(name)
		if theirs := c.keysOf(other); len(slices.Concat(mine...)) >= rows && slices.EqualFunc(mine, theirs, slices.Equal) {
			c.all = append(c.all, photometry.Found("copied_file", "file", name, "of", other))
			return true
		}
	}
	return false
}

// keysOf returns the keys of all rows of a table, nil where it cannot be read or has
// none.
func (c *copyFinder) keysOf(name string) [][]uint64 {
	if keys, known := c.keys[name]; known {
		return keys
	}
	if c.keys == nil {
		c.keys = map[string][][]uint64{}
	}
	c.keys[name] = nil
	file, err := c.fsys.Open(name)
	if err != nil {
		return nil
	}
	defer file.Close()
	sheets, err := table.ReadColumns(file, name, func(_ []table.Note, header []table.Cell) ([]table.Want, error) {
		return slices.Repeat([]table.Want{table.Number}, len(header)), nil
	})
	if err != nil {
		return nil
	}
	for _, s := range sheets {
		if s.Rows > 0 {
			c.keys[name] = append(c.keys[name], slices.Sorted(slices.Values(s.RowKeys())))
		}
	}
	return c.keys[name]
}

// likeness is what two copies of a table have in common besides its rows: its kind, its
// columns in any order, and the notes that make its readings others than those of
// another file.
func likeness(s sighted, notes []table.Note, header []table.Cell) string {
	var names []string
	for _, cell := range header {
		names = append(names, table.Fold(cell.Text))
	}
	slices.Sort(names)
	return strings.ToLower(fmt.Sprint(s.kind, names, s.title, s.date, schema.Text(schema.SurveyFile, notes, schema.Lamp)))
}
