package table

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestFindCopies(t *testing.T) {
	for _, c := range []struct {
		name   string
		sheets [][]uint64
		want   []Copy
	}{
		{"four in turn", [][]uint64{{1, 2, 3, 4, 9, 1, 2, 3, 4}}, nil},
		{"five in turn", [][]uint64{{1, 2, 3, 4, 5, 9, 1, 2, 3, 4, 5}}, []Copy{{First: 6, Rows: 5}}},
		{"in another order", [][]uint64{{1, 2, 3, 4, 5, 5, 4, 3, 2, 1}}, nil},
		{"one place again and again", [][]uint64{slices.Repeat([]uint64{7}, 40)}, nil},
		{"two places in turn", [][]uint64{slices.Repeat([]uint64{7, 8}, 20)}, nil},
		{"three times", [][]uint64{slices.Repeat([]uint64{1, 2, 3, 4, 5, 6}, 3)}, []Copy{{First: 6, Rows: 6}, {First: 12, Rows: 6}}},
		{"no readings", [][]uint64{{1, 2, 0, 4, 5, 1, 2, 0, 4, 5}}, nil},
		{"a small sheet", [][]uint64{{1, 2}, {1, 2}}, []Copy{{Sheet: 1, Rows: 2, Whole: true}}},
		{"a sheet in another order", [][]uint64{{1, 2, 3, 4, 5}, {5, 3, 1, 2, 4}}, []Copy{{Sheet: 1, Rows: 5, Whole: true}}},
		{"a sheet in another order, one row other", [][]uint64{{1, 2, 3, 4, 5}, {5, 3, 1, 2, 6}}, nil},
		{"a sheet in another order, one row twice", [][]uint64{{1, 2, 3, 4, 5}, {5, 3, 1, 2, 4, 4}}, nil},
		{"a single row", [][]uint64{{1}, {1}}, nil},
		{"part of a sheet", [][]uint64{{9, 1, 2, 3, 4, 5, 6}, {1, 2, 3, 4, 5, 6, 8}}, []Copy{{Sheet: 1, OfFirst: 1, Rows: 6}}},
	} {
		if diff := cmp.Diff(c.want, FindCopies(c.sheets, 2, nil)); diff != "" {
			t.Errorf("%s (want, got):\n%s", c.name, diff)
		}
	}
}

// A row is the same whatever the order of its columns and however its numbers are
// written, and another where any cell is, also one that nobody reads.
func TestRowKeys(t *testing.T) {
	key := func(text string, wants ...Want) uint64 {
		sheets, err := ReadColumns(strings.NewReader(text), "f.csv", wantsOf(wants...))
		if err != nil {
			t.Fatal(err)
		}
		return sheets[0].RowKeys("2026-03-04")[0]
	}
	want := key("label,x,lux,walk\nA1,0.5,500,1\n", Text, Number, Number, Skip)
	for _, same := range []uint64{
		key("label;x;lux;walk\nA1;0,50;500,0;1\n", Text, Number, Number, Skip),
		key("Label,X,LUX,Walk\na1,.5,5e2,1.0\n", Text, Number, Number, Skip),
		key("walk,lux,x,label\n1,500,0.5,A1\n", Skip, Number, Number, Text),
	} {
		if same != want {
			t.Error("the same row has another key")
		}
	}
	for _, other := range []uint64{
		key("label,x,lux,walk\nA2,0.5,500,1\n", Text, Number, Number, Skip),
		key("label,x,lux,walk\nA1,500,0.5,1\n", Text, Number, Number, Skip),
		key("label,x,lux,walk\nA1,0.5,500.001,1\n", Text, Number, Number, Skip),
		key("label,x,lux,walk\nA1,0.5,500,2\n", Text, Number, Number, Skip),
		key("label,x,lux,walk\nA1,0.5,500,\n", Text, Number, Number, Skip),
	} {
		if other == want {
			t.Error("another row has the same key")
		}
	}
}
