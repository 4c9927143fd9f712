package answers

import (
	"slices"
	"strings"

	"evenfall/photometry"
)

// shortCautions are what has to be heeded by kinds of danger, in this order; a full
// page, the report and help safety say more.
var shortCautions = []struct {
	codes []string
	text  string
}{
	{[]string{"stands"}, "Stands: sandbags, bonds."},
	{[]string{"heat", "hot"}, "Hot: gloves, the maker's distance."},
	{[]string{"power"}, "Much power: a licensed electrician."},
	{[]string{"eyes", "glare", "heat", "hot", "limits_caution"}, "Nobody looks into a beam."},
	{[]string{"flash", "flicker", "flicker_caution"}, "Flashes and flicker can harm photosensitive people."},
	{[]string{"estimate"}, "Meter again."},
}

// cautions are what has to be heeded, in a line or two unless the page is full.
func (p *page) cautions(all []photometry.Finding) {
	if p.full || len(all) == 0 {
		p.findings("caution", all)
		return
	}
	var out []string
	for _, c := range shortCautions {
		if slices.ContainsFunc(all, func(f photometry.Finding) bool { return slices.Contains(c.codes, f.Code) }) {
			out = append(out, c.text)
		}
	}
	p.Line("caution", strings.Join(append(out, "Local codes, licensed people first."), " "))
}
