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
	Source   string      `json:"source"`
	Quantity string      `json:"quantity"`
	Figures  int         `json:"figures"`
	Largest  float64     `json:"largest_deviation"`
	Allowed  float64     `json:"allowed_deviation"` // at that figure
	Unit     string      `json:"unit"`
	Basis    FigureBasis `json:"basis"`
	OK       bool        `json:"ok"`
}

// FigureBasis is what the figures of a source rest on.
type FigureBasis string

// The bases. Published are figures that somebody outside printed, or that follow from
// a definition that was; a table that the program computes with is compared with a
// second copy of it; common practice has no source.
const (
	Published      FigureBasis = "published"
	SecondCopy     FigureBasis = "second_copy"
	CommonPractice FigureBasis = "common_practice"
)

// SelfcheckTable shows the checks, a line each.
func SelfcheckTable(s Selfcheck, w document.Words, full bool) *document.Document {
	p := newPage(w, full)
	figures, off, bases := 0, 0, map[FigureBasis]int{}
	rows := document.Rows("source|quantity|figures|largest off|allowed|", s.Checks, func(c Check) []string {
		if !c.OK {
			off++
		}
		figures += c.Figures
		bases[c.Basis] += c.Figures
		return []string{c.Source, c.Quantity, fmt.Sprint(c.Figures), fmt.Sprintf("%.1e", c.Largest), fmt.Sprintf("%.1e", c.Allowed), either(c.OK, "ok", "OFF")}
	})
	p.headline("", "", either(s.OK, fmt.Sprintf("All %d figures hold on this machine.", figures), fmt.Sprintf("%d of %d sources are off: do not rely on this machine's results.", off, len(s.Checks))))
	p.Line("published", fmt.Sprintf("%d, in a standard, handbook or data set, or worked out from one", bases[Published]))
	p.Line("copied", fmt.Sprintf("%d of a table of this program, compared with a second copy of it", bases[SecondCopy]))
	p.Line("practice", fmt.Sprintf("%d of common practice, which have no source", bases[CommonPractice]))
	p.Gap()
	p.Add(document.Table{Rows: rows, Text: []int{0, 1}})
	return p.Document
}
