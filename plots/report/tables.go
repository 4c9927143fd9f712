package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/survey"
	"evenfall/plots/answers"
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
	caption, all := "Lights at marks ("+p.Ratios.File+")", p.Ratios.Readings
	one := !slices.ContainsFunc(all, func(m MarkReading) bool { return m.receptor() != all[0].receptor() })
	if one && len(all) > 0 {
		caption += ", receptor " + all[0].receptor()
	}
	all = first(p, all, "readings were taken", p.Ratios.File)
	var remarks []string
	rows := document.Rows("mark|light|level|CCT (K)|Duv|aimed at|receptor|distance", all, func(m MarkReading) []string {
		if m.Note != "" {
			remarks = append(remarks, joined(m.Mark, m.Role)+": "+m.Note)
		}
		row := []string{m.Mark, strings.ReplaceAll(m.Role, "+", " plus "), p.Ratios.level(m.Level, m.quantity, p.Words),
			answers.Optional("%.0f", m.CCT), answers.OptionalSigned(m.Duv, 4), m.Aim, "", ""}
		if len(m.Mark) < 15 { // on one line
			row[0] = strings.ReplaceAll(m.Mark, " ", "\u00a0")
		}
		if !one {
			row[6] = m.receptor()
		}
		if m.DistanceM > 0 {
			row[7] = p.Length(m.DistanceM)
		}
		return row
	})
	p.table(caption, rows, 0, 1, 5, 6)
	p.Line("remarks", remarks...)
}

// receptor is which one the meter had, as far as that was noted.
func (m MarkReading) receptor() string {
	return m.Receptor + map[bool]string{true: ", assumed"}[m.Assumed]
}

// mostRows is how many readings of a kind a page lists. JSON has them all.
const mostRows = 5000

// first is as many of all as a page lists. Where there are more it says how many, and
// which files have them.
func first[T any](p *paper, all []T, what string, files ...string) []T {
	if n := len(all); n > mostRows {
		p.Add(document.Paragraph(fmt.Sprintf("%d %s; the first %d are listed here, and all of them stand in %s.", n, what, mostRows, strings.Join(files, ", "))))
		return all[:mostRows]
	}
	return all
}

func (p *paper) surfaceReadings(x *Surface) {
	p.part(x.name())
	unit := " (" + p.LengthUnit() + ")"
	// A level may be another one with the drift taken out.
	points := [][]string{{"place", "x" + unit, "y" + unit, "as read", "drift taken out", "stops to " + cmp.Or(x.Result.Reference.Label, "the mean"), "CCT (K)", "Duv", "time", "times"}}
	caption := "Places of " + x.name() + " (" + strings.Join(x.Files, ", ") + ")"
	if len(x.Result.Suspects) > 0 {
		caption += "; ?: suspect"
	}
	places := x.Result.Survey.Len() // the first reading of each comes first
	for i, got := range first(p, x.Readings[:places], "places were read", x.Files...) {
		points = append(points, p.placeRow(x, i, got))
	}
	p.table(caption, points, 0)
	var again document.Lines // a line a place
	for _, got := range first(p, x.Readings[places:], "readings were taken again", x.Files...) {
		key, text := "again at "+p.placeOf(got.PlaceReading), answers.FilledIn(" ", x.reading(got.Level, p.Words), got.Time)
		if n := len(again); n > 0 && again[n-1].Key == key {
			again[n-1].Texts[0] += ", " + text
		} else {
			again = append(again, document.Line{Key: key, Texts: []string{text}})
		}
	}
	if len(again) > 0 {
		p.Add(again)
	}
	var remarks []string
	for _, n := range x.Result.Notes {
		remarks = append(remarks, n.String())
	}
	p.Line("remarks", remarks...)
	alone := first(p, x.Alone, "readings of single lamps were taken", x.Files...)
	p.table("Each lamp alone, "+x.name(), document.Rows("lamp|place|level|CCT (K)|Duv", alone, func(l LampReading) []string {
		return []string{l.Lamp, p.placeOf(l.PlaceReading), x.reading(l.Level, p.Words), answers.Optional("%.0f", l.CCT), answers.OptionalSigned(l.Duv, 4)}
	}), 0, 1)
}

// placeOf is a place by its label, or where it is.
func (p *paper) placeOf(r PlaceReading) string { return cmp.Or(r.Label, p.Place(r.X, r.Y)) }

// placeRow is the first reading of a place, with what it is judged by.
func (p *paper) placeRow(x *Surface, i int, got Reading) []string {
	row := []string{got.Label, p.Coordinate(got.X), p.Coordinate(got.Y), x.reading(got.Level, p.Words), "", "",
		answers.Optional("%.0f", got.CCT), answers.OptionalSigned(got.Duv, 4), got.Time, ""}
	if slices.ContainsFunc(x.Result.Suspects, func(s survey.Suspect) bool { return s.Point == i }) { // as on a map
		number, unit, _ := strings.Cut(row[3], " ")
		row[3] = strings.TrimSpace(number + "? " + unit)
	}
	judged := got.Level
	if d := x.Result.Drift; d != nil && d.Corrected {
		judged = x.Result.Levels[i]
		row[4] = x.level(judged, p.Words)
	}
	if judged > 0 && x.Result.Reference.Level > 0 {
		row[5] = photometry.FormatSigned(photometry.Stops(judged, x.Result.Reference.Level), 2)
	}
	if got.Readings > 1 {
		row[9] = fmt.Sprint(got.Readings)
	}
	return row
}

// kit lists the bag and the cameras.
func (p *paper) kit() {
	if p.Gels != nil {
		rows := document.Rows("gel|kind|mired|CC|passes|source", p.Gels.Gels, func(g colorimetry.Gel) []string {
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
			return row
		})
		p.table("Gels in the bag ("+p.Gels.File+")", rows, 0, 1, 5)
	}
	if p.Cameras != nil {
		rows := document.Rows("camera|lights compared|setting less light, mired|tint", p.Cameras.Offsets, func(c colorimetry.CameraOffset) []string {
			return []string{c.Camera, fmt.Sprint(c.Rows), photometry.FormatSigned(c.Mired, 0), photometry.FormatSigned(c.Tint, 1)}
		})
		p.table("Cameras against the meter ("+p.Cameras.File+")", rows, 0)
	}
}

// files lists what belongs to the set-up, first what verdicts rest on.
func (p *paper) files() {
	var lines document.Lines
	var others []string
	files := slices.Clone(p.Files)
	for _, s := range p.Surfaces {
		if s.Before != nil {
			files = append(files, s.Before.Inputs...)
		}
	}
	for _, f := range files {
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
