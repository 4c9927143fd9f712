package page

import (
	"bytes"
	"strings"

	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

// NewMarks is a table of lights at marks that the page is asked to begin.
type NewMarks struct {
	Title    string   `json:"title"`
	Date     string   `json:"date"`
	Marks    []string `json:"marks"`
	Lights   []string `json:"lights"` // roles, and sums of them
	Unit     string   `json:"unit"`   // lx, fc or f
	Color    bool     `json:"color"`
	Target   string   `json:"target"` // as in the note
	Receptor string   `json:"receptor"`
	ISO      string   `json:"iso"`
	Shutter  string   `json:"shutter"`
}

const mostMarks = 40

// check brings what is asked for into its usual form; the error says what was found and
// expected.
func (n *NewMarks) check() (notes []table.Note, err error) {
	n.Title = strings.Join(strings.Fields(n.Title), " ")
	if err := checkName(n.Title, longestTitle); err != nil {
		return nil, bad("Found the name “%s”, expected %s.", clip(n.Title), err)
	}
	var marks, lights []string
	for _, mark := range n.Marks {
		mark = strings.Join(strings.Fields(mark), " ")
		if err := checkName(mark, longestLamp); err != nil {
			return nil, bad("Found the mark “%s”, expected %s.", clip(mark), err)
		}
		if mark != "" && !contains(marks, mark) {
			marks = append(marks, mark)
		}
	}
	for _, light := range n.Lights {
		role, err := schema.ParseRole(light)
		if err != nil {
			return nil, bad("Found the light “%s”, expected a role: %s.", clip(light), schema.RoleNames())
		}
		if !contains(lights, string(role)) {
			lights = append(lights, string(role))
		}
	}
	if n.Marks, n.Lights = marks, lights; len(marks) == 0 || len(marks) > mostMarks || len(lights) == 0 {
		return nil, bad("Found %d marks and %d lights, expected 1 to %d marks and a light.", len(marks), len(lights), mostMarks)
	}
	return askedNotes(askedNote{schema.Title, n.Title}, askedNote{schema.Date, n.Date}, askedNote{schema.Target, n.Target},
		askedNote{schema.Receptor, n.Receptor}, askedNote{schema.ISO, n.ISO}, askedNote{schema.Shutter, n.Shutter})
}

// createMarks writes a new table of lights at marks into the folder and returns its name:
// ratio.csv, which every command finds, or where there is one another by its date.
func (st *store) createMarks(n NewMarks) (string, error) {
	notes, err := n.check()
	if err != nil {
		return "", err
	}
	header := map[string]string{"": "E (lx)", "lx": "E (lx)", "fc": "E (fc)", "f": "f"}[n.Unit]
	if header == "" {
		return "", bad("Found the unit “%s”, expected lx, fc or f.", clip(n.Unit))
	}
	var rows [][]string
	for _, mark := range n.Marks {
		for _, light := range n.Lights {
			rows = append(rows, []string{mark, light, "", "", answers.UsualAim(ratio.Role(light))})
		}
	}
	content := blankTable(notes, lightColumns(n.Color, "mark", "role", "time", header, "aim"), rows)
	return st.begin(content, "There is a table of these marks of this day already. Open it, or give another name.",
		"ratio.csv", fileName("ratio "+n.Date), fileName("ratio "+n.Title+" "+n.Date))
}

// isLights reports whether a table has a row a light: at marks, or of a dimmer.
func isLights(content []byte, name string) bool {
	return setup.IsRatios(bytes.NewReader(content), name) || setup.IsDimmers(bytes.NewReader(content), name)
}

// lightFiles are the tables of lights at marks, that of the commands first, then that of
// dimmers and of the luminances of a screen, where the page can fill it in.
func (st *store) lightFiles(f *setup.Folder) (marks, others []string) {
	if f.Dimmers != "" {
		others = append(others, f.Dimmers)
	}
	if l, err := st.open(f.Screen); err == nil && l.filling(func(*editor) error { return nil }) == nil {
		others = append(others, f.Screen)
	}
	return st.markFiles(f), others
}

// markFiles are the tables of lights at marks, that of the commands first.
func (st *store) markFiles(f *setup.Folder) (names []string) {
	if f.Ratio != "" {
		names = append(names, f.Ratio)
	}
	for _, name := range f.Others {
		if in, err := st.input(name); err == nil && setup.IsRatios(in.Reader, name) {
			names = append(names, name)
		}
	}
	return names
}
