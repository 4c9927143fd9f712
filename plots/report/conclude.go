package report

import (
	"cmp"
	"path"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/answers"
)

// Part is one thing that was judged.
type Part struct {
	What    string            `json:"what"`
	Verdict string            `json:"verdict"`
	Text    photometry.Remark `json:"text"`
	// Inputs are the files that the verdict rests on, as they were read.
	Inputs []File `json:"inputs"`

	light bool     // of light that was read, not of what the figures rest on
	on    *Surface // whose light alone that is; nil for other things
}

// partFiles is the part of files that could not be used.
const partFiles = "files"

// conclude judges the whole and says what has to be heeded.
func (r *Report) conclude() {
	parts := r.lightParts()
	add := func(what, verdict string, said photometry.Remark, files ...string) {
		parts = append(parts, Part{What: what, Verdict: verdict, Text: said, Inputs: r.inputs(files...)})
	}
	if p := r.Plan; p != nil {
		switch {
		case p.Score != nil && !p.Score.Explained:
			add("plan", uncertainty.Unsure, photometry.Remarked("report.plan_unexplained"), r.lampsFile)
		case p.Score == nil && p.Surface != nil && len(r.Surfaces) == 0:
			add("plan", uncertainty.Unsure, photometry.Remarked("report.plan_predicted",
				"spread", photometry.Stop(p.Surface.Evenness.SpreadStops), "allowed", photometry.Stop(p.Surface.Limits.Stops)), r.lampsFile)
		}
	}
	for _, d := range r.Distances {
		if !d.Result.Settled {
			add(d.title(), uncertainty.Unsure, photometry.Remarked("report.series_unsettled"), d.File)
		}
	}
	for _, m := range r.Meters {
		if !m.Result.Settled {
			add(m.title(), uncertainty.Unsure, photometry.Remarked("report.meter_unsettled"), m.File)
		}
	}
	if n := len(r.Problems); n > 0 {
		add(partFiles, uncertainty.Unsure, photometry.Remarked("report.problems", "problems", n))
	}
	slices.SortStableFunc(parts, func(a, b Part) int { return -cmp.Compare(severity[a.Verdict], severity[b.Verdict]) })
	r.Verdict = Verdict{Parts: parts}
	r.Verdict.Text, r.Verdict.told = headline(parts)
	if len(parts) > 0 {
		r.Verdict.Overall = parts[0].Verdict
	}
	r.caution()
}

// lightParts are the marks, the screen and the surfaces, each with the day before.
func (r *Report) lightParts() (parts []Part) {
	add := func(what, verdict, text string, files ...string) {
		parts = append(parts, Part{what, verdict, photometry.Remark{Finding: photometry.Finding{Text: text}}, r.inputs(files...), true, nil})
	}
	if r.Ratios != nil && r.Ratios.Result.Verdict != "" {
		res := r.Ratios.Result
		m := res.Marks[max(0, slices.IndexFunc(res.Marks, func(m ratio.Mark) bool { return m.Verdict == res.Verdict }))]
		add(joined(m.Label, "ratios"), res.Verdict, answers.MarkVerdict(res, m), r.Ratios.File)
	}
	if r.Screen != nil && r.Screen.Verdict != "" {
		check, _ := answers.ScreenCheck(r.Screen)
		add("as the camera sees it", check.Verdict, check.Text, r.screenFile)
	}
	for i := range r.Surfaces {
		s := &r.Surfaces[i]
		add(s.Title, s.Result.Verdict.Overall, answers.SurfaceVerdict(s.Result), s.Files...)
		parts[len(parts)-1].on = s
		if b := s.Before; b != nil && b.Match != nil {
			add(s.Title+" against "+b.From, b.Match.Verdict.Overall, answers.MatchVerdict(b.Match), slices.Concat(s.Files, b.within)...)
			last := &parts[len(parts)-1]
			last.Inputs, last.on = append(last.Inputs, b.Inputs...), s
		}
	}
	return parts
}

// inputs are files of the folder by their names, and the set-up's own table, which
// counts for all.
func (r *Report) inputs(names ...string) []File {
	out := []File{}
	for _, f := range r.Files {
		if slices.Contains(names, f.Name) || len(names) > 0 && r.Setup != nil && f.Name == r.Setup.File {
			out = append(out, f)
		}
	}
	return out
}

// headline is the worst in one line, of the light where that is as bad as
// anything, and how much else is not well; and which of the parts that is. Parts have
// the worst first.
func headline(parts []Part) (said photometry.Remark, first int) {
	if len(parts) == 0 {
		return photometry.Remarked("report.nothing_judged"), -1
	}
	first = max(0, slices.IndexFunc(parts, func(p Part) bool { return p.light && p.Verdict == parts[0].Verdict }))
	others := 0
	for i, p := range parts {
		if i != first && p.Verdict != uncertainty.Pass {
			others++
		}
	}
	return photometry.Remarked("report.worst", "what", parts[first].What, "said", parts[first].Text.Finding, "unwell", others, "others", len(parts)-1), first
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
	missing := r.overhead()
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

// overhead cautions where lamps stand or places are read higher over the floor than a
// person reaches.
func (r *Report) overhead() []photometry.Finding {
	const reach = 2.0 // m
	floor := 0.0      // of the surface's lower edge, which is not lower than the floor
	if r.plan != nil && r.plan.views.FloorY != nil {
		floor = *r.plan.views.FloorY
	}
	lamps := []string{}
	for _, l := range r.lampRows {
		if l.StandHeight.Set && l.StandHeight.At > reach || l.Y.Set && l.Y.At-floor > reach {
			lamps = append(lamps, l.Name)
		}
	}
	places := slices.ContainsFunc(r.Surfaces, func(s Surface) bool {
		return s.Result.Survey.Placing == survey.InMeters && slices.ContainsFunc(s.Result.Survey.Y, func(y float64) bool { return y-floor > reach })
	})
	if len(lamps) == 0 && !places {
		return nil
	}
	return []photometry.Finding{photometry.Found("report.ladder", "over", photometry.Length(reach), "lamps", lamps, "all", len(lamps) > 2 && len(lamps) == len(r.lampRows), "places", places)}
}

// title is what a series is called.
func (d *Distance) title() string   { return titled(d.Result.Title, d.File) }
func (m *MeterCheck) title() string { return titled(m.Result.Title, m.File) }

func titled(title, file string) string {
	return cmp.Or(title, strings.TrimSuffix(file, path.Ext(file)))
}
