package page

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/match"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
	"evenfall/plots/document"
	"evenfall/plots/report"
)

// morningName is what the readings of a morning are called among the trims.
const morningName = trimsFolder + "/morning "

// isMorning reports whether a file is of the lamps as they are found in the morning.
func isMorning(name string) bool { return strings.HasPrefix(name, morningName) }

// then is what comes after the readings of trims: the survey anew.
type then struct {
	Title string `json:"title"`
	Below string `json:"below"`
	Of    string `json:"of"` // the survey
}

// lampChecks are the readings by which the lamps of the reset sheet are checked, and the
// survey that they light.
func (st *store) lampChecks() ([]report.LampCheck, *report.Surface, error) {
	st.reports.mu.Lock()
	defer st.reports.mu.Unlock()
	read, err := st.reports.read(st)
	if err != nil {
		return nil, nil, inFiles(err, "no_lamps")
	}
	checks, of := read.LampChecks(document.Words{})
	if of == nil || len(checks) == 0 {
		return nil, nil, problem{404, "no_lamps", "The folder has no surface and lamps that were read alone, so that there is nothing to check them by."}
	}
	return checks, of, nil
}

// newMorning begins the readings of a day: each lamp of the reset sheet alone.
func (s *server) newMorning(struct{}) (string, error) {
	checks, of, err := s.store.lampChecks()
	if err != nil {
		return "", err
	}
	unit := map[photometry.Unit]string{photometry.FC: "E (fc)", photometry.FStop: "f"}[of.Result.Survey.UnitFor(photometry.NoUnit)]
	var rows [][]string
	for _, c := range checks {
		rows = append(rows, []string{table.AsText(c.Lamp), table.AsText(c.Place)})
	}
	date := s.store.now().In(s.store.zone).Format("2006-01-02")
	content := blankTable([]table.Note{{Key: "date", Value: date}}, lightColumns(true, "lamp", "label", "time", cmp.Or(unit, "E (lx)")), rows)
	return s.store.begin(content, "", morningName+date+".csv")
}

// morning fills in how each lamp is, and what comes next.
func (st *State) morning(store *store, l *live) {
	checks, of, err := store.lampChecks()
	if err != nil {
		st.WhyNoResult = sentence("", err)
		return
	}
	l.filling(func(b *editor) error { st.lampsFound(checks, of, b); return nil })
}

// lampsFound fills in how each lamp was found.
func (st *State) lampsFound(checks []report.LampCheck, of *report.Surface, b *editor) {
	s := of.Result.Survey
	st.Title, st.Quick, st.Lamps, st.Lights = "Morning reset", 0, []string{}, map[string]stateLight{}
	good, newest := 0, int64(0)
	for _, c := range checks {
		at := stateLight{How: "Only " + c.Lamp + " on. The sheet has " + sheetLevel(s, c.Level) + ".", Unit: st.Unit, Marks: []string{c.Place}}
		st.Lamps, st.Lights[c.Lamp] = append(st.Lamps, c.Lamp), at
		x := last(b.cells[keyOf(c.Place, c.Lamp)])
		if x == nil {
			continue
		}
		is := b.lampLight(x)
		found := match.CheckLamp(match.LampLight{Level: c.Level, CCTK: c.CCT, Duv: c.Duv}, is, of.Result.Noise.Stops, of.Result.Limits.Mired, of.Result.Limits.Duv)
		j := judgment{c.Lamp, map[string]string{"lamp.good": "GOOD", "lamp.trim": "TRIM"}[found.Key], c.Lamp + " " + sheetLevel(s, is.Level) + ". " + answers.Sentence(document.Words{}, found)}
		switch {
		case j.Word == "":
			j.Word = "CHECK"
			if c.Stands != "" {
				j.Text += " On file: " + c.Stands + "."
			}
		case j.Word == "GOOD":
			good++
		}
		if j.Word != "GOOD" && st.Do == nil {
			st.Do = &[2]string{j.Text, "Read " + c.Lamp + " again then."}
		}
		if x.UnixMilli > newest {
			newest = x.UnixMilli
			st.Judgments = slices.Insert(st.Judgments, 0, j)
			continue
		}
		st.Judgments = append(st.Judgments, j)
	}
	st.Columns, st.Rows = 0, 0 // its labels make no grid of their own
	for i, p := range st.Places {
		st.Places[i] = statePlace{Label: p.Label, Words: "at " + p.Label}
	}
	if st.Do == nil {
		st.Do = &[2]string{fmt.Sprintf("%d of %d lamps are as they were", good, len(checks)), ""}
	}
	st.Then = &then{"Then the nine", "the surface as it is this morning", of.Files[0]}
}

// sheetLevel is a level as the survey has them.
func sheetLevel(s *survey.Survey, l photometry.Level) string {
	return answers.AsRead(document.Words{}, s).Level(l)
}

// lampLight is the light that a row has.
func (b *editor) lampLight(x *row) match.LampLight {
	is := match.LampLight{Level: photometry.Level{Value: x.Level, Quantity: b.form.Quantity}}
	if cct, err := strconv.ParseFloat(b.get(x, "CCT"), 64); err == nil {
		is.CCTK = &cct
		if duv, err := strconv.ParseFloat(b.get(x, "Duv"), 64); err == nil {
			is.Duv = &duv
		}
	}
	return is
}
