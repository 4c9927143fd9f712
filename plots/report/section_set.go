package report

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"evenfall/photometry"
	"evenfall/plots"
	"evenfall/plots/answers"
)

// exposureSection tells what the camera is set to.
func (r *Report) exposureSection(s *section) {
	e := r.Exposure
	if e == nil {
		return
	}
	var f facts
	f.add("Camera", told(e.ISO, e.ShutterS))
	if e.LossStops > 0 {
		f.add("Filters take", photometry.FormatStops(e.LossStops))
	}
	if e.SetFNumber != nil {
		f.add("Lens", r.Setup.TStop+", as the set-up says")
	}
	f.add("From", strings.Join(e.From, "; "))
	t := &grid{Caption: "What would expose each area as a mid gray", Header: []string{"Area", "Level", "Stop", "Against the lens"}, Right: []bool{false, true, true, true}}
	var constants []string
	for _, a := range e.Areas {
		over := ""
		if a.OverStops != nil {
			over = stops(*a.OverStops)
		}
		t.Rows = append(t.Rows, []cell{one(a.Name), one(shown(a.Level, a.quantity, a.in)), one(fNumber(a.FNumber)), one(over)})
		name := "C"
		if a.quantity == photometry.Luminance {
			name = "K"
		}
		if text := name + " = " + plain(a.Constant); !slices.Contains(constants, text) {
			constants = append(constants, text)
		}
	}
	f.add("Calibration", and(constants)+" (ISO 2720)")
	s.facts(f)
	s.table(t.drop())
}

// shown prints a level for people in a unit.
func shown(v float64, q photometry.Quantity, in photometry.Unit) string {
	return photometry.FormatLevel(photometry.Level{Value: v, Quantity: q}, in)
}

// lampSection is all that it takes to put the lamps back.
func (r *Report) lampSection(s *section) {
	if len(r.Lamps) == 0 {
		return
	}
	text := "Places count from the lower left corner of the surface: x to camera right, y up, z toward the camera. Pan 0 and tilt 0 look straight at the surface; pan turns toward camera right, tilt up."
	if r.plan != nil && r.plan.views.FloorY != nil {
		text += fmt.Sprintf(" The floor is at y %s.", r.options.length(*r.plan.views.FloorY))
	}
	s.text("%s", text)
	t := &grid{Caption: "Lamps and what stands before them (" + r.lampsFile + ")", Stacked: true, Header: []string{"Lamp", "Stands at", "Aims", "Head", "Set to", "In front", "Color", "Note"}}
	for i, l := range r.Lamps {
		p := r.lampParts(i)
		t.Rows = append(t.Rows, []cell{{l.Name + " (" + l.Kind + ")"}, p.stands, p.aims, p.head, p.set, p.front, p.color, p.note})
	}
	s.table(t.drop())
}

// planSection draws where everything stands, and tells how well the plan explains
// the readings.
func (r *Report) planSection(s *section) {
	if r.plan == nil {
		return
	}
	for _, view := range []plots.SetView{plots.FromAbove, plots.FromTheSide} {
		s.draw(plots.Set(r.plan.scene, view, r.plan.views), nil, "")
	}
	var f facts
	if score := r.Plan.Score; score != nil {
		word := "explained"
		if !score.Explained {
			word = "not explained"
		}
		f.add("Held to the readings", fmt.Sprintf("%s: the plan fits %d readings within %.3f stop rms; a reading scatters ±%.3f by itself", word, score.Readings, score.RMSStops, score.ScatterStops))
		for _, l := range score.Lamps {
			text := fmt.Sprintf("%.0f %% of its plan", l.Percent)
			if l.Low != nil && l.High != nil {
				text += fmt.Sprintf(" (%.0f to %.0f)", *l.Low, *l.High)
			}
			if len(l.Through) > 0 {
				text += ", through " + and(l.Through)
			}
			f.add(l.Name, text)
		}
		ambient := shown(score.Ambient.Value, r.plan.scene.Quantity, r.options.Unit)
		if score.Ambient.High != nil {
			ambient += ", at most " + shown(*score.Ambient.High, r.plan.scene.Quantity, r.options.Unit)
		}
		f.add("Ambient light", ambient)
		f.findings("Note", score.Warnings)
	}
	if p := r.Plan.Surface; p != nil {
		e := p.Evenness
		where := ""
		if p.Area != nil {
			e, where = *p.Area, " in shot"
		}
		f.add("Predicted", fmt.Sprintf("mean %s%s, spread %.2f stop", shown(e.Mean, r.plan.scene.Quantity, r.options.Unit), where, e.SpreadStops))
	}
	var shares []string
	for _, l := range r.Plan.Lamps {
		if l.SharePercent != nil && *l.SharePercent >= 0.5 {
			shares = append(shares, fmt.Sprintf("%s %.0f %%", l.Name, *l.SharePercent))
		}
	}
	f.add("Light by the plan", strings.Join(shares, ", "))
	f.findings("Note on the plan", r.Plan.Warnings)
	s.facts(f)
}

// photoSection shows the photos.
func (r *Report) photoSection(s *section) {
	for i := range r.Photos {
		s.Blocks = append(s.Blocks, block{Photo: &r.Photos[i]})
	}
}

// cautionSection is what has to be heeded.
func (r *Report) cautionSection(s *section) {
	var items []string
	for _, c := range r.Cautions {
		items = append(items, c.Text)
	}
	s.list(items)
}

// uncertaintySection is what the figures rest on.
func (r *Report) uncertaintySection(s *section) {
	if r.Ratios != nil {
		n := r.Ratios.Result.Noise
		from := map[string]string{"repeats": "from repeats in the table", "stated": "as its notes say", "assumed": "an assumption"}[n.Source]
		s.assumed("Ratios", append([]string{fmt.Sprintf("One reading repeats to %.2g %% (%s), ±%.3f stop", n.RepeatabilityPercent, from, n.Stops)}, answers.Remarks(r.options.words(), r.Ratios.Result.Inferred)...))
	}
	for i := range r.Surfaces {
		x := &r.Surfaces[i]
		var items []string
		items = append(items, x.scatter())
		if q := x.Result.Sampling; q != nil {
			enough := "close enough"
			if !q.Enough {
				enough = "farther than advised, so that a small spot may have been missed"
			}
			items = append(items, fmt.Sprintf("Readings stand up to %s apart, %s or less is advised (EN 12464-1): %s.", r.options.length(q.SpacingM), r.options.length(q.AdvisedSpacingM), enough))
		}
		s.assumed(x.name(), append(items, x.Result.Inferred...))
	}
	for i := range r.Surfaces {
		if b := r.Surfaces[i].Before; b != nil && b.Match != nil {
			items := []string{"Allowed: " + b.Match.Tolerance.Source.Text}
			for _, x := range b.Match.Inferred {
				items = append(items, x.Text)
			}
			s.assumed(r.Surfaces[i].Title+" against "+b.From, items)
		}
	}
	if r.Plan != nil {
		s.assumed("Plan", r.Plan.Inferred)
	}
	for _, d := range r.Distances {
		s.assumed(d.title(), answers.Remarks(r.options.words(), d.Result.Inferred))
	}
	for _, m := range r.Meters {
		s.assumed(m.title(), append(m.lines(), answers.Remarks(r.options.words(), m.Result.Inferred)...))
	}
}

// assumed adds a heading with sentences, where there are any.
func (s *section) assumed(title string, items []string) {
	var kept []string
	for _, text := range items {
		if text != "" {
			kept = append(kept, sentence(text))
		}
	}
	if len(kept) > 0 {
		s.part(title).list(kept)
	}
}

// sentence starts a text with a capital, where it does not start with the name of
// a file, and ends it with a full stop.
func sentence(text string) string {
	first, _, _ := strings.Cut(text, " ")
	if !strings.ContainsAny(first, ".:“") {
		letter, size := utf8.DecodeRuneInString(text)
		text = string(unicode.ToUpper(letter)) + text[size:]
	}
	if strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// scatter tells how well single readings repeat.
func (s *Surface) scatter() string {
	n := s.Result.Noise
	from := map[string]string{"repeats": "from repeats in the file", "stated": "as its notes say", "assumed": "an assumption"}[n.Source]
	if from == "" {
		return ""
	}
	return fmt.Sprintf("One reading repeats to %.2g %% (%s), ±%.3f stop.", n.RepeatabilityPercent, from, n.Stops)
}

// kitSection lists the bag and the cameras.
func (r *Report) kitSection(s *section) {
	if r.Gels != nil {
		t := &grid{Caption: "Gels in the bag (" + r.Gels.File + ")", Header: []string{"Gel", "Kind", "Mired", "CC", "Passes", "Source"}, Right: []bool{false, false, true, true, true, false}}
		for _, g := range r.Gels.Gels {
			row := []cell{one(g.Name), one(string(g.Kind)), nil, nil, nil, one(g.Source)}
			if g.Mired != 0 {
				row[2] = one(signed(g.Mired, 0))
			}
			if g.CC != 0 {
				row[3] = one(g.CC.String())
			}
			if g.Transmittance != nil {
				row[4] = one(fmt.Sprintf("%.0f %%", 100**g.Transmittance))
			}
			t.Rows = append(t.Rows, row)
		}
		s.table(t.drop())
	}
	if r.Cameras != nil {
		t := &grid{Caption: "Cameras against the meter (" + r.Cameras.File + ")", Header: []string{"Camera", "Lights compared", "Setting less light, mired", "Tint"}, Right: []bool{false, true, true, true}}
		for _, c := range r.Cameras.Offsets {
			t.Rows = append(t.Rows, []cell{one(c.Camera), one(fmt.Sprint(c.Rows)), one(signed(c.Mired, 0)), one(signed(c.Tint, 1))})
		}
		s.table(t)
	}
}

// fileSection lists what belongs to the set-up.
func (r *Report) fileSection(s *section) {
	t := &grid{Caption: "Files of the folder with their SHA-256 checksums", Stacked: true, Header: []string{"File", "Size", "SHA-256"}, Right: []bool{false, true, false}}
	for _, f := range r.Files {
		t.Rows = append(t.Rows, []cell{one(f.Name), one(size(f.Bytes)), one(f.SHA256)})
	}
	s.table(t)
	var read []string
	for i := range r.Surfaces {
		read = append(read, r.Surfaces[i].Result.Reading...)
	}
	if r.Plan != nil {
		read = append(read, r.Plan.Reading...)
	}
	for _, d := range r.Distances {
		read = append(read, answers.Remarks(r.options.words(), d.Result.ReadAs)...)
	}
	for _, m := range r.Meters {
		read = append(read, answers.Remarks(r.options.words(), m.Result.ReadAs)...)
	}
	if len(read) > 0 {
		s.part("How they were read").list(read)
	}
}
