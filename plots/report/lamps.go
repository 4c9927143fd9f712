package report

import (
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
)

// lamps reads the table of lamps, puts it in space and holds it to the readings.
func (g *gatherer) lamps() {
	name := g.folder.Lamps
	table, ok := tableOf(g, name, setup.ReadLamps)
	if !ok {
		return
	}
	g.lampsFile, g.lampRows = name, table.Rows
	for _, row := range table.Rows {
		g.Lamps = append(g.Lamps, Lamp{Name: row.Name, Kind: string(row.Kind), AsWritten: asWritten(row)})
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
		var within bool
		if r.Surface, within, err = scene.Judged(on); err != nil {
			return err
		}
		is, r.Within = r.Surface.Survey, &within
	}
	r.Lamps = scene.Describe(is)
	if read != nil {
		if r.Score, err = scene.Against(read.Result); err != nil {
			g.Warnings = append(g.Warnings, photometry.Found("report.plan", "why", strings.TrimPrefix(err.Error(), "plan: ")))
		}
	}
	r.Conclude(scene)
	g.Plan = r
	g.Report.plan = &planned{scene: scene}
	views := &g.Report.plan.views
	views.FloorY, views.Title, views.Date = o.FloorY, g.settings.Title, g.settings.Date
	if sized {
		views.Surface, views.Area = &on.Extent, on.Area
	}
	return nil
}

// asWritten are the filled cells of a row, by column and unit.
func asWritten(l setup.Lamp) map[string]string {
	out := map[string]string{}
	for _, c := range l.Cells() {
		if c.Text == "" || c.Column == "name" || c.Column == "kind" {
			continue
		}
		key := c.Column
		if c.Unit != "" {
			key += " (" + c.Unit + ")"
		}
		out[key] = c.Text
	}
	return out
}
