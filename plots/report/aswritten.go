package report

import (
	"fmt"
	"strings"

	"evenfall/photometry/setup"
)

// textColumns are the columns of a table of lamps that hold words.
var textColumns = []struct {
	name string
	of   func(*setup.Lamp) string
}{
	{"behind", func(l *setup.Lamp) string { return l.Behind }}, {"material", func(l *setup.Lamp) string { return l.Material }},
	{"file", func(l *setup.Lamp) string { return l.File }}, {"spot or flood", func(l *setup.Lamp) string { return l.SpotFlood }},
	{"scrims", func(l *setup.Lamp) string { return l.Scrims }}, {"diffusion", func(l *setup.Lamp) string { return l.Diffusion }},
	{"gel", func(l *setup.Lamp) string { return l.Gel }}, {"trim", func(l *setup.Lamp) string { return l.Trim }},
	{"E at", func(l *setup.Lamp) string { return l.EAt }}, {"note", func(l *setup.Lamp) string { return l.Note }},
}

// written are the filled cells of a row, by column and unit.
func written(l setup.Lamp) map[string]string {
	out := map[string]string{}
	for _, c := range setup.RangeColumns {
		key := c.Name
		if c.Unit != "" && !strings.Contains(key, "(") {
			key += " (" + c.Unit + ")"
		}
		if text, _ := c.Of(&l).MarshalCSV(); text != "" {
			out[key] = text
		}
	}
	for _, c := range textColumns {
		if text := c.of(&l); text != "" {
			out[c.name] = text
		}
	}
	if l.CCT != 0 {
		out["CCT (K)"] = fmt.Sprintf("%g", float64(l.CCT))
	}
	if l.Duv != nil {
		out["Duv"] = fmt.Sprintf("%g", *l.Duv)
	}
	if l.Power != nil {
		out["power (W)"] = fmt.Sprintf("%g", *l.Power)
	}
	return out
}
