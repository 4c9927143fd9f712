package answers

import (
	"fmt"

	"evenfall/plots/document"
)

// Selfcheck is what the published figures came to on this machine, for all
// faces.
type Selfcheck struct {
	Schema string  `json:"schema"`
	OK     bool    `json:"ok"`
	Checks []Check `json:"checks"`
}

// Check is one source: how many of its figures were computed and how far the
// worst one is off.
type Check struct {
	Source   string  `json:"source"`
	Quantity string  `json:"quantity"`
	Figures  int     `json:"figures"`
	Largest  float64 `json:"largest_deviation"`
	Allowed  float64 `json:"allowed_deviation"` // at that figure
	Unit     string  `json:"unit"`
	OK       bool    `json:"ok"`
}

// SelfcheckTable shows the checks, a line each.
func SelfcheckTable(s Selfcheck, w document.Words, full bool) *document.Document {
	p := newPage(w, full)
	rows := [][]string{{"source", "quantity", "figures", "largest off", "allowed", ""}}
	figures, off := 0, 0
	for _, c := range s.Checks {
		word := "ok"
		if !c.OK {
			word, off = "OFF", off+1
		}
		figures += c.Figures
		rows = append(rows, []string{c.Source, c.Quantity, fmt.Sprint(c.Figures), fmt.Sprintf("%.1e", c.Largest), fmt.Sprintf("%.1e", c.Allowed), word})
	}
	if s.OK {
		p.Add(document.Headline{Text: fmt.Sprintf("All %d published figures hold on this machine.", figures)})
	} else {
		p.Add(document.Headline{Text: fmt.Sprintf("%d of %d sources are off: do not rely on this machine's results.", off, len(s.Checks))})
	}
	p.Gap()
	p.Add(document.Table{Rows: rows, Text: []int{0, 1}})
	return p.Document
}
