package table

import (
	"bytes"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// drawTable draws a file with every kind of line and cell, in one dialect.
func drawTable(t *rapid.T) []byte {
	delimiter := rapid.SampledFrom([]string{",", ";", "\t"}).Draw(t, "delimiter")
	end := rapid.SampledFrom([]string{"\n", "\r\n", "\r"}).Draw(t, "line end")
	columns := rapid.IntRange(1, 5).Draw(t, "columns")
	point := rapid.Bool().Draw(t, "decimal point")
	cell := rapid.OneOf(
		rapid.StringMatching(`-?[0-9]{1,4}\.[0-9]{1,4}`),
		rapid.StringMatching(`[0-9]{1,3}`),
		rapid.StringMatching(`[1-9][0-9]{0,2}\.[0-9]{3}`),
		rapid.StringMatching(` ?[+-]?[0-9]{0,20}\.?[0-9]{0,3} ?`),
		rapid.SampledFrom([]string{"", "", " ", "116 fc", "f/5.6", "NaN", "1e5", "a b", "#1", "é", "\xe9", `6"`, "1’250", "-", "x\ty", "\x01", "a;b", "a,b"}),
	)
	ending := func() string {
		if rapid.IntRange(0, 20).Draw(t, "other end") == 0 {
			return rapid.SampledFrom([]string{"\n", "\r\n", "\r", "\n\n", "\r\r\n"}).Draw(t, "end")
		}
		return end
	}
	var b strings.Builder
	for j := range columns {
		if j > 0 {
			b.WriteString(delimiter)
		}
		b.WriteByte(byte('a' + j))
	}
	b.WriteString(end)
	for range rapid.IntRange(0, 12).Draw(t, "rows") {
		switch rapid.IntRange(0, 14).Draw(t, "kind of line") {
		case 0:
			b.WriteString(rapid.SampledFrom([]string{"# remark", `"# quoted"`, " # remark", "# key: value", strings.Repeat(delimiter, columns), " ", `""`}).Draw(t, "other line"))
		default:
			n := columns + max(0, rapid.IntRange(-8, 2).Draw(t, "more cells")) - rapid.IntRange(0, 1).Draw(t, "fewer")
			for j := range n {
				if j > 0 {
					b.WriteString(delimiter)
				}
				text := cell.Draw(t, "cell")
				if !point {
					text = strings.ReplaceAll(text, ".", ",")
				}
				switch rapid.IntRange(0, 8).Draw(t, "quotes") {
				case 0:
					text = `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
				case 1:
					if rapid.IntRange(0, 9).Draw(t, "fault") == 0 {
						text = rapid.SampledFrom([]string{`"`, `"a"b`, `"a` + end + `b"`, ` "1" `}).Draw(t, "odd quotes")
					}
				default:
					if strings.Contains(text, delimiter) {
						text = `"` + text + `"`
					}
				}
				b.WriteString(text)
			}
		}
		b.WriteString(ending())
	}
	out := b.String()
	if rapid.Bool().Draw(t, "no last line end") {
		out = strings.TrimRight(out, "\r\n")
	}
	return []byte(out)
}

// TestSheetsAtRandom holds sheets of every kind to what their documentation
// promises.
func TestSheetsAtRandom(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		data := drawTable(r)
		wants := rapid.StringMatching(`[\x00-\x02]{1,5}`).Draw(r, "wants")
		sheets, _ := ReadColumns(bytes.NewReader(data), "f.csv", wantsFrom(wants))
		for _, s := range sheets {
			checkSheet(t, s)
		}
	})
}

// TestStandardReaderAtRandom holds the cells of drawn strict comma files to
// encoding/csv.
func TestStandardReaderAtRandom(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		cell := rapid.StringOf(rapid.SampledFrom([]rune("ab1.;é \"\n,\t")))
		var b bytes.Buffer
		b.WriteString("h,i,j\n")
		for range rapid.IntRange(0, 6).Draw(r, "rows") {
			for j := range 3 {
				if j > 0 {
					b.WriteByte(',')
				}
				text := cell.Draw(r, "cell")
				if strings.ContainsAny(text, "\",\n") || strings.HasPrefix(strings.TrimSpace(text), `"`) || rapid.Bool().Draw(r, "quotes") {
					text = `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
				}
				b.WriteString(text)
			}
			b.WriteString(rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(r, "end"))
		}
		compareStandard(r, b.String())
	})
}

// TestLongFile grows past the first block and the expected size, in all three
// ways that the size of a file can be known or not.
func TestLongFile(t *testing.T) {
	data := longStream(30_000)
	// Short lines first: the estimate is far too high; long ones first: too low.
	lines := bytes.SplitAfter(data, []byte("\n"))
	uneven := func(from, to int) []byte {
		var b bytes.Buffer
		for i, l := range lines {
			if i > from && i < to {
				b.Write(bytes.TrimRight(l, "\n"))
				b.WriteString(strings.Repeat(",", 300) + "\n")
				continue
			}
			b.Write(l)
		}
		return b.Bytes()
	}
	for _, data := range [][]byte{data, uneven(0, 10_000), uneven(20_000, 40_000)} {
		want, err := ReadColumns(bytes.NewReader(data), "f.csv", allNumbers)
		if err != nil {
			t.Fatal(err)
		}
		piped, err := ReadColumns(struct{ *bufferReader }{&bufferReader{data}}, "f.csv", allNumbers)
		if err != nil {
			t.Fatal(err)
		}
		for j := range want[0].Columns {
			if a, b := want[0].Columns[j].Num, piped[0].Columns[j].Num; len(a) != 30_000 || len(b) != 30_000 || a[29_999] != b[29_999] || a[15_000] != b[15_000] {
				t.Fatalf("column %d differs", j)
			}
			if c := cap(want[0].Columns[j].Num); c > 34_000 {
				t.Errorf("column %d of 30,000 has room for %d", j, c)
			}
		}
		if got := want[0].Line(29_999); got != 30_001 || len(want[0].runs) != 1 {
			t.Errorf("last row on line %d, %d runs", got, len(want[0].runs))
		}
	}
}

// bufferReader is a reader that does not tell its size.
type bufferReader struct{ data []byte }

func (r *bufferReader) Read(p []byte) (int, error) {
	n, err := bytes.NewReader(r.data).Read(p[:min(len(p), 1000)])
	r.data = r.data[n:]
	return n, err
}
