package report

import (
	"bytes"
	"cmp"
	"io/fs"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/parallel"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// surfaces reads every surface's newest survey, and in short the days before it.
func (g *gatherer) surfaces() {
	type reading struct {
		*Surface
		err error
	}
	surfaces := g.folder.Days()
	read := make([][]reading, len(surfaces))
	parallel.Each(len(surfaces), 1, func(i int) {
		judge := evenness.Analyze
		for _, day := range surfaces[i] {
			s, err := g.readSurface(g.fsys, day, judge)
			read[i] = append(read[i], reading{s, err})
			if err == nil {
				judge = evenness.Judge // why is told of the newest alone
			}
		}
	})
	for i, days := range surfaces {
		var subject *Surface
		for k, day := range days {
			s, err := read[i][k].Surface, read[i][k].err
			if err != nil {
				g.problem(strings.Join(day.Files, ", "), err)
				continue
			}
			if subject == nil {
				subject = s
				continue
			}
			subject.Older = append(subject.Older, s.inShort())
			if subject.previous == nil {
				subject.previous = s
			}
		}
		if subject != nil {
			g.Surfaces = append(g.Surfaces, *subject)
		}
	}
}

// readSurface reads and judges the files of one survey.
func (g *gatherer) readSurface(fsys fs.FS, files setup.SurveyFiles, judge func(*survey.Survey) (*evenness.Result, error)) (*Surface, error) {
	s := &Surface{Title: files.Title, Date: files.Date, Files: files.Files}
	for _, name := range files.Files {
		content, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		s.contents = append(s.contents, content)
	}
	read, err := survey.Read(s.inputs(""), survey.ReadOptions{})
	if err != nil {
		return nil, err
	}
	read.Settings.CameraISO, read.Settings.CameraShutterS = g.settings.ISO, g.settings.ShutterS
	result, err := judge(read)
	if err != nil {
		return nil, err
	}
	s.Result, s.Title, s.Date = result, cmp.Or(s.Title, titled(result.Title, files.Files[0])), cmp.Or(s.Date, read.Date)
	s.tabulate()
	return s, nil
}

// inputs are the survey's files, in a folder of a name.
func (s *Surface) inputs(folder string) (out []survey.Input) {
	for i, name := range s.Files {
		out = append(out, survey.Input{Name: path.Join(folder, name), Reader: bytes.NewReader(s.contents[i])})
	}
	return out
}

// tabulate lists every reading of a survey.
func (s *Surface) tabulate() {
	read := s.Result.Survey
	one := func(point int, level float64, u, v []float64, k int) PlaceReading {
		r := PlaceReading{Label: read.LabelOf(point), X: read.X[point], Y: read.Y[point], Level: level}
		if u != nil {
			r.CCT, r.Duv = colorOf(u[k], v[k], read.DuvRead)
		}
		return r
	}
	for i := range read.Len() {
		r := Reading{PlaceReading: one(i, read.Level[i], read.U, read.V, i), Time: read.TimeOf(i)}
		if read.Repeats != nil && read.Repeats[i] > 1 {
			r.Readings = int(read.Repeats[i])
		}
		s.Readings = append(s.Readings, r)
	}
	for _, again := range read.Replicates {
		s.Readings = append(s.Readings, Reading{PlaceReading: one(int(again.Point), again.Level, nil, nil, 0), Time: table.FormatMinutes(again.Minutes), Again: true})
	}
	for _, lamp := range read.Lamps {
		for k, point := range lamp.Point {
			s.Alone = append(s.Alone, LampReading{lamp.Name, one(int(point), lamp.Level[k], lamp.U, lamp.V, k)})
		}
	}
}

// colorOf is a chromaticity as color temperature and, where that was read, Duv;
// absent where there is none.
func colorOf(u, v float64, duvRead bool) (cct, duv *float64) {
	if math.IsNaN(u) {
		return nil, nil
	}
	light, err := colorimetry.UVPrime{U: u, V: v}.XY().CCT()
	if err != nil {
		return nil, nil
	}
	if !duvRead {
		return &light.Kelvin, nil
	}
	return &light.Kelvin, &light.Duv
}

// inShort is a survey of another day.
func (s *Surface) inShort() Day {
	e := s.Result.Decisive()
	return Day{Date: s.Date, Files: s.Files, Verdict: s.Result.Verdict.Overall, Mean: e.Mean, Unit: s.Result.Unit, SpreadStops: e.SpreadStops}
}

// level is a level of the surface: as it was read, where no other unit is wanted.
func (s *Surface) level(v float64, w document.Words) string {
	return answers.AsRead(w, s.Result.Survey).Level(photometry.Level{Value: v, Quantity: s.Result.Survey.Quantity})
}

// reading is a level with all of its figures, where these are few: 298.5 lx.
func (s *Surface) reading(v float64, w document.Words) string {
	text := s.level(v, w)
	figure, unit, _ := strings.Cut(text, " ")
	if unit == photometry.FC.String() {
		v = photometry.Footcandles(v)
	} else if unit != photometry.LX.String() {
		return text
	}
	shown, _ := strconv.ParseFloat(figure, 64)
	typed := strconv.FormatFloat(v, 'g', 6, 64)
	if all, _ := strconv.ParseFloat(typed, 64); math.Abs(all-v) > 1e-9*v || math.Abs(all-shown) <= 1e-9*v {
		return text
	}
	return typed + " " + unit
}

// InFeet reports whether the positions on all surfaces were written in feet or inches.
func (r *Report) InFeet() bool {
	placed := func(s Surface) bool { return s.Result.Survey.Placing == survey.InMeters }
	return slices.ContainsFunc(r.Surfaces, placed) && !slices.ContainsFunc(r.Surfaces, func(s Surface) bool { return placed(s) && !s.Result.Survey.Feet })
}

// InFootcandles reports whether the levels of all surfaces were read in footcandles.
func (r *Report) InFootcandles() bool {
	return len(r.Surfaces) > 0 && !slices.ContainsFunc(r.Surfaces, func(s Surface) bool {
		return s.Result.Survey.UnitFor(photometry.NoUnit) != photometry.FC
	})
}

// name is the surface with its day.
func (s *Surface) name() string { return answers.FilledIn(", ", s.Title, s.Date) }
