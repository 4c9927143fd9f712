package page

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"evenfall/photometry/table"
)

// headerLine is the line of a table's header as the table reader finds it.
func headerLine(content []byte) (line int, delimiter byte, ok bool) {
	sheets, err := table.ReadColumns(bytes.NewReader(content), "x.csv", func(_ []table.Note, header []table.Cell) ([]table.Want, error) {
		line = header[0].Line
		wants := make([]table.Want, len(header))
		for i := range wants {
			wants[i] = table.Text
		}
		return wants, nil
	})
	if err != nil || len(sheets) != 1 || !strings.HasPrefix(sheets[0].Dialect.Encoding, "UTF-8") {
		return 0, 0, false
	}
	return line, byte(sheets[0].Dialect.Delimiter), true
}

// raw is a record as it is written, without its line end.
func (r *record) raw(delim string) string { return strings.Join(r.cells, delim) }

// FuzzCSVText holds the cutting of files to two laws: nothing is lost in it, and
// writing one cell changes that cell and not a byte beside it, as the table reader
// sees it.
func FuzzCSVText(f *testing.F) {
	for _, content := range []string{small, "a,b\n1,2", "\xef\xbb\xbfa;b\r\n\"x;\"\"y\";2\r\n", "# n: 1\na\tb\n1\t\"two\nlines\"\n\n", "a,b\r1,\"\"\r#,\"\r3,4\r",
		"a,b\n \"q\" x,2\n", "a,b\n1\n,,,\n"} {
		f.Add([]byte(content), uint8(1), uint8(1), "7,\"5\"")
	}
	f.Fuzz(func(t *testing.T, content []byte, pick, column uint8, text string) {
		line, delimiter, ok := headerLine(content)
		if !ok {
			return
		}
		s, err := cut(string(content), delimiter, line)
		if err != nil {
			return // such a file is not edited
		}
		if got := s.bytes(); !bytes.Equal(got, content) {
			t.Fatalf("cut and joined: %q, was %q", got, content)
		}
		r := s.records[int(pick)%len(s.records)]
		if strings.HasPrefix(strings.TrimSpace(r.raw(s.delim)), "#") {
			return
		}
		text = strings.Join(strings.Fields(strings.ToValidUTF8(strings.ReplaceAll(text, "\x00", ""), "")), " ")
		at := int(column) % 6
		before := make([]string, 8)
		for i := range before {
			before[i] = r.get(i)
		}
		cells := slices.Clone(r.cells)
		s.set(r, at, text)
		for i, want := range cells {
			if i != at && r.cells[i] != want {
				t.Fatalf("writing column %d changed column %d to %q, was %q", at, i, r.cells[i], want)
			}
		}
		for i, want := range before {
			if i == at {
				want = text
			}
			if got := r.get(i); got != want {
				t.Fatalf("column %d is %q, want %q in %q", i, got, want, r.cells)
			}
		}
	})
}

// FuzzEdit holds a whole edit of any file to what it promises: the file is refused
// as it is, or read again it has the reading, and every other record is as it was.
func FuzzEdit(f *testing.F) {
	for _, content := range []string{small, "# width: 3\n# height: 1\nlabel,lux,\nA1,742,\nA2,\nA3", "label;x;y;lux\r\nA1;1,5;2;742\r\nA2;2;2;\"7,5\"\r\n",
		"x (m),y (m),E (fc),time,lamp\n1,1,70,10:05,\n2,1,71,10:06,key\n"} {
		f.Add([]byte(content), uint8(1), "750")
		f.Add([]byte(content), uint8(0), "\xbfK")
	}
	f.Fuzz(func(t *testing.T, content []byte, pick uint8, text string) {
		b, err := newEditor("x.csv", content, noon, zone)
		if err != nil || len(b.places) == 0 {
			return
		}
		p := b.places[int(pick)%len(b.places)]
		e := Entry{Label: p.label, At: at(1), Text: text, Kind: kindRead}
		key := keyOf(p.label, "")
		others := map[string]int{}
		for _, r := range b.text.records {
			mine := r == b.text.header
			for _, x := range b.cells[key] {
				mine = mine || x.record == r
			}
			if !mine {
				others[r.raw(b.text.delim)]++
			}
		}
		if o, _ := b.apply(e, "phone", noon.Add(time.Hour)); o.Outcome != stored {
			return
		}
		after := b.text.bytes()
		again, err := newEditor("x.csv", after, noon.Add(time.Hour), zone)
		if err != nil {
			t.Fatalf("%v in\n%s\nwas\n%s", err, after, content)
		}
		if o, _ := again.apply(e, "phone", noon.Add(time.Hour)); o.Outcome != same {
			t.Fatalf("sent again it is %+v in\n%s\nwas\n%s", o, after, content)
		}
		for _, r := range again.text.records {
			others[r.raw(again.text.delim)]--
		}
		for raw, n := range others {
			if n > 0 {
				t.Fatalf("%q is gone from\n%s", raw, after)
			}
		}
	})
}
