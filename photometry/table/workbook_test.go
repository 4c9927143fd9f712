package table

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
)

// workbookBytes saves a workbook.
func workbookBytes(t *testing.T, f *excelize.File) *bytes.Reader {
	t.Helper()
	b, err := f.WriteToBuffer()
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	return bytes.NewReader(b.Bytes())
}

// sheetOf makes a workbook of one sheet.
func sheetOf(t *testing.T, rows ...[]any) *excelize.File {
	t.Helper()
	f := excelize.NewFile()
	for i, row := range rows {
		at, _ := excelize.CoordinatesToCellName(1, i+1)
		if err := f.SetSheetRow("Sheet1", at, &row); err != nil {
			t.Fatal(err)
		}
	}
	return f
}

func styled(t *testing.T, f *excelize.File, cell string, style excelize.Style) {
	t.Helper()
	id, err := f.NewStyle(&style)
	if err == nil {
		err = f.SetCellStyle("Sheet1", cell, cell, id)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func wantsOf(w ...Want) Choose {
	return func([]Note, []Cell) ([]Want, error) { return w, nil }
}

// TestWorkbookCells reads each kind of cell.
func TestWorkbookCells(t *testing.T) {
	f := sheetOf(t,
		[]any{"# width", 4.8},
		[]any{"# area", 0.3, 0.2, 4.5, 2.2},
		[]any{"# light: flash"},
		[]any{"lamp", "level", "level 2"},
		[]any{"key", 0.3, "1,25"},
		[]any{true, 1250, nil},
		[]any{"fill", 1e-3, "116,5 fc"},
		[]any{1.5, -12345.5, "1.250"},
	)
	// The library writes 15 digits; spreadsheet programs write 17.
	raw := rewritePart(t, workbookBytes(t, f), "xl/worksheets/sheet1.xml", strings.NewReplacer(
		"<v>0.3</v></c><c r=\"C5\"", "<v>0.30000000000000004</v></c><c r=\"C5\"",
		"<v>-12345.5</v>", "<v>-12345.678901234567</v>").Replace)
	sheets, err := ReadColumns(bytes.NewReader(raw), "f.xlsx", wantsOf(Text, Number, Number))
	if err != nil {
		t.Fatal(err)
	}
	s := sheets[0]
	want := []Column{
		{Want: Text, Text: []string{"key", "TRUE", "fill", "1.5"}},
		{Want: Number, Num: []float64{0.30000000000000004, 1250, 1e-3, -12345.678901234567}},
		{Want: Number, Num: []float64{1.25, nan, nan, 1250}, Odd: []Odd{{2, Cell{"116,5 fc", 7, 3}}}},
	}
	if diff := cmp.Diff(want, s.Columns, compareSheets); diff != "" {
		t.Errorf("columns (want, got):\n%s", diff)
	}
	notes := []Note{{"width", "4.8", 1, 1}, {"area", "0.3,0.2,4.5,2.2", 2, 1}, {"light", "flash", 3, 1}}
	if diff := cmp.Diff(notes, s.Notes); diff != "" {
		t.Errorf("notes (want, got):\n%s", diff)
	}
	if s.Dialect.Decimal != ',' || s.Dialect.Encoding != "xlsx" || s.Name != "Sheet1" {
		t.Errorf("%q: %+v", s.Name, s.Dialect)
	}
}

// TestWorkbookTexts reads formatted texts, escaped characters and texts that cells
// share as the library does.
func TestWorkbookTexts(t *testing.T) {
	f := sheetOf(t, []any{"place", "lux"}, []any{"A & <B>", 1}, []any{"A_x0041_ü", 2}, []any{nil, 3})
	runs := []excelize.RichTextRun{{Text: "top "}, {Text: "left", Font: &excelize.Font{Bold: true}}}
	if err := f.SetCellRichText("Sheet1", "A4", runs); err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, cell := range []string{"A2", "A3", "A4"} {
		text, err := f.GetCellValue("Sheet1", cell)
		if err != nil {
			t.Fatal(err)
		}
		want = append(want, text)
	}
	sheets, err := ReadColumns(workbookBytes(t, f), "f.xlsx", wantsOf(Text, Number))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, sheets[0].Columns[0].Text); diff != "" {
		t.Errorf("texts (want, got):\n%s", diff)
	}
}

// TestWorkbookDates writes dates and times as texts that can be parsed, also
// where a number should stand. The library writes time.Time as serial numbers.
func TestWorkbookDates(t *testing.T) {
	at := time.Date(2026, 11, 25, 10, 5, 0, 0, time.UTC)
	f := sheetOf(t, []any{"time", "level"},
		[]any{at, at}, []any{10.0/24 + 5.0/1440, 0.5}, []any{at, at}, []any{1.5, 0.125}, []any{nil, 45000.25}, []any{at.Add(250 * time.Millisecond)})
	iso, day, clock, elapsed := "yyyy-mm-dd hh:mm:ss", `dd.mm.yyyy;@`, `[$-F400]h:mm:ss\ AM/PM`, "[h]:mm"
	styled(t, f, "A2", excelize.Style{NumFmt: 22})
	styled(t, f, "B2", excelize.Style{CustomNumFmt: &iso})
	styled(t, f, "A3", excelize.Style{NumFmt: 21})
	styled(t, f, "B3", excelize.Style{NumFmt: 9})
	styled(t, f, "A4", excelize.Style{CustomNumFmt: &clock})
	styled(t, f, "B4", excelize.Style{CustomNumFmt: &day})
	styled(t, f, "A5", excelize.Style{CustomNumFmt: &elapsed})
	styled(t, f, "B5", excelize.Style{NumFmt: 10})
	styled(t, f, "B6", excelize.Style{NumFmt: 4})
	styled(t, f, "A7", excelize.Style{CustomNumFmt: &iso})
	if err := f.SetCellValue("Sheet1", "B4", 46351); err != nil { // 2026-11-25
		t.Fatal(err)
	}
	sheets, err := ReadColumns(workbookBytes(t, f), "f.xlsx", wantsOf(Text, Number))
	if err != nil {
		t.Fatal(err)
	}
	want := []Column{
		{Want: Text, Text: []string{"2026-11-25 10:05:00", "10:05:00", "2026-11-25 10:05:00", "36:00:00", "", "2026-11-25 10:05:00.25"}},
		{Want: Number, Num: []float64{nan, nan, nan, nan, 45000.25, nan}, Odd: []Odd{
			{0, Cell{"2026-11-25 10:05:00", 2, 2}}, {1, Cell{"50%", 3, 2}},
			{2, Cell{"2026-11-25", 4, 2}}, {3, Cell{"12.5%", 5, 2}}}},
	}
	if diff := cmp.Diff(want, sheets[0].Columns, compareSheets); diff != "" {
		t.Errorf("columns (want, got):\n%s", diff)
	}
}

// TestWorkbookDateSystem holds dates to the library's conversion, in both date
// systems, over the years.
func TestWorkbookDateSystem(t *testing.T) {
	for _, date1904 := range []bool{false, true} {
		for v := 1.25; v < 80_000; v += 97.5 {
			want, err := excelize.ExcelDateToTime(v, date1904)
			if err != nil {
				t.Fatal(err)
			}
			got, ok := numberFormat{date: true, clock: true}.format(v, date1904)
			if !ok || got != want.Format(time.DateTime) {
				t.Errorf("%v (1904: %v) is %s, the library has %s", v, date1904, got, want.Format(time.DateTime))
			}
		}
	}
}

// TestNumberFormats reads format codes. The built-in ones are those of
// ECMA-376 part 1, 18.8.30, from memory.
func TestNumberFormats(t *testing.T) {
	for code, want := range map[string]numberFormat{
		"General":                   {},
		"0.00":                      {},
		`0.0" lx"`:                  {},
		`#,##0.00\ "days"`:          {},
		`[Red]0.0;[Blue]-0.0`:       {},
		"0.00E+00":                  {},
		"0%":                        {percent: true},
		"yyyy-mm-dd":                {date: true},
		"mmm yy":                    {date: true},
		"mmmm":                      {date: true},
		"h:mm":                      {clock: true},
		"mm:ss.0":                   {clock: true},
		"[mm]:ss":                   {clock: true, elapsed: true},
		"d/m/yyyy h:mm":             {date: true, clock: true},
		`[$-407]dd. mmmm yyyy;@`:    {date: true},
		`0;yyyy`:                    {},
		`_-* #,##0.00_-;-* "day"_-`: {},
	} {
		if got := parseFormat(code); got != want {
			t.Errorf("%s: %+v, want %+v", code, got, want)
		}
	}
}

// TestWorkbookFaults names the cells that cannot be read.
func TestWorkbookFaults(t *testing.T) {
	f := sheetOf(t, []any{"x", "lux", "note"}, []any{1, 2, "a"}, []any{3, nil, "b"}, []any{4, "=no", "c"}, []any{5, 6, "d", nil, 7})
	if err := f.SetCellFormula("Sheet1", "B3", "SUM(A1:A2)"); err != nil {
		t.Fatal(err)
	}
	raw := rewritePart(t, workbookBytes(t, f), "xl/worksheets/sheet1.xml", func(xml string) string {
		// A cell of the library cannot be an error value.
		at := strings.Index(xml, `<c r="A2"`)
		end := at + strings.Index(xml[at:], "</c>")
		return xml[:at] + `<c r="A2" t="e"><f>1/0</f><v>#DIV/0!</v>` + xml[end:]
	})
	sheets, err := ReadColumns(bytes.NewReader(raw), "f.xlsx", wantsOf(Number, Number, Text))
	want := `f.xlsx[Sheet1]:2:1: found "#DIV/0!", expected a value in cell A2
f.xlsx[Sheet1]:3:2: found a formula in cell B3 whose value was never computed, expected its value: open and save the workbook in a spreadsheet program, or type the value in
f.xlsx[Sheet1]:5:5: found "7", expected no more than the 3 cells of the header`
	if err == nil || err.Error() != want {
		t.Errorf("%v\nwant\n%s", err, want)
	}
	if len(sheets) != 1 || len(sheets[0].Columns[1].Odd) != 1 || sheets[0].Columns[1].Odd[0].Cell != (Cell{"=no", 4, 2}) {
		t.Errorf("%+v", sheets)
	}
	if _, err := ReadColumns(bytes.NewReader(raw), "f.xlsx", wantsOf(Skip, Skip, Text)); err == nil || strings.Count(err.Error(), "\n") != 0 {
		t.Errorf("columns that are not wanted: %v", err)
	}
}

// rewritePart changes a part of a saved workbook.
func rewritePart(t *testing.T, in *bytes.Reader, name string, change func(string) string) []byte {
	t.Helper()
	archive, err := zip.NewReader(in, in.Size())
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range archive.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		content, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if f.Name == name {
			content = []byte(change(string(content)))
		}
		part, err := w.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		part.Write(content)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestWorkbookHidden reads what is hidden or merged, and says so.
func TestWorkbookHidden(t *testing.T) {
	f := sheetOf(t, []any{"x", "lux"}, []any{1, 2}, []any{3, 4}, []any{5, 6}, []any{7, 8})
	for _, err := range []error{
		f.SetRowVisible("Sheet1", 3, false),
		f.SetRowVisible("Sheet1", 4, false),
		f.SetColVisible("Sheet1", "B", false),
		f.MergeCell("Sheet1", "A4", "A5"),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	f.NewSheet("K")
	f.SetSheetRow("K", "A1", &[]any{"lx", 0.3, 0.9})
	f.SetSheetRow("K", "A3", &[]any{0.2, 1250, 1300})
	f.SetSheetVisible("K", false)
	f.NewSheet("empty")
	f.NewSheet("about")
	f.SetSheetRow("about", "A1", &[]any{"# surface: cloth"})
	sheets, err := ReadColumns(workbookBytes(t, f), "f.xlsx", allNumbers)
	if err != nil {
		t.Fatal(err)
	}
	if len(sheets) != 2 || sheets[1].Name != "K" || sheets[1].Line(0) != 3 {
		t.Fatalf("%d sheets", len(sheets))
	}
	if diff := cmp.Diff([]float64{2, 4, 6, 8}, sheets[0].Columns[1].Num); diff != "" {
		t.Error(diff)
	}
	var got []string
	for _, s := range sheets {
		for _, w := range s.Warnings {
			got = append(got, w.String())
		}
	}
	want := []string{
		"f.xlsx[Sheet1]: hidden rows were read: 3–4",
		`f.xlsx[Sheet1]: hidden column was read: "lux"`,
		"f.xlsx[Sheet1]: merged cells have their value in the first cell only: A4:A5",
		"f.xlsx[about]: notes and no table; not read",
		"f.xlsx[K]: this sheet is hidden in the workbook; it was read",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("warnings (want, got):\n%s", diff)
	}
}

// TestWorkbookForeign tells other zip archives apart.
func TestWorkbookForeign(t *testing.T) {
	archive := func(names ...string) []byte {
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		for _, name := range names {
			name, content, _ := strings.Cut(name, "=")
			part, _ := w.Create(name)
			io.WriteString(part, content)
		}
		w.Close()
		return out.Bytes()
	}
	for _, c := range []struct {
		data []byte
		want string
	}{
		{archive("mimetype=application/vnd.oasis.opendocument.spreadsheet", "content.xml"), "OpenDocument spreadsheet"},
		{archive("mimetype=application/vnd.oasis.opendocument.text"), "OpenDocument file"},
		{archive("word/document.xml=<w/>"), "text document"},
		{archive("xl/workbook.bin=x"), "binary workbook"},
		{archive("readings.csv=x,y"), "zip archive"},
		{archive("xl/workbook.xml=<workbook>"), "damaged workbook"},
		{[]byte("PK\x03\x04 and no more"), "damaged zip"},
		{archive("xl/workbook.xml=<workbook><sheets/></workbook>", "xl/_rels/workbook.xml.rels=<R/>", "[Content_Types].xml=<Types/>"), "workbook"},
	} {
		_, err := ReadColumns(bytes.NewReader(c.data), "f.xlsx", allNumbers)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %s", err, c.want)
		}
	}
}

// TestWorkbookHostile refuses small files that would take much memory or time,
// before either is taken, and says why.
func TestWorkbookHostile(t *testing.T) {
	good := workbookBytes(t, sheetOf(t, []any{"x", "y"}, []any{1, 2}, []any{3, 4}))
	change := func(name string, by func(string) string) []byte { return rewritePart(t, good, name, by) }
	const sheet = "xl/worksheets/sheet1.xml"
	spaces := func(n int) func(string) string {
		return func(xml string) string { return xml + strings.Repeat(" ", n) }
	}
	sheets := func(n int) func(string) string {
		return func(xml string) string {
			var list strings.Builder
			for i := range n {
				fmt.Fprintf(&list, `<sheet name="s%d" sheetId="%d" r:id="rId1"/>`, i, i+2)
			}
			return strings.Replace(xml, "</sheets>", list.String()+"</sheets>", 1)
		}
	}
	styles := func(xml string) string {
		return strings.Replace(xml, "</cellXfs>", strings.Repeat(`<xf numFmtId="9" applyNumberFormat="1"/>`, 3<<20/40)+"</cellXfs>", 1)
	}
	flipped := bytes.Clone(change(sheet, func(xml string) string { return xml }))
	at := bytes.Index(flipped, []byte(sheet)) + len(sheet) + 20 // inside the packed part
	flipped[at] ^= 1
	short := declareLess(t, change(sheet, spaces(maxPart)), sheet)

	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"list of sheets of 64 MiB": {change("xl/workbook.xml", spaces(maxPart)), "unpacks to more than can be read"},
		"sheet of 64 MiB":          {change(sheet, spaces(maxPart)), "unpacks to more than can be read"},
		"size that is not true":    {short, "a damaged workbook (" + sheet},
		"texts of 16 MiB":          {change("xl/sharedStrings.xml", spaces(maxTexts)), "unpacks to more than can be read"},
		"styles of 3 MB":           {change("xl/styles.xml", styles), "unpacks to more than can be read"},
		"flipped bit":              {flipped, "a damaged workbook (" + sheet},
		"5,000 parts":              {manyParts(t, good, 5000), "a zip archive of more than 2048 parts, expected fewer, or the sheet as CSV"},
		"5,000 sheets":             {change("xl/workbook.xml", sheets(5000)), "a workbook of 5001 sheets, expected at most 256"},
	} {
		t.Run(name, func(t *testing.T) {
			if len(c.data) > 2<<20 {
				t.Fatalf("%d bytes are no small file", len(c.data))
			}
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, err := ReadColumns(bytes.NewReader(c.data), "f.xlsx", allNumbers)
			runtime.ReadMemStats(&after)
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "f.xlsx: found a") {
				t.Errorf("%v, want %s", err, c.want)
			}
			if used := after.TotalAlloc - before.TotalAlloc; used > 25<<20 {
				t.Errorf("%d bytes of memory", used)
			}
		})
	}
	// What only comes near the limits is read.
	for _, fine := range [][]byte{change(sheet, spaces(1<<20)), manyParts(t, good, 1000)} {
		if _, err := ReadColumns(bytes.NewReader(fine), "f.xlsx", allNumbers); err != nil {
			t.Error(err)
		}
	}
}

// TestWorkbookFarCells reads a cell in the last column, and refuses rows upon
// rows of them.
func TestWorkbookFarCells(t *testing.T) {
	good := workbookBytes(t, sheetOf(t, []any{"x", "y"}, []any{1, 2}))
	far := func(rows int) []byte {
		var b strings.Builder
		for row := 3; row < 3+rows; row++ {
			fmt.Fprintf(&b, `<row r="%d"><c r="XFD%d"><v>1</v></c></row>`, row, row)
		}
		return rewritePart(t, good, "xl/worksheets/sheet1.xml", strings.NewReplacer("</sheetData>", b.String()+"</sheetData>").Replace)
	}
	_, err := ReadColumns(bytes.NewReader(far(1)), "f.xlsx", allNumbers)
	if want := `f.xlsx[Sheet1]:3:16384: found "1", expected no more than the 2 cells of the header`; err == nil || err.Error() != want {
		t.Errorf("%v", err)
	}
	_, err = ReadColumns(bytes.NewReader(far(1000)), "f.xlsx", allNumbers)
	var many Errors
	if !errors.As(err, &many) || !strings.Contains(many[len(many)-1].Error(), "a damaged worksheet (cells far to the right of an empty sheet)") {
		t.Errorf("%v", err)
	}
}

// declareLess makes the list of an archive say that a part is a thousand bytes
// long. Source: .ZIP file format, APPNOTE 6.3, 4.3.12 central directory header.
func declareLess(t *testing.T, archive []byte, name string) []byte {
	t.Helper()
	header := bytes.LastIndex(archive, []byte("PK\x01\x02"))
	for header >= 0 && !bytes.HasPrefix(archive[header+46:], []byte(name)) {
		header = bytes.LastIndex(archive[:header], []byte("PK\x01\x02"))
	}
	if header < 0 {
		t.Fatal("no part " + name)
	}
	out := bytes.Clone(archive)
	binary.LittleEndian.PutUint32(out[header+24:], 1000)
	return out
}

// manyParts adds empty parts to a workbook.
func manyParts(t *testing.T, in *bytes.Reader, n int) []byte {
	t.Helper()
	archive, err := zip.NewReader(in, in.Size())
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range archive.File {
		if err := w.Copy(f); err != nil {
			t.Fatal(err)
		}
	}
	for i := range n {
		if _, err := w.Create(fmt.Sprintf("xl/media/image%d.png", i)); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestWorkbookTruncated refuses a worksheet that ends before its end tag, also
// where the cut is between two rows, and keeps the rows before it.
func TestWorkbookTruncated(t *testing.T) {
	good := workbookBytes(t, sheetOf(t, []any{"x", "y"}, []any{1, 2}, []any{3, 4}))
	for _, end := range []string{"</row><row r=\"3\"", "</sheetData>", "</worksheet>"} {
		cut := rewritePart(t, good, "xl/worksheets/sheet1.xml", func(xml string) string {
			at := strings.Index(xml, end)
			if at < 0 {
				t.Fatalf("no %s in %s", end, xml)
			}
			return xml[:at+strings.Index(end, ">")+1-len("</worksheet>")*strings.Count(end, "worksheet")]
		})
		sheets, err := ReadColumns(bytes.NewReader(cut), "f.xlsx", allNumbers)
		if err == nil || !strings.Contains(err.Error(), "f.xlsx[Sheet1]") || !strings.Contains(err.Error(), "a damaged worksheet (it ends before its end tag)") {
			t.Errorf("%s: %v", end, err)
		}
		if len(sheets) != 1 || sheets[0].Rows < 1 {
			t.Errorf("%s: %v", end, sheets)
		}
	}
}

// TestWorkbookDamaged gives errors, and no panic, for worksheets that are cut
// or out of order.
func TestWorkbookDamaged(t *testing.T) {
	const name = "xl/worksheets/sheet1.xml"
	for _, change := range []func(string) string{
		func(xml string) string { return xml[:len(xml)/2] },
		func(xml string) string { return strings.ReplaceAll(xml, `r="2"`, `r="1"`) },
		func(xml string) string { return strings.ReplaceAll(xml, `r="B2"`, `r="A2"`) },
		func(xml string) string { return strings.ReplaceAll(xml, `r="B2"`, `r="?"`) },
		func(xml string) string { return strings.ReplaceAll(xml, `r="2"`, `r="x"`) },
	} {
		good := workbookBytes(t, sheetOf(t, []any{"x", "y"}, []any{1, 2}, []any{3, 4}))
		_, err := ReadColumns(bytes.NewReader(rewritePart(t, good, name, change)), "f.xlsx", allNumbers)
		var many Errors
		if !errors.As(err, &many) {
			t.Errorf("%v", err)
		}
	}
}

func styleOf(format string) excelize.Style { return excelize.Style{CustomNumFmt: &format} }

// TestWorkbookFlipped flips a bit of each byte of a workbook in turn: it is refused, or
// reads the same where the byte says nothing of its content.
func TestWorkbookFlipped(t *testing.T) {
	f := sheetOf(t, []any{"place", "lux"}, []any{"A1", 512.5}, []any{"A2", 498}, []any{"A3", 505})
	good, err := io.ReadAll(workbookBytes(t, f))
	if err != nil {
		t.Fatal(err)
	}
	wants := wantsOf(Text, Number)
	want, err := ReadColumns(bytes.NewReader(good), "f.xlsx", wants)
	if err != nil {
		t.Fatal(err)
	}
	refused := 0
	for i := 4; i < len(good); i++ { // before it is what makes it a workbook
		bad := bytes.Clone(good)
		bad[i] ^= 1 << (i % 8)
		got, err := ReadColumns(bytes.NewReader(bad), "f.xlsx", wants)
		if err != nil {
			refused++
			continue
		}
		if diff := cmp.Diff(want[0].Columns, got[0].Columns, compareSheets); diff != "" {
			t.Errorf("byte %d (want, got):\n%s", i, diff)
		}
	}
	if 2*refused < len(good) {
		t.Errorf("%d of %d refused", refused, len(good))
	}
}
