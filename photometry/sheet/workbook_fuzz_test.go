package sheet_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// parts are those of a workbook that hold what people type; the others stay as a
// spreadsheet program wrote them.
var parts = []string{"xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/styles.xml"}

// FuzzWorkbook changes the parts of real workbooks: what is read of them is read twice
// alike, and can be judged.
func FuzzWorkbook(f *testing.F) {
	files, err := filepath.Glob("testdata/given/*.xlsx")
	if err != nil || len(files) == 0 {
		f.Fatal(err, files)
	}
	frame := entriesOf(f, files[0])
	for _, name := range files {
		all := entriesOf(f, name)
		f.Add(all[parts[0]], all[parts[1]], all[parts[2]])
		if second, ok := all["xl/worksheets/sheet2.xml"]; ok {
			f.Add(second, all[parts[1]], all[parts[2]])
		}
	}
	f.Fuzz(func(t *testing.T, sheet, shared, styles string) {
		book := zipped(t, frame, map[string]string{parts[0]: sheet, parts[1]: shared, parts[2]: styles})
		read := func() (*survey.Survey, error) {
			return survey.Read([]survey.Input{{Name: "book.xlsx", Reader: bytes.NewReader(book)}}, survey.ReadOptions{})
		}
		s, err := read()
		again, errAgain := read()
		if (err == nil) != (errAgain == nil) || err != nil && err.Error() != errAgain.Error() {
			t.Fatalf("read twice: %v and %v", err, errAgain)
		}
		if err != nil {
			return
		}
		if s.Len() != again.Len() || !slices.Equal(s.Label, again.Label) {
			t.Fatalf("%d places, and %d", s.Len(), again.Len())
		}
		if s.Len() > 500 {
			return
		}
		if r, err := evenness.Judge(s); err == nil {
			if _, err := json.Marshal(r); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// entriesOf are the texts of a workbook by their names.
func entriesOf(f *testing.F, name string) map[string]string {
	f.Helper()
	content, err := os.ReadFile(name)
	if err != nil {
		f.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		f.Fatal(err)
	}
	all := map[string]string{}
	for _, entry := range z.File {
		in, err := entry.Open()
		if err != nil {
			f.Fatal(err)
		}
		text, err := io.ReadAll(in)
		if err != nil {
			f.Fatal(err)
		}
		all[entry.Name] = string(text)
	}
	return all
}

// zipped is a workbook with some of its parts replaced.
func zipped(t *testing.T, frame, replaced map[string]string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range frame {
		if other, ok := replaced[name]; ok {
			text = other
		}
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, text); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
