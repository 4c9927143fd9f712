package page

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// newDials reads a table of lamps over their dimmers as one that can be filled in: each
// lamp is a light, and each setting a mark. A level that falls is no reason not to: that is
// what is typed anew.
func newDials(name string, content []byte, modified time.Time, zone *time.Location) (*editor, error) {
	typed, err := table.ReadTyped[setup.DimmerRow](bytes.NewReader(content), name, schema.Vocabulary(schema.DimmersFile))
	if err != nil {
		return nil, errWritten
	}
	b, err := ofLights(name, content, typed.Sheet, schema.DimmersFile, zone)
	if err != nil {
		return nil, err
	}
	b.dials = true
	levels := map[int]float64{} // by line
	if read, err := setup.ReadDimmers(bytes.NewReader(content), name); err == nil {
		b.form.Title = read.Input.Title
		b.form.Settings.Repeatability, b.form.Settings.Resolution, b.form.Settings.Meter = read.Input.Repeatability, read.Input.Resolution, read.Meter
		for _, r := range read.Input.Readings {
			levels[r.Line] = r.Level.Value
		}
	}
	var rows []lightRow
	for i, r := range typed.Rows {
		setting := strings.TrimSpace(typed.Cell(i, "dimmer").Text)
		if !isSetting(&setting) && r.Value.Dimmer == nil || r.Value.Lamp == "" {
			return nil, errWritten
		}
		rows = append(rows, newLightRow(r.Line, setting, r.Value.Lamp, "", r.Value.Lamp, levels))
	}
	return b, b.findLights(typed.Sheet, rows, modified)
}

// isSetting brings a setting of a dial into the form that the table has; false for what is
// none.
func isSetting(text *string) bool {
	percent, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(*text), "%")), 64)
	if err != nil || !(percent > 0 && percent <= 100) {
		return false
	}
	*text = strconv.FormatFloat(percent, 'g', 4, 64)
	return true
}

// addMark makes a mark known, or a setting of a dimmer.
func (b *editor) addMark(label string) {
	words := "at " + label
	if b.dials {
		words = "dimmer at " + label + " %"
	}
	b.addPlace(place{label: label, x: math.NaN(), y: math.NaN(), words: words})
}

// atDials adds what evenfall dimmer finds of the table, and what follows from it.
func (st *State) atDials(a *analysis) {
	read, err := setup.ReadDimmers(bytes.NewReader(a.content), a.name)
	var r *dimmer.Result
	if err == nil {
		r, err = dimmer.Analyze(read.Input, dimmer.Wanted{})
	}
	if err != nil {
		st.WhyNoResult = sentence(a.name, err)
		st.Do = &[2]string{"Read that setting again", st.WhyNoResult}
		st.Judgments = append(st.Judgments, judgment{Of: "dimmers", Word: saysFail, Text: st.WhyNoResult})
		return
	}
	answers.Describe(r)
	words := document.Words{Unit: map[string]photometry.Unit{"fc": photometry.FC}[st.Unit]}
	st.ResultWords = answers.Dimmer(r, "", words, false).Lines()
	st.Judgments = append(st.Judgments, judgment{Of: "dimmers", Text: answers.DimmerSummary(r)})
	st.Do = &[2]string{"The dials are known", "Every command that gives a setting uses them."}
	if unread, first := st.unreadLights(); unread > 0 {
		st.Do = &[2]string{fmt.Sprintf("Read on: %d to go", unread), first + " %"}
	}
}

// NewDials is a table of lamps over their dimmers that the page is asked to begin.
type NewDials struct {
	Date     string   `json:"date"`
	Lamps    []string `json:"lamps"`
	Settings []string `json:"settings"` // percent, in the order of the walk
	Unit     string   `json:"unit"`     // lx or fc
	Color    bool     `json:"color"`
}

// dialsName is where every command finds the table.
const dialsName = "dimmers.csv"

// createDials writes such a table into the folder and returns its name.
func (st *store) createDials(n NewDials) (string, error) {
	lamps, err := checkLamps(n.Lamps)
	if err != nil {
		return "", err
	}
	header := map[string]string{"": "E (lx)", "lx": "E (lx)", "fc": "E (fc)"}[n.Unit]
	switch {
	case header == "":
		return "", bad("Found the unit “%s”, expected lx or fc.", clip(n.Unit))
	case len(lamps) == 0 || len(lamps) > mostLamps || len(n.Settings) == 0 || len(n.Settings) > mostMarks:
		return "", bad("Found %d lamps and %d settings, expected 1 to %d lamps and 1 to %d settings.", len(lamps), len(n.Settings), mostLamps, mostMarks)
	}
	for i := range n.Settings {
		if !isSetting(&n.Settings[i]) {
			return "", bad("Found the setting “%s”, expected percent of the dial above 0, at most 100.", clip(n.Settings[i]))
		}
		if slices.Contains(n.Settings[:i], n.Settings[i]) {
			return "", bad("Found the setting %s %% twice, expected each once.", n.Settings[i])
		}
	}
	notes, err := askedNotes(askedNote{schema.Date, n.Date})
	if err != nil {
		return "", err
	}
	var rows [][]string
	for _, lamp := range lamps {
		for _, setting := range n.Settings {
			rows = append(rows, []string{table.AsText(lamp), setting})
		}
	}
	content := blankTable(notes, lightColumns(n.Color, "lamp", "dimmer (%)", "time", header, "flicker"), rows)
	return st.begin(content, "There is "+dialsName+" already. Open it, and add lamps there.", dialsName)
}

// screenName is where every command finds the luminances of a screen.
const screenName = "screen.csv"

// newScreen begins the luminances of a surface at the places of its survey, which has the
// light there.
func (s *server) newScreen(l *live, _ struct{}) (name string, err error) {
	err = l.filling(func(b *editor) error {
		content := b.luminances(s.store.now())
		if content == nil {
			return bad("Found a survey of something else, expected one of illuminance: its luminance is read beside that.")
		}
		name, err = s.store.begin(content, "", screenName)
		return err
	})
	return name, err
}

// luminances is a table with a row for the luminance at each place, nil where the survey is
// not of illuminance.
func (b *editor) luminances(date time.Time) func(io.Writer) error {
	f := b.form
	if b.lights != nil || f.Quantity != photometry.Illuminance {
		return nil
	}
	notes := []table.Note{{Key: "surface", Value: cmp.Or(f.Title, stem(b.name))}, {Key: "date", Value: date.In(b.zone).Format("2006-01-02 15:04")}}
	if f.WidthM > 0 && f.HeightM > 0 {
		notes = append(notes, table.Note{Key: "width", Value: plainNumbers(f.WidthM) + " m"}, table.Note{Key: "height", Value: plainNumbers(f.HeightM) + " m"})
	}
	if a := f.Area; a != nil {
		notes = append(notes, table.Note{Key: "area", Value: plainNumbers(a.X0, a.Y0, a.X1, a.Y1)})
	}
	var rows [][]string
	for _, p := range b.places {
		row := []string{table.AsText(p.label)}
		if p.placed() {
			row = append(row, plainNumbers(p.x), plainNumbers(p.y))
		}
		rows = append(rows, row)
	}
	return blankTable(notes, []string{"label", "x (m)", "y (m)", "time", "L (cd/m²)", "note"}, rows)
}
