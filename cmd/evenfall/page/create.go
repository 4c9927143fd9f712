package page

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"

	"evenfall/cmd/evenfall/outfile"
	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
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

// notes checks what is asked for and puts it into the notes of a file.
func (n *NewSurvey) notes() (notes []table.Note, err error) {
	add := func(key, value string) { notes = append(notes, table.Note{Key: key, Value: value}) }
	n.Title = strings.Join(strings.Fields(n.Title), " ")
	switch {
	case n.Title == "":
		return nil, bad("Found no name, expected one such as “green cloth”.")
	case checkName(n.Title, longestTitle) != nil:
		return nil, bad("Found the name “%s”, expected %s.", clip(n.Title), checkName(n.Title, longestTitle))
	case !(n.WidthM > 0 && n.WidthM <= longestSide && n.HeightM > 0 && n.HeightM <= longestSide):
		return nil, bad("Found a surface of %g × %g m, expected a width and a height above zero.", n.WidthM, n.HeightM)
	case n.Columns < 1 || n.Rows < 1 || n.Columns > 702 || n.Rows > 702 || n.Columns*n.Rows < 2 || n.Columns*n.Rows > mostRows/2:
		return nil, bad("Found %d × %d places, expected at least 2 and at most %d.", n.Columns, n.Rows, mostRows/2)
	case n.Order != "" && n.Order != "snake" && n.Order != "nine":
		return nil, bad("Found the order “%s”, expected nine or snake.", clip(n.Order))
	case n.Repeatability < 0 || n.Repeatability > 50:
		return nil, bad("Found a repeatability of %g %%, expected 0 to 50.", n.Repeatability)
	case len(n.Lamps) > mostLamps:
		return nil, bad("Found %d lamps, expected at most %d.", len(n.Lamps), mostLamps)
	}
	add("surface", n.Title)
	if n.Kind != "" {
		kind, err := survey.KindNamed(n.Kind)
		if err != nil {
			return nil, bad("The kind of surface: %s.", err)
		}
		add("for", kind.Name)
	}
	if n.Tolerance = strings.TrimSpace(n.Tolerance); n.Tolerance != "" {
		if _, _, err := survey.ParseTolerance(n.Tolerance, nil); err != nil {
			return nil, bad("The tolerance: %s.", err)
		}
		add("tolerance", n.Tolerance)
	}
	if n.Repeatability > 0 {
		add("repeatability", plainNumber(n.Repeatability)+" %")
	}
	if a := n.Area; a != nil {
		if !(a[0] < a[2] && a[1] < a[3] && a[0] >= 0 && a[1] >= 0 && a[2] <= n.WidthM*1.001 && a[3] <= n.HeightM*1.001) {
			return nil, bad("Found the part in shot %g, %g to %g, %g m, expected one within the surface.", a[0], a[1], a[2], a[3])
		}
		add("area", plainNumber(a[0])+","+plainNumber(a[1])+","+plainNumber(a[2])+","+plainNumber(a[3]))
	}
	if n.ISO != 0 {
		if !(n.ISO > 0 && n.ISO <= 1e7) {
			return nil, bad("Found ISO %g, expected a speed such as 800.", n.ISO)
		}
		add("iso", plainNumber(n.ISO))
	}
	if n.Shutter = strings.TrimSpace(n.Shutter); n.Shutter != "" {
		if _, err := photometry.ParseShutter(n.Shutter, 0); err != nil {
			return nil, bad("The shutter: %s.", err)
		}
		add("shutter", n.Shutter)
	}
	if n.Reference = strings.TrimSpace(n.Reference); n.Reference != "" {
		column, row, ok := survey.ParseGridLabel(n.Reference)
		if !ok || column >= n.Columns || row >= n.Rows {
			return nil, bad("Found the reference “%s”, expected a place from A1 to %s.", clip(n.Reference), survey.GridLabel(n.Columns-1, n.Rows-1))
		}
		add("reference", survey.GridLabel(column, row))
	}
	return notes, n.checkLamps()
}

func (n *NewSurvey) checkLamps() error {
	var lamps []string
	for _, lamp := range n.Lamps {
		lamp = strings.Join(strings.Fields(lamp), " ")
		if lamp == "" || strings.EqualFold(lamp, "all") {
			continue
		}
		if err := checkName(lamp, longestLamp); err != nil {
			return bad("Found the lamp “%s”, expected %s.", clip(lamp), err)
		}
		if contains(lamps, lamp) {
			return bad("Found the lamp “%s” twice, expected each once.", clip(lamp))
		}
		lamps = append(lamps, lamp)
	}
	n.Lamps = lamps
	return nil
}

// plainNumber is a number to the millimeter, without needless zeros.
func plainNumber(v float64) string {
	return strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 3, 64), "0"), ".")
}

// create writes a new survey into the folder and returns its name.
func (st *store) create(n NewSurvey) (string, error) {
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
	// Surveys of one surface are told apart by their date, so it is to the minute.
	notes = append(notes, table.Note{Key: "date", Value: st.now().In(st.zone).Format("2006-01-02 15:04")})
	blank := survey.Blank{Columns: n.Columns, Rows: n.Rows, WidthM: n.WidthM, HeightM: n.HeightM, Edges: n.Edges, Unit: unit,
		Color: n.Color, Notes: notes, Once: true, Lamps: n.Lamps}
	if n.Order != "snake" {
		blank.Order = survey.WalkNineFirst(n.Columns, n.Rows)
	}
	err = outfile.CreateIn(st.root, name, func(w io.Writer) error { return blank.Write(w) })
	if errors.Is(err, fs.ErrExist) {
		return "", problem{409, "exists", "There is a file " + name + " already. Open it, or give another name."}
	}
	if err != nil {
		return "", fileProblem(name, err)
	}
	return name, nil
}
