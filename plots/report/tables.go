package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/plots/document"
)

// readings is every reading as it was taken.
func (p *paper) readings() {
	p.markReadings()
	for i := range p.Surfaces {
		x := &p.Surfaces[i]
		p.surfaceReadings(x)
		if x.Before != nil && x.Before.read != nil {
			p.surfaceReadings(x.Before.read)
		}
	}
}

// markReadings is every reading at a mark; Ratios has the lamps.
func (p *paper) markReadings() {
	if p.Ratios == nil {
		return
	}
	p.part("Lights at marks")
	w := p.Words
	w.Unit = p.Ratios.unitFor(w.Unit)
	rows := [][]string{{"mark", "light", "level", "CCT (K)", "Duv", "aimed at", "receptor", "distance"}}
	caption, all := "Lights at marks ("+p.Ratios.File+")", p.Ratios.Readings
	one := !slices.ContainsFunc(all, func(m MarkReading) bool { return m.receptor() != all[0].receptor() })
	if one && len(all) > 0 {
		caption += ", receptor " + all[0].receptor()
	}
	var remarks []string
	for _, m := range all {
		receptor := ""
		if !one {
			receptor = m.receptor()
		}
		if m.Note != "" {
			remarks = append(remarks, joined(m.Mark, m.Role)+": "+m.Note)
		}
		distance := ""
		if m.DistanceM > 0 {
			distance = w.Length(m.DistanceM)
		}
		mark := m.Mark
		if len(mark) < 15 { // on one line
			mark = strings.ReplaceAll(mark, " ", "\u00a0")
		}
		rows = append(rows, []string{mark, strings.ReplaceAll(m.Role, "+", " plus "), w.Level(photometry.Level{Value: m.Level, Quantity: m.quantity}),
			optional(m.CCT, "%.0f"), optionalDuv(m.Duv), m.Aim, receptor, distance})
	}
	p.table(caption, rows, 0, 1, 5, 6)
	p.Line("remarks", remarks...)
}

// receptor is which one the meter had, as far as that was noted.
func (m MarkReading) receptor() string {
	if m.Assumed {
		return m.Receptor + ", assumed"
	}
	return m.Receptor
}

// mostRows is how many places of a survey a page lists. JSON has them all.
const mostRows = 5000

func (p *paper) surfaceReadings(x *Surface) {
	p.part(x.name())
	zero := x.Result.Reference.Label
	if zero == "" {
		zero = "the mean"
	}
	unit := " (" + p.LengthUnit() + ")"
	// A level may be another one with the drift taken out.
	points := [][]string{{"place", "x" + unit, "y" + unit, "as read", "drift taken out", "stops to " + zero, "CCT (K)", "Duv", "time", "times"}}
	corrected := x.Result.Drift != nil && x.Result.Drift.Corrected
	caption := "Places of " + x.name() + " (" + strings.Join(x.Files, ", ") + ")"
	if len(x.Result.Suspects) > 0 {
		caption += "; ?: suspect"
	}
	var again document.Lines // a line a place
	for i, got := range x.Readings {
		if got.Again {
			key, text := "again at "+cmp.Or(got.Label, p.Place(got.X, got.Y)), x.reading(got.Level, p.Words)
			if got.Time != "" {
				text += " " + got.Time
			}
			if n := len(again); n > 0 && again[n-1].Key == key {
				again[n-1].Texts[0] += ", " + text
			} else {
				again = append(again, document.Line{Key: key, Texts: []string{text}})
			}
			continue
		}
		times, off, judged, clean := "", "", got.Level, ""
		if corrected {
			judged = x.Result.Levels[i]
			clean = x.level(judged, p.Words)
		}
		if got.Readings > 1 {
			times = fmt.Sprint(got.Readings)
		}
		if judged > 0 && x.Result.Reference.Level > 0 {
			off = photometry.FormatSigned(photometry.Stops(judged, x.Result.Reference.Level), 2)
		}
		read := x.reading(got.Level, p.Words)
		if slices.ContainsFunc(x.Result.Suspects, func(s survey.Suspect) bool { return s.Point == i }) { // as on a map
			number, unit, _ := strings.Cut(read, " ")
			read = strings.TrimSpace(number + "? " + unit)
		}
		points = append(points, []string{got.Label, p.Coordinate(got.X), p.Coordinate(got.Y), read, clean, off,
			optional(got.CCT, "%.0f"), optionalDuv(got.Duv), got.Time, times})
	}
	if n := len(points) - 1; n > mostRows {
		p.Add(document.Paragraph(fmt.Sprintf("%d places were read; the first %d are listed here, and all of them stand in %s.", n, mostRows, strings.Join(x.Files, ", "))))
		points = points[:mostRows+1]
	}
	p.table(caption, points, 0)
	if len(again) > 0 {
		p.Add(again)
	}
	var remarks []string
	for _, n := range x.Result.Notes {
		remarks = append(remarks, n.String())
	}
	p.Line("remarks", remarks...)
	alone := [][]string{{"lamp", "place", "level", "CCT (K)", "Duv"}}
	for _, l := range x.Alone {
		place := l.Label
		if place == "" {
			place = p.Place(l.X, l.Y)
		}
		alone = append(alone, []string{l.Lamp, place, x.reading(l.Level, p.Words), optional(l.CCT, "%.0f"), optionalDuv(l.Duv)})
	}
	p.table("Each lamp alone, "+x.name(), alone, 0, 1)
}

// optional prints a figure that may be absent.
func optional(v *float64, format string) string {
	if v == nil {
		return ""
	}
	return fmt.Sprintf(format, *v)
}

// optionalDuv has no sign without a size.
func optionalDuv(v *float64) string {
	if v == nil {
		return ""
	}
	return photometry.FormatSigned(*v, 4)
}

// kit lists the bag and the cameras.
func (p *paper) kit() {
	if p.Gels != nil {
		rows := [][]string{{"gel", "kind", "mired", "CC", "passes", "source"}}
		for _, g := range p.Gels.Gels {
			row := []string{g.Name, string(g.Kind), "", "", "", g.Source}
			if g.Mired != 0 {
				row[2] = photometry.FormatSigned(g.Mired, 0)
			}
			if g.CC != 0 {
				row[3] = g.CC.String()
			}
			if g.Transmittance != nil {
				row[4] = fmt.Sprintf("%.0f %%", 100**g.Transmittance)
			}
			rows = append(rows, row)
		}
		p.table("Gels in the bag ("+p.Gels.File+")", rows, 0, 1, 5)
	}
	if p.Cameras != nil {
		rows := [][]string{{"camera", "lights compared", "setting less light, mired", "tint"}}
		for _, c := range p.Cameras.Offsets {
			rows = append(rows, []string{c.Camera, fmt.Sprint(c.Rows), photometry.FormatSigned(c.Mired, 0), photometry.FormatSigned(c.Tint, 1)})
		}
		p.table("Cameras against the meter ("+p.Cameras.File+")", rows, 0)
	}
}

// files lists what belongs to the set-up, first what verdicts rest on.
func (p *paper) files() {
	var lines document.Lines
	var others []string
	for _, f := range p.Files {
		var verdicts []string
		for _, part := range p.Verdict.Parts {
			if slices.Contains(part.Inputs, f) {
				verdicts = append(verdicts, part.What+": "+part.Verdict)
			}
		}
		if len(verdicts) == 0 {
			others = append(others, f.Name+" ("+size(f.Bytes)+")")
			continue
		}
		lines = append(lines, document.Line{Key: f.Name, Texts: []string{size(f.Bytes) + "; " + strings.Join(verdicts, "; ")}})
	}
	p.Add(document.Paragraph("What verdicts rest on. The SHA-256 checksum of each file is in the report's JSON and in the hand-over; both can be verified."), lines)
	p.Line("others", strings.Join(others, ", "))
}
