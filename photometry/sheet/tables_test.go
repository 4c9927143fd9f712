package sheet_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry/setup"
	"evenfall/photometry/sheet"
	"evenfall/photometry/survey"
)

// expectedTable is what a sheet of testdata/tables is read as: readings as readTable
// writes them, what is left out (one of the texts between bars), a question or a part of
// an error.
type expectedTable struct {
	Table, About      string
	Reads             []string
	LeftOut           []string `json:"left_out"`
	Question, Refused string
}

// readTable reads a file as its command does, and writes what was read a line a reading:
// in SI units, to five digits.
func readTable(t *testing.T, what, name string, content io.Reader) (lines []string, as *sheet.ReadAs, err error) {
	t.Helper()
	in := survey.Input{Name: name, Reader: content}
	switch what {
	case "distance", "meter":
		return readSeries(in)
	case "lamp set":
		return readLampSet(in)
	case "ratio":
		return readRatio(in)
	case "lamps":
		return readLamps(in)
	case "gels":
		return readGels(in)
	case "cameras":
		return readCameras(in)
	}
	t.Fatalf("%s: no table is called %q", name, what)
	return nil, nil, nil
}

func readSeries(in survey.Input) (lines []string, as *sheet.ReadAs, err error) {
	s, err := survey.ReadSeries(in, survey.ReadOptions{})
	if err != nil {
		return nil, nil, err
	}
	for _, r := range s.Readings {
		line := ""
		for _, along := range []struct {
			name string
			v    float64
		}{{"d", r.DistanceM}, {"a", r.AngleDeg}, {"nd", r.Density}} {
			if !math.IsNaN(along.v) {
				line += fmt.Sprintf("%s=%.4g ", along.name, along.v)
			}
		}
		lines = append(lines, line+fmt.Sprintf("%.5g", r.Level))
	}
	return lines, s.ReadAs, nil
}

func readLampSet(in survey.Input) (lines []string, as *sheet.ReadAs, err error) {
	set, err := survey.ReadLampSet([]survey.LampInput{{Input: in}}, survey.ReadOptions{})
	if err != nil {
		return nil, nil, err
	}
	for _, m := range set.Maps {
		for i, level := range m.Level {
			if !math.IsNaN(level) {
				lines = append(lines, fmt.Sprintf("%s %s %.5g", m.Name, set.Surface.Name(i), level))
			}
		}
	}
	return lines, set.Surface.ReadAs, nil
}

func readRatio(in survey.Input) (lines []string, as *sheet.ReadAs, err error) {
	r, err := setup.RatioOptions{}.Read(in.Reader, in.Name)
	if err != nil {
		return nil, nil, err
	}
	for _, one := range r.Input.Readings {
		lines = append(lines, fmt.Sprintf("%s %s %.5g", one.Mark, one.Role, one.Level.Value))
	}
	return lines, r.ReadAs, nil
}

func readLamps(in survey.Input) (lines []string, as *sheet.ReadAs, err error) {
	l, err := setup.ReadLamps(in.Reader, in.Name)
	if err != nil {
		return nil, nil, err
	}
	for _, lamp := range l.Rows {
		line := lamp.Name + " " + string(lamp.Kind)
		for _, c := range setup.RangeColumns {
			if v := c.Of(&lamp); v.Set {
				line += fmt.Sprintf(" %s=%.4g", c.Name, v.Low)
			}
		}
		if lamp.CCT > 0 {
			line += fmt.Sprintf(" cct=%g", float64(lamp.CCT))
		}
		lines = append(lines, line)
	}
	return lines, l.ReadAs, nil
}

func readGels(in survey.Input) (lines []string, as *sheet.ReadAs, err error) {
	bag, err := setup.ReadGels(in.Reader, in.Name)
	if err != nil {
		return nil, nil, err
	}
	for _, g := range bag.Gels {
		line := fmt.Sprintf("%s mired=%.4g", g.Name, g.Mired)
		if g.Transmittance != nil {
			line += fmt.Sprintf(" t=%.4g", *g.Transmittance)
		}
		lines = append(lines, line)
	}
	return lines, bag.ReadAs, nil
}

func readCameras(in survey.Input) (lines []string, as *sheet.ReadAs, err error) {
	c, err := setup.ReadCameras(in.Reader, in.Name)
	if err != nil {
		return nil, nil, err
	}
	for _, o := range c.Offsets {
		lines = append(lines, fmt.Sprintf("%s n=%d mired=%.3g", o.Camera, o.Rows, o.Mired))
	}
	return lines, c.ReadAs, nil
}

// tableOutcome is how a sheet came out: "as expected", "asked" or "refused" where it could
// have been taken, "misread" otherwise.
func tableOutcome(t *testing.T, name string, want expectedTable) (result, detail string) {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", "tables", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, as, err := readTable(t, want.Table, name, file)
	var q *sheet.Question
	switch {
	case errors.As(err, &q):
		if want.Question == q.Code {
			return "as expected", q.Code
		}
		return "asked", q.Error()
	case err != nil:
		if want.Refused != "" && strings.Contains(err.Error(), want.Refused) {
			return "as expected", "refused"
		}
		return "refused", err.Error()
	case want.Question != "" || want.Refused != "":
		return "misread", fmt.Sprintf("taken as %q in place of %s%s", lines, want.Question, want.Refused)
	}
	expected := slices.Clone(want.Reads)
	if want.Table != "distance" && want.Table != "meter" {
		slices.Sort(lines)
		slices.Sort(expected)
	}
	if !slices.Equal(lines, expected) {
		return "misread", fmt.Sprintf("%q, expected %q", lines, expected)
	}
	left := ""
	if as != nil {
		left = strings.Join(as.LeftOut, "; ")
	}
	for _, texts := range want.LeftOut {
		if !slices.ContainsFunc(strings.Split(texts, "|"), func(text string) bool { return strings.Contains(left, text) }) {
			return "unnamed", fmt.Sprintf("left out %q, expected %q among them", left, texts)
		}
	}
	return "as expected", left
}

// TestTablesAsTyped prints how each sheet of testdata/tables came out.
func TestTablesAsTyped(t *testing.T) {
	content, err := os.ReadFile(filepath.Join("testdata", "tables", "expect.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]expectedTable
	if err := json.Unmarshal(content, &all); err != nil {
		t.Fatal(err)
	}
	var names []string
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	counts := map[string]int{}
	for _, name := range names {
		result, detail := tableOutcome(t, name, all[name])
		counts[result]++
		t.Logf("%-26s %-12s %s (%s)", name, result, detail, all[name].About)
		if result == "misread" {
			t.Errorf("%s (%s): misread: %s", name, all[name].About, detail)
		}
	}
	t.Logf("of %d: %v", len(names), counts)
	if share := float64(counts["as expected"]) / float64(len(names)); share < 0.95 {
		t.Errorf("%.0f %% as expected, want 95 %%", 100*share)
	}
}
