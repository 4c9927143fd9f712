package table

import (
	"hash/maphash"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
)

// Copy is a block of rows that are the same in every cell as rows before them. Sheets
// and rows are counted from 0.
type Copy struct {
	Sheet, First int
	Of, OfFirst  int
	Rows         int
	Whole        bool // all rows of both sheets
}

// FewestCopied is how many different rows in turn, the same in every cell as others,
// are taken for a copy: on a coarse display single readings often agree, so many in
// the same order do not. Common practice, no source.
const FewestCopied = 5

// FindCopies finds the blocks of at least FewestCopied different rows that are copies
// of earlier ones, and sheets of at least whole rows that are copies as a whole, in any
// order of their rows. keys has a key for each row of each sheet, as of RowKeys; a row
// with the key 0 is no copy.
//
// In a sheet of placed, whose rows say more than a level, such blocks may be in another
// order of their rows too; levels alone come again by chance.
func FindCopies(keys [][]uint64, whole int, placed []bool) (found []Copy) {
	first := make(map[uint64][2]int) // of each window, its sheet and row
	blocks := mayRepeat(keys)
	ordered := inOrder(keys)
	for at, sheet := range keys {
		if of := slices.IndexFunc(ordered[:at], func(k []uint64) bool { return slices.Equal(k, ordered[at]) }); of >= 0 && len(sheet) >= whole && !slices.Contains(sheet, 0) {
			found = append(found, Copy{Sheet: at, Of: of, Rows: len(sheet), Whole: true})
			continue
		}
		if !blocks {
			continue
		}
		found = append(found, findBlocks(keys, at, first)...)
		if placed == nil || !placed[at] {
			continue
		}
		for _, c := range findShuffled(at, sheet) {
			if !slices.ContainsFunc(found, func(d Copy) bool { return d.Sheet == at && d.First < c.First+c.Rows && c.First < d.First+d.Rows }) {
				found = append(found, c)
			}
		}
	}
	return found
}

// findBlocks finds the blocks of a sheet that are copies of earlier ones; first has the
// sheet and the row of each window of rows so far.
func findBlocks(keys [][]uint64, at int, first map[uint64][2]int) (found []Copy) {
	sheet := keys[at]
	for row := 0; row+FewestCopied <= len(sheet); row++ {
		window := windowKey(sheet[row : row+FewestCopied])
		of, known := first[window]
		switch {
		case window == 0 || known && of[0] == at && of[1]+FewestCopied > row:
		case !known:
			first[window] = [2]int{at, row}
		default:
			c := Copy{Sheet: at, First: row, Of: of[0], OfFirst: of[1]}.extended(keys)
			found, row = append(found, c), row+c.Rows-1
		}
	}
	return found
}

// findShuffled finds, in one sheet, the runs of at least FewestCopied different rows each
// of which is the same in every cell as one before the run, in whatever order.
func findShuffled(sheet int, keys []uint64) (found []Copy) {
	first := map[uint64]int{}
	for row := 0; row < len(keys); {
		c, run := Copy{Sheet: sheet, First: row, Of: sheet, OfFirst: row}, map[uint64]bool{}
		for _, key := range keys[row:] {
			of, known := first[key]
			if !known || key == 0 || run[key] {
				break
			}
			c.OfFirst, c.Rows, run[key] = min(c.OfFirst, of), c.Rows+1, true
		}
		if c.Rows >= FewestCopied {
			found, row = append(found, c), row+c.Rows
			continue
		}
		if _, known := first[keys[row]]; !known {
			first[keys[row]] = row
		}
		row++
	}
	return found
}

// inOrder are the keys of each of several sheets in ascending order, so that sheets with
// the same rows are equal.
func inOrder(keys [][]uint64) [][]uint64 {
	ordered := slices.Clone(keys)
	if len(keys) > 1 {
		for i, sheet := range keys {
			ordered[i] = slices.Sorted(slices.Values(sheet))
		}
	}
	return ordered
}

// Finding says which rows of a sheet count once.
func (c Copy) Finding(sheet, of *Sheet) photometry.Finding {
	if c.Whole {
		return photometry.Found("copied_file", "file", sheet.Place(), "of", of.Place())
	}
	return photometry.Found("copied_rows", "file", sheet.Place(), "first", sheet.Line(c.First), "last", sheet.Line(c.First+c.Rows-1),
		"of", of.Place(), "of_first", of.Line(c.OfFirst), "of_last", of.Line(c.OfFirst+c.Rows-1))
}

// extended takes the rows behind a copy that are copies too.
func (c Copy) extended(keys [][]uint64) Copy {
	to, from := keys[c.Sheet][c.First:], keys[c.Of][c.OfFirst:]
	if c.Of == c.Sheet {
		from = from[:c.First-c.OfFirst]
	}
	for c.Rows = FewestCopied; c.Rows < min(len(to), len(from)) && to[c.Rows] == from[c.Rows] && to[c.Rows] != 0; {
		c.Rows++
	}
	return c
}

// mayRepeat reports whether enough rows come again for a copy: most files have none.
func mayRepeat(keys [][]uint64) bool {
	all := slices.Concat(keys...)
	slices.Sort(all)
	repeated := 0
	for i := 1; i < len(all) && repeated < FewestCopied; i++ {
		if all[i] == all[i-1] && all[i] != 0 {
			repeated++
		}
	}
	return repeated >= FewestCopied
}

// windowKey is a key of rows in turn, 0 where two are the same or one is no reading.
func windowKey(rows []uint64) (key uint64) {
	for i, k := range rows {
		if k == 0 || slices.Contains(rows[:i], k) {
			return 0
		}
		key = spread(key ^ k)
	}
	return key
}

// keySeed makes keys comparable within one run of the program.
var keySeed = maphash.MakeSeed()

// RowKeys returns a key for each row, equal where all cells are, whatever their order,
// and however the file writes numbers: those that differ by less than 1e-12 are equal.
// of tells sheets apart whose rows are never copies of each other, such as those of two
// days.
func (s *Sheet) RowKeys(of ...string) []uint64 {
	apart := maphash.String(keySeed, strings.Join(of, "\x00"))
	keys := slices.Repeat([]uint64{apart | 1}, s.Rows)
	for j := range s.Columns {
		col := &s.Columns[j]
		name := columnKey(s.Header[j].Text)
		for i, v := range col.Num {
			if !math.IsNaN(v) {
				keys[i] += numberKey(name, v)
			}
		}
		for i, text := range col.Text {
			if col.Num == nil || math.IsNaN(col.Num[i]) {
				keys[i] += textKey(name, text)
			}
		}
		if col.Text == nil {
			for _, odd := range col.Odd {
				keys[odd.Row] += textKey(name, odd.Cell.Text)
			}
		}
	}
	for i, key := range s.aside {
		keys[i] += key
	}
	return keys
}

func columnKey(header string) uint64 { return maphash.String(keySeed, foldName(header)) }

// numberKey is the key of a number in a column, 0 for a text that is empty.
func numberKey(column uint64, v float64) uint64 {
	return spread(column ^ (math.Float64bits(v)+1<<11)>>12)
}

func textKey(column uint64, text string) uint64 {
	if text == "" {
		return 0
	}
	if strings.Count(text, ":") == 2 { // a workbook writes a time with its seconds
		text = strings.TrimSuffix(text, ":00")
	}
	return spread(column ^ maphash.String(keySeed, foldName(text)))
}

// spread spreads a key over all of its bits. Source: the finalizer of SplitMix64 (Steele,
// Lea and Flood 2014), from memory; any that spreads as well would do.
func spread(key uint64) uint64 {
	key = (key ^ key>>30) * 0xbf58476d1ce4e5b9
	key = (key ^ key>>27) * 0x94d049bb133111eb
	return key ^ key>>31
}
