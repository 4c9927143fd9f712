package report

import (
	"fmt"
	"strconv"
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
)

// lamps reads the table of lamps, puts it in space and holds it to the readings.
func (g *gatherer) lamps() {
	name := g.folder.Lamps
	if name == "" {
		return
	}
	file, ok := g.open(name)
	if !ok {
		return
	}
	defer file.Close()
	table, err := setup.ReadLamps(file, name)
	if err != nil {
		g.problem(name, err)
		return
	}
	g.lampsFile = name
	for _, row := range table.Rows {
		g.Lamps = append(g.Lamps, Lamp{Name: row.Name, Kind: string(row.Kind), AsWritten: written(row), row: row})
		if row.File != "" {
			if in, ok := within(row.File); ok {
				g.used = append(g.used, in)
			}
		}
	}
	if err := g.place(table); err != nil {
		g.problem(name, err)
	}
}

// place makes a scene of the lamps and predicts the surface that they light.
func (g *gatherer) place(table *setup.Lamps) error {
	notes, err := plan.ReadNotes(nil, table)
	if err != nil {
		return err
	}
	on, sized := notes.Surface, notes.Sized
	var read *Surface
	for i := range g.Surfaces {
		if is, ok := plan.SurfaceOf(g.Surfaces[i].Result.Survey); ok {
			if read = &g.Surfaces[i]; !sized {
				on, sized = is, true
			}
			break
		}
	}
	o := plan.Options{Distribution: plan.Files(g.fsys), FloorY: notes.FloorY}
	if sized {
		o.Surface = &on.Extent
	}
	if o.FloorY == nil {
		o.FloorY = g.settings.FloorY
	}
	scene, err := plan.NewScene(table, o)
	if err != nil {
		return err
	}
	r := plan.NewResult(scene)
	r.Unsolved(scene, false)
	var is *survey.Survey
	if sized {
		on.Settings.CameraISO, on.Settings.CameraShutterS = g.settings.ISO, g.settings.ShutterS
		if is, err = scene.Survey(on); err != nil {
			return err
		}
		if r.Surface, err = evenness.Analyze(is); err != nil {
			return err
		}
	}
	r.Lamps = scene.Describe(is)
	if read != nil {
		if r.Score, err = scene.Against(read.Result); err != nil {
			g.Warnings = append(g.Warnings, photometry.Finding{Code: "plan", Text: "The plan cannot be held to the readings: " + strings.TrimPrefix(err.Error(), "plan: ") + "."})
		}
	}
	r.Conclude(scene)
	g.Plan = r
	g.Report.plan = &planned{scene: scene}
	views := &g.Report.plan.views
	views.FloorY, views.Feet = o.FloorY, g.options.Feet
	if sized {
		views.Surface, views.Area = &on.Extent, on.Area
	}
	return nil
}

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
		out["CCT (K)"] = plain(float64(l.CCT))
	}
	if l.Duv != nil {
		out["Duv"] = plain(*l.Duv)
	}
	if l.Power != nil {
		out["power (W)"] = plain(*l.Power)
	}
	return out
}

func plain(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// lampParts is a row of the table of lamps for people: what stands together on
// the set stands in one cell, a line each.
type lampParts struct{ stands, aims, head, set, front, color, note []string }

func (r *Report) lampParts(i int) lampParts {
	l := r.Lamps[i].row
	o := r.options
	var in *plan.Lamp
	if r.Plan != nil && i < len(r.Plan.Lamps) {
		in = &r.Plan.Lamps[i]
	}
	var p lampParts
	add := func(to *[]string, format string, values ...any) { *to = append(*to, fmt.Sprintf(format, values...)) }
	// figures is add for a name with a figure, which stay together on a line.
	figures := func(to *[]string, format string, values ...any) {
		*to = append(*to, together.Replace(fmt.Sprintf(format, values...)))
	}
	if l.X.Set || l.Y.Set || l.Z.Set {
		figures(&p.stands, "%s", o.spot(l.X, l.Y, l.Z))
	}
	switch {
	case l.StandHeight.Set:
		figures(&p.stands, "stand %s high", o.span(l.StandHeight))
	case in != nil && in.OverFloorM != nil:
		add(&p.stands, "%s over the floor", o.length(*in.OverFloorM))
	}
	if l.AimX.Set || l.AimY.Set || l.AimZ.Set {
		figures(&p.aims, "at %s", o.spot(l.AimX, l.AimY, l.AimZ))
	}
	switch {
	case l.Pan.Set || l.Tilt.Set:
		figures(&p.aims, "pan %s°", degrees(l.Pan))
		figures(&p.aims, "tilt %s°", degrees(l.Tilt))
	case in != nil && in.PanDeg != nil && !(l.Rotate.Set):
		figures(&p.aims, "pan %s°, tilt %s°", signed(*in.PanDeg, 0), signed(*in.TiltDeg, 0))
	}
	if l.Rotate.Set {
		figures(&p.aims, "turned %s°", degrees(l.Rotate))
	}
	if l.Width.Set || l.Height.Set {
		figures(&p.head, "%s × %s", o.span(l.Width), o.span(l.Height))
	}
	if l.Power != nil {
		figures(&p.head, "%s W", plain(*l.Power))
	}
	number := func(to *[]string, c setup.Range, format string) {
		if c.Set {
			text, _ := c.MarshalCSV()
			figures(to, format, text)
		}
	}
	number(&p.head, l.Flux, "%s lm")
	number(&p.head, l.Intensity, "%s cd")
	number(&p.head, l.E, "%s lx")
	number(&p.head, l.EFootcandles, "%s fc")
	if l.At.Set {
		figures(&p.head, "at %s", o.span(l.At))
	}
	if l.EAt != "" {
		add(&p.head, "E %s", l.EAt)
	}
	number(&p.head, l.Beam, "beam %s°")
	words := func(to *[]string, text, format string) {
		if text != "" {
			add(to, format, text)
		}
	}
	words(&p.head, l.SpotFlood, "focus: %s")
	words(&p.head, l.File, "file: %s")
	number(&p.set, l.Dimmer, "dimmer %s %%")
	words(&p.set, l.Trim, "trim: %s")
	words(&p.set, l.Scrims, "scrims: %s")
	if r.Plan != nil && r.Plan.Score != nil {
		for _, s := range r.Plan.Score.Lamps {
			if strings.EqualFold(s.Name, l.Name) && s.Low != nil && s.High != nil && *s.High-*s.Low < mostUnsure {
				add(&p.set, "read at %.0f %% of this plan (%.0f to %.0f)", s.Percent, *s.Low, *s.High)
			}
		}
	}
	words(&p.front, l.Gel, "gel: %s")
	words(&p.front, l.Diffusion, "diffusion: %s")
	words(&p.front, l.Behind, "lit by %s")
	words(&p.front, l.Material, "material: %s")
	number(&p.front, l.Transmission, "passes %s %%")
	number(&p.front, l.Undiffused, "%s %% of it straight on")
	number(&p.front, l.Spill, "spill %s %%")
	number(&p.front, l.Lobe, "lobe m %s")
	number(&p.front, l.Reflectance, "reflects %s %%")
	if l.CCT != 0 {
		figures(&p.color, "%.0f K", float64(l.CCT))
	}
	if l.Duv != nil {
		figures(&p.color, "Duv %s", signed(*l.Duv, 4))
	}
	words(&p.note, l.Note, "%s")
	return p
}

// together puts spaces that do not break between words and figures, and leaves
// those after a comma.
var together = strings.NewReplacer(", ", ", ", " ", "\u00a0")

// mostUnsure is how wide the interval of a lamp's level may be, in percent of its
// plan, to be told among what the lamp is set to.
const mostUnsure = 40

// spot is a place in space, with one unit for all three where none is free.
func (o Options) spot(x, y, z setup.Range) string {
	if x.Free() || y.Free() || z.Free() || !x.Set || !y.Set || !z.Set {
		return fmt.Sprintf("x %s, y %s, z %s", o.span(x), o.span(y), o.span(z))
	}
	return fmt.Sprintf("x %s, y %s, z %s", o.bare(x.At), o.bare(y.At), o.length(z.At))
}

// span is a cell that holds a length.
func (o Options) span(c setup.Range) string {
	switch {
	case !c.Set:
		return "–"
	case c.Free():
		return fmt.Sprintf("%s (free, %s to %s)", o.length(c.At), o.bare(c.Low), o.length(c.High))
	}
	return o.length(c.At)
}

// degrees is a cell that holds an angle.
func degrees(c setup.Range) string {
	if !c.Set {
		return "0"
	}
	text, _ := c.MarshalCSV()
	return text
}
