package sheet_test

import (
	"errors"
	"strings"
	"testing"

	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
)

// Who took the readings, and where, are notes in any of the languages, with a colon; a word
// that also heads a column of places is none without.
func TestTakenAbove(t *testing.T) {
	for above, want := range map[string][3]string{
		"Cloth\nOperator:;Ann\nLocation:;Stage 2\n":  {"Ann", "Stage 2", "Cloth"},
		"Cloth\nOperatore: Ann\nLocatie: Stage 2\n":  {"Ann", "Stage 2", "Cloth"},
		"Cloth\nOpérateur;Ann\nLocation;Stage 2\n\n": {"Ann", "", "Cloth;Location, Stage 2"},
	} {
		tables, err := sheet.Read(strings.NewReader(above+"Place;Lux\na1;900\na2;820\na3;888\na4;870\n"), "cloth.csv", nil)
		if err != nil || len(tables) != 1 {
			t.Fatalf("%s\n%v, %d tables", above, err, len(tables))
		}
		got := tables[0]
		who, where := schema.Text(schema.SurveyFile, got.Notes, schema.Operator), schema.Text(schema.SurveyFile, got.Notes, schema.Location)
		if left := strings.Join(got.LeftOut, ";"); got.Rows != 4 || [3]string{who, where, left} != want {
			t.Errorf("%s: %d rows by %q at %q, left out %q", above, got.Rows, who, where, left)
		}
	}
}

// The one day in a column of dates is the date of the table, where no note says another; of
// several days, one without its year and one that a row lacks, the column is left out by name.
func TestDayOfColumn(t *testing.T) {
	rows := func(days ...string) string {
		text := "Date;Place;Lux\n"
		for i, day := range days {
			text += day + ";a" + string(rune('1'+i)) + ";9" + string(rune('1'+i)) + "0\n"
		}
		return text
	}
	for text, want := range map[string][2]string{
		rows("2026-03-14", "2026-03-14", "2026-03-14"):                        {"2026-03-14", ""},
		rows("14.3.2026 10:02", "", "14.3.2026 10:04"):                        {"14.3.2026", ""},
		rows("2026-03-14", "2026-03-14", "2026-03-15"):                        {"", "Date"},
		rows("14.3.26", "14.3.26", "14.3.26"):                                 {"", "Date"},
		rows("", "2026-03-14", "2026-03-14"):                                  {"", "Date"},
		"Date: 2026-03-13\n" + rows("2026-03-14", "2026-03-14", "2026-03-14"): {"2026-03-13", "Date"},
	} {
		tables, err := sheet.Read(strings.NewReader(text), "cloth.csv", nil)
		if err != nil || len(tables) != 1 {
			t.Fatalf("%s\n%v, %d tables", text, err, len(tables))
		}
		day, left := schema.Text(schema.SurveyFile, tables[0].Notes, schema.Date), strings.Join(tables[0].LeftOut, ";")
		if [2]string{day, left} != want {
			t.Errorf("%s: the date is %q, left out %q, want %q", text, day, left, want)
		}
	}
}

// A date and the camera's settings typed above a table are its notes, however they are put
// into cells; what is no note is left out by name.
func TestNotesAbove(t *testing.T) {
	const body = "No;Place;E (lx);x (m);y (m)\n1;a1;900;0;0\n2;a2;820;1;0\n3;a3;888;0;1\n4;a4;870;1;1\n"
	for _, above := range []string{
		"Gray cloth\nDate;12 Nov 2026\nISO;400\nShutter;1/48\n\n",
		"Gray cloth\nDate: 12 Nov 2026\nISO: 400\nShutter: 1/48\n",
		"Gray cloth\nDatum;12 Nov 2026;;;\nISO 400;;;;\nShutter 1/48;;;;\n\n\n",
		"Gray cloth\nDate:;12 Nov 2026\nISO;400;Shutter;1/48\n\n",
		"Gray cloth\nISO;400\nShutter;1/48\nDate;12 Nov 2026\nPlace;Lux\na1;900\na2;820\na3;888\na4;870\n",
	} {
		if !strings.Contains(above, "Lux") {
			above += body
		}
		tables, err := sheet.Read(strings.NewReader(above), "cloth.csv", nil)
		if err != nil || len(tables) != 1 {
			t.Fatalf("%s\n%v, %d tables", above, err, len(tables))
		}
		got := tables[0]
		for note, want := range map[schema.Declared]string{schema.Date: "12 Nov 2026", schema.ISO: "400", schema.Shutter: "1/48"} {
			if text := schema.Text(schema.SurveyFile, got.Notes, note); text != want {
				t.Errorf("%s: %s is %q, want %q", above, note.Declaration().Name, text, want)
			}
		}
		if got.Rows != 4 || strings.Join(got.LeftOut, ";") != "Gray cloth" {
			t.Errorf("%s: %d rows, left out %q", above, got.Rows, got.LeftOut)
		}
	}
}

// A text alone in the first row heads the survey, but for one that only names the levels;
// a note that is the title goes before it.
func TestTitleAbove(t *testing.T) {
	rows := "\n;left;right\ntop;612;630\nbottom;601;645\n"
	for first, want := range map[string]string{
		"Green cloth, stage B": "Green cloth, stage B", "Levels in lux": "", "Surface;Cyc": "Cyc",
		"The levels below were read after the show, when the lamps had cooled": "",
	} {
		tables, err := sheet.Read(strings.NewReader(first+"\n"+rows), "x.csv", nil)
		if err != nil {
			t.Fatal(first, err)
		}
		if got := schema.Text(schema.SurveyFile, tables[0].Notes, schema.Title); got != want {
			t.Errorf("%s: title %q, want %q", first, got, want)
		}
	}
}

// Readings that are all to be left out are asked about: there is no table without one.
func TestLeaveOutAll(t *testing.T) {
	for _, leave := range []string{"A1; A2", "line 4; A1", "A1;nobody"} {
		_, err := sheet.Read(strings.NewReader("# leave out: "+leave+"\nspot,lux\nA1,742\nA2,765\n"), "x.csv", nil)
		var q *sheet.Question
		if !errors.As(err, &q) || q.Code != "leave out" {
			t.Errorf("%s: %v", leave, err)
		}
	}
}

// The decimal sign of a sheet that has none may be said all the same.
func TestDecimalOfWholeNumbers(t *testing.T) {
	for _, sign := range []string{"point", "comma"} {
		tables, err := sheet.Read(strings.NewReader("# decimal: "+sign+"\nGreen cloth\n\nspot;lux\nA1;742\nA2;765\n"), "x.csv", nil)
		if err != nil || len(tables) != 1 || tables[0].Rows != 2 {
			t.Errorf("%s: %v, %v", sign, tables, err)
		}
	}
}
