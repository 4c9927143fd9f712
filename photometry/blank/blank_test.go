package blank_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/blank"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
)

// A blank sheet in the order of the quick nine, with lamps and edges, can be read
// as a form and, once it is filled in, as a survey.
func TestBlankForPage(t *testing.T) {
	var b bytes.Buffer
	sheet := blank.Sheet{Columns: 4, Rows: 3, WidthM: 3, HeightM: 2, Edges: true, Unit: photometry.FStop, Order: spatial.WalkNineFirst(4, 3), Once: true, Lamps: []string{"key, left"},
		Notes: []table.Note{{Key: "surface", Value: "cloth, day 2"}}}
	if err := sheet.Write(&b); err != nil {
		t.Fatal(err)
	}
	f, err := survey.ReadForm(survey.Input{Name: "cloth.csv", Reader: strings.NewReader(b.String())})
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Rows) != 12+9 || f.Rows[0].X != 0 || f.Rows[0].Y != 2 || f.Rows[20].Lamp != "key, left" || f.Title != "cloth, day 2" || !f.Settings.Edges || f.GridColumns != 4 {
		t.Errorf("%+v\n%s", f, b.String())
	}
	filled := strings.Replace(b.String(), "A1,0.000,2.000,,,", "A1,0.000,2.000,,8,", 1)
	filled = strings.Replace(filled, "A2,1.000,2.000,,,", "A2,1.000,2.000,,5.6,", 1)
	s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(filled)}}, survey.ReadOptions{})
	if err != nil || s.Len() != 2 || s.Reference != -1 {
		t.Fatalf("%+v %v", s, err)
	}
	// The reference that nobody has read yet is a warning, another name an error.
	if len(s.Warnings) == 0 || s.Warnings[0].Code != "reference_unread" {
		t.Errorf("warnings %+v", s.Warnings)
	}
	if _, err := evenness.Analyze(s); err != nil {
		t.Error(err)
	}
	wrong := strings.Replace(filled, "# reference: B3", "# reference: Q7", 1)
	if _, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(wrong)}}, survey.ReadOptions{}); err == nil || !strings.Contains(err.Error(), `found "Q7"`) {
		t.Errorf("a reference that is no place: %v", err)
	}
}

// TestBlankWorkbook: a blank sheet as a workbook has the places of the one in CSV.
func TestBlankWorkbook(t *testing.T) {
	b := blank.Sheet{Columns: 3, Rows: 2, WidthM: 3, HeightM: 2, Unit: photometry.LX}
	var book, text bytes.Buffer
	if err := errors.Join(b.WriteWorkbook(&book), b.Write(&text)); err != nil {
		t.Fatal(err)
	}
	read := func(content *bytes.Buffer, name string) *table.Sheet {
		sheets, err := table.ReadColumns(content, name, func(_ []table.Note, header []table.Cell) ([]table.Want, error) {
			wants := make([]table.Want, len(header))
			wants[0], wants[1], wants[2] = table.Text, table.Number, table.Number
			return wants, nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return sheets[0]
	}
	got, want := read(&book, "b.xlsx"), read(&text, "b.csv")
	if got.Rows != want.Rows || len(got.Notes) != len(want.Notes) || got.Rows < 6 {
		t.Fatalf("%d rows and %d notes, want %d and %d", got.Rows, len(got.Notes), want.Rows, len(want.Notes))
	}
	for i := range got.Rows {
		for j := range 3 {
			if a, b := got.Cell(i, j).Text, want.Cell(i, j).Text; a != b {
				t.Errorf("row %d, column %d: %q, want %q", i, j, a, b)
			}
		}
	}
}
