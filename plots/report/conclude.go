package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/answers"
)

// Part is one thing that was judged.
type Part struct {
	What    string `json:"what"`
	Verdict string `json:"verdict"`
	Text    string `json:"text"`

	light bool // of light that was read, not of what the figures rest on
}

// conclude judges the whole and says what has to be heeded.
func (r *Report) conclude() {
	parts := r.Verdict.Parts
	if r.Ratios != nil {
		if p, ok := r.Ratios.part(); ok {
			parts = append(parts, p)
		}
	}
	for i := range r.Surfaces {
		s := &r.Surfaces[i]
		parts = append(parts, Part{s.Title, s.Result.Verdict.Overall, answers.SurfaceVerdict(s.Result), true})
		if b := s.Before; b != nil && b.Match != nil {
			parts = append(parts, Part{s.Title + " against " + b.From, b.Match.Verdict.Overall, answers.MatchVerdict(b.Match), true})
		}
	}
	if p := r.Plan; p != nil {
		switch {
		case p.Score != nil && !p.Score.Explained:
			parts = append(parts, Part{"plan", uncertainty.Unsure, "the plan does not explain the readings: what stands is not what the table says", false})
		case p.Score == nil && p.Surface != nil && len(r.Surfaces) == 0:
			parts = append(parts, Part{"plan", p.Surface.Verdict.Overall, fmt.Sprintf("predicted: spread %.2f stop, %.2f allowed; no readings yet", p.Surface.Evenness.SpreadStops, p.Surface.Limits.Stops), false})
		}
	}
	for _, d := range r.Distances {
		if !d.Result.Settled {
			parts = append(parts, Part{d.title(), uncertainty.Unsure, "the readings do not settle how the light falls off", false})
		}
	}
	for _, m := range r.Meters {
		if !m.Result.Settled {
			parts = append(parts, Part{m.title(), uncertainty.Unsure, "the readings do not settle how good the meter is", false})
		}
	}
	if n := len(r.Problems); n > 0 {
		parts = append(parts, Part{"files", uncertainty.Unsure, fmt.Sprintf("%d problem%s with files, told below", n, plural(n)), false})
	}
	slices.SortStableFunc(parts, func(a, b Part) int { return -cmp.Compare(severity[a.Verdict], severity[b.Verdict]) })
	r.Verdict = Verdict{Parts: parts, Text: headline(parts)}
	for _, p := range parts {
		r.Verdict.Overall = worst(r.Verdict.Overall, p.Verdict)
	}
	r.caution()
}

// headline is the worst in one line, of the light where that is as bad as
// anything, and how much else is not well. Parts stand with the worst first.
func headline(parts []Part) string {
	if len(parts) == 0 {
		return "Nothing was judged: there are no readings of a surface."
	}
	first := max(0, slices.IndexFunc(parts, func(p Part) bool { return p.light && p.Verdict == parts[0].Verdict }))
	text := parts[first].What + ": " + parts[first].Text
	others := 0
	for i, p := range parts {
		if i != first && p.Verdict != uncertainty.Pass {
			others++
		}
	}
	switch {
	case others > 0:
		text += fmt.Sprintf("; %d more below", others)
	case len(parts) == 2:
		text += "; the other is well"
	case len(parts) > 2:
		text += fmt.Sprintf("; the other %d are well", len(parts)-1)
	}
	return text
}

// generalCautions are what has to be heeded wherever lamps stand, where a plan
// does not say it of its own lamps.
var generalCautions = []photometry.Finding{
	photometry.Found("report.stands"), photometry.Found("report.heat"), photometry.Found("report.power"), photometry.Found("report.eyes"),
}

func (r *Report) caution() {
	add := func(all []photometry.Finding) {
		for _, f := range all {
			if !slices.ContainsFunc(r.Cautions, f.Same) {
				r.Cautions = append(r.Cautions, f)
			}
		}
	}
	if r.Ratios != nil {
		add(r.Ratios.Result.Cautions)
	}
	for _, s := range r.Surfaces {
		if s.Before != nil && s.Before.Match != nil {
			add(s.Before.Match.Cautions)
		}
	}
	if r.Plan != nil {
		add(r.Plan.Cautions)
	}
	var missing []photometry.Finding
	for _, general := range generalCautions {
		if !slices.ContainsFunc(r.Cautions, func(f photometry.Finding) bool { return f.Code == general.Code }) {
			missing = append(missing, general)
		}
	}
	// The last of a plan's is that it is an estimate.
	at := len(r.Cautions)
	if at > 0 && r.Cautions[at-1].Code == "estimate" {
		at--
	}
	r.Cautions = slices.Insert(r.Cautions, at, missing...)
}

// title is what a series is called.
func (d *Distance) title() string   { return titled(d.Result.Title, d.File) }
func (m *MeterCheck) title() string { return titled(m.Result.Title, m.File) }

func titled(title, file string) string {
	if title != "" {
		return title
	}
	return strings.TrimSuffix(file, ending(file))
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}
