package page

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"evenfall/photometry"
	"evenfall/photometry/blank"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
	"evenfall/photometry/tolerance"
)

// NewSurvey is a survey that the page is asked to begin.
type NewSurvey struct {
	Title         string      `json:"title"`
	Name          string      `json:"name"` // of the file; made of the title where empty
	Kind          string      `json:"kind"`
	WidthM        float64     `json:"width_m"`
	HeightM       float64     `json:"height_m"`
	Columns       int         `json:"columns"`
	Rows          int         `json:"rows"`
	Edges         bool        `json:"edges"`
	Unit          string      `json:"unit"`      // lx, fc or f
	Tolerance     string      `json:"tolerance"` // as in the note, "" for the kind's
	Color         bool        `json:"color"`
	Repeatability float64     `json:"repeatability_percent"` // 0 for not known
	Area          *[4]float64 `json:"area"`                  // x0, y0, x1, y1 in meters
	Reference     string      `json:"reference"`             // a label; the middle where empty
	ISO           float64     `json:"iso"`
	Shutter       string      `json:"shutter"`
	Lamps         []string    `json:"lamps"`
	Feet          bool        `json:"feet"`  // the file's lengths in feet
	Date          string      `json:"date"`  // 2026-03-04; today where empty
	Order         string      `json:"order"` // nine (the quick nine first) or snake
}

const (
	mostLamps    = 12
	longestTitle = 80
	longestSide  = 1000 // m
)

func bad(text string, args ...any) error {
	return problem{400, "bad_survey", fmt.Sprintf(text, args...)}
}

// check brings what is asked for into its usual form; the error says what was found
// and expected.
func (n *NewSurvey) check() error {
	n.Title = strings.Join(strings.Fields(n.Title), " ")
	switch a := n.Area; {
	case n.Title == "":
		return bad("Found no name, expected one such as “green cloth”.")
	case checkName(n.Title, longestTitle) != nil:
		return bad("Found the name “%s”, expected %s.", clip(n.Title), checkName(n.Title, longestTitle))
	case !(n.WidthM > 0 && n.WidthM <= longestSide && n.HeightM > 0 && n.HeightM <= longestSide):
		return bad("Found a surface of %g × %g m, expected a width and a height above zero.", n.WidthM, n.HeightM)
	case n.Columns < 1 || n.Rows < 1 || n.Columns > 702 || n.Rows > 702 || n.Columns*n.Rows < 2 || n.Columns*n.Rows > mostRows/2:
		return bad("Found %d × %d places, expected at least 2 and at most %d.", n.Columns, n.Rows, mostRows/2)
	case n.Order != "" && n.Order != "snake" && n.Order != "nine":
		return bad("Found the order “%s”, expected nine or snake.", clip(n.Order))
	case n.Repeatability < 0 || n.Repeatability > 50:
		return bad("Found a repeatability of %g %%, expected 0 to 50.", n.Repeatability)
	case a != nil && !(a[0] < a[2] && a[1] < a[3] && a[0] >= 0 && a[1] >= 0 && a[2] <= n.WidthM*1.001 && a[3] <= n.HeightM*1.001):
		return bad("Found the part in shot %g, %g to %g, %g m, expected one within the surface.", a[0], a[1], a[2], a[3])
	}
	if n.Date = strings.TrimSpace(n.Date); n.Date != "" {
		if _, err := time.Parse(time.DateOnly, n.Date); err != nil {
			return bad("Found the date “%s”, expected one such as 2026-03-04.", clip(n.Date))
		}
	}
	kind, err := tolerance.Named(n.Kind)
	if err != nil {
		return bad("The kind of surface: %s.", err)
	}
	n.Kind = kind.Name
	if n.Reference = strings.TrimSpace(n.Reference); n.Reference != "" {
		column, row, ok := spatial.ParseGridLabel(n.Reference)
		if !ok || column >= n.Columns || row >= n.Rows {
			return bad("Found the reference “%s”, expected a place from A1 to %s.", clip(n.Reference), spatial.GridLabel(n.Columns-1, n.Rows-1))
		}
		n.Reference = spatial.GridLabel(column, row)
	}
	n.Lamps, err = checkLamps(n.Lamps)
	return err
}

// notes are those of the file.
func (n *NewSurvey) notes() (notes []table.Note, err error) {
	given := func(v float64, unit string) string {
		if v == 0 {
			return ""
		}
		return plainNumbers(v) + unit
	}
	area := ""
	if n.Area != nil {
		sides := *n.Area
		for i := range sides {
			if n.Feet { // a file in feet has all plain lengths in feet
				sides[i] /= 0.3048
			}
		}
		area = plainNumbers(sides[:]...)
	}
	return askedNotes(askedNote{schema.Title, n.Title}, askedNote{schema.For, n.Kind}, askedNote{schema.Tolerant, n.Tolerance},
		askedNote{schema.Repeatability, given(n.Repeatability, " %")}, askedNote{schema.Area, area}, askedNote{schema.ISO, given(n.ISO, "")},
		askedNote{schema.Shutter, n.Shutter}, askedNote{schema.ReferenceAt, n.Reference})
}

// checkLamps brings the names of lamps into their usual form, without those of none.
func checkLamps(names []string) (lamps []string, err error) {
	for _, lamp := range names {
		lamp = strings.Join(strings.Fields(lamp), " ")
		if lamp == "" || strings.EqualFold(lamp, "all") {
			continue
		}
		if err := checkName(lamp, longestLamp); err != nil {
			return nil, bad("Found the lamp “%s”, expected %s.", clip(lamp), err)
		}
		if contains(lamps, lamp) {
			return nil, bad("Found the lamp “%s” twice, expected each once.", clip(lamp))
		}
		lamps = append(lamps, lamp)
	}
	return lamps, nil
}

// plainNumbers are numbers to the millimeter, without needless zeros.
func plainNumbers(values ...float64) string {
	texts := make([]string, len(values))
	for i, v := range values {
		texts[i] = strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 3, 64), "0"), ".")
	}
	return strings.Join(texts, ",")
}

// create writes a new survey into the folder and returns its name.
func (st *store) create(n NewSurvey) (string, error) {
	if err := n.check(); err != nil {
		return "", err
	}
	notes, err := n.notes()
	if err != nil {
		return "", err
	}
	unit, ok := map[string]photometry.Unit{"": photometry.LX, "lx": photometry.LX, "fc": photometry.FC, "f": photometry.FStop}[n.Unit]
	if !ok {
		return "", bad("Found the unit “%s”, expected lx, fc or f.", clip(n.Unit))
	}
	name := fileName(n.Title)
	if n.Name = strings.TrimSpace(n.Name); n.Name != "" {
		name = n.Name
		if !strings.HasSuffix(strings.ToLower(name), ".csv") {
			name += ".csv"
		}
		if err := checkFile(name); err != nil {
			return "", bad("Found the file name “%s”, expected %s.", clip(n.Name), err)
		}
	}
	// Surveys of one surface are distinguished by their date, so today's includes the minute.
	date := st.now().In(st.zone).Format("2006-01-02 15:04")
	if !strings.HasPrefix(date, n.Date) {
		date = n.Date
	}
	notes = append(notes, table.Note{Key: "date", Value: date})
	sheet := blank.Sheet{Columns: n.Columns, Rows: n.Rows, WidthM: n.WidthM, HeightM: n.HeightM, Edges: n.Edges, Unit: unit, Feet: n.Feet,
		Color: n.Color, Notes: notes, Once: true, Lamps: n.Lamps}
	if n.Order != "snake" {
		sheet.Order = spatial.WalkNineFirst(n.Columns, n.Rows)
	}
	return st.begin(sheet.Write, "There is a file "+name+" already. Open it, or give another name.", name)
}
