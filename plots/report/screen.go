package report

import (
	"evenfall/falloff/screen"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

// dials reads what was read of the lamps' dimmers.
func (g *gatherer) dials() {
	read, ok := tableOf(g, g.folder.Dimmers, setup.ReadDimmers)
	if !ok {
		return
	}
	r, err := dimmer.Analyze(read.Input, dimmer.Wanted{})
	if err != nil {
		g.problem(g.folder.Dimmers, err)
		return
	}
	r.Warnings = append(r.Warnings, table.Findings(read.Warnings)...)
	g.Dimmers = r
}

// screen judges the screen as the camera sees it, with the light of the surface of its title
// where its own table leaves that out.
func (g *gatherer) screen() {
	read, ok := tableOf(g, g.folder.Screen, setup.ReadScreen)
	if !ok {
		return
	}
	var on *survey.Survey
	titles := make([]string, len(g.Surfaces))
	for i, s := range g.Surfaces {
		titles[i] = s.Title
	}
	if at := screen.SurveyFor(read.Title, titles); at >= 0 && !read.Complete() {
		on = g.Surfaces[at].Result.Survey
	}
	in, err := screen.NewInput(read, on)
	if err != nil {
		g.problem(g.folder.Screen, err)
		return
	}
	if g.Ratios != nil {
		in.TakeMarks(g.marks, g.Ratios.Result)
	}
	g.Screen, g.screenFile = screen.Analyze(in), g.folder.Screen
	g.Screen.Warnings = append(g.Screen.Warnings, table.Findings(read.Warnings)...)
}

// dialsAndScreen are the lamps' dimmers and the screen against the key, in a line each.
func (p *paper) dialsAndScreen() {
	if p.Dimmers != nil {
		p.Line("dimmers", answers.DimmerSummary(p.Dimmers))
		p.Line("note", answers.Sentences(p.Words, p.Dimmers.Warnings)...)
	}
	if p.Screen != nil {
		p.Line("screen", answers.ScreenSummary(p.Screen))
		p.Line("note", answers.Sentences(p.Words, p.Screen.Warnings)...)
	}
}
