package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/cmd/evenfall/outfile"
	"evenfall/falloff/plan"
	"evenfall/photometry/survey"
	"evenfall/plots"
	"evenfall/plots/answers"
)

func (a *app) planCommand() *cobra.Command {
	var flags planFlags
	command := &cobra.Command{
		Use:   "plan [LAMPS]",
		Short: "Predict a surface or a mark from lamps, frames, bounces and flags",
		Long: `Plan reads a table of lamps and predicts the level and color on a surface (--size)
or at marks (--at). The table has name, kind, x, y, z, aim and a level. Frames,
bounces, flags and nets have what they are made of. Places are in meters from the
surface's lower left corner: x to camera right, y up, z toward the camera. A plain
length on the command line is in meters, or in feet with --length ft. 4ft says so
itself.

A cell that holds a range, 1.5..3.0, is free, and plan finds its value. It makes
the surface most even at the level asked for. With --at and --level alone it brings
the marks to that level. With --against it holds the prediction to readings, and
with --sweep it finds the place of a frame. With --out it writes maps, plan view
and elevation in one picture, and the new table of lamps.

Where no table is named, the folder's lamps.csv is read. It exits with 1 where the
surface is out of tolerance or a level is out of reach. So it does where readings
are not explained.`,
		Example: "  evenfall plan lamps.csv --size 4.8x2.4\n  evenfall plan lamps.csv --at puppet:2.4,1,1.2 --facing key\n" +
			"  evenfall plan lamps.csv --against cloth.csv --against cloth-lamps.csv\n  evenfall plan lamps.csv --sweep \"key frame\" --to-lamp 0.5..2 --to-subject 1..3 --hot-spot 1",
		Args: atMostOne("plan", "files", "one table of lamps"),
		RunE: a.reading(needLamps, func(paths []string) error { return a.plan(flags, paths[0]) }),
	}
	flags.register(command)
	return command
}

// planned is a plan with all that its pictures need.
type planned struct {
	in            *planInput
	before, after *plan.Scene // one and the same where nothing was solved
	level         float64     // that is wanted, 0 for none
	r             *plan.Result
}

// plan reads, predicts, solves and shows.
func (a *app) plan(flags planFlags, path string) error {
	in, err := a.planInput(flags, path)
	if err != nil {
		return err
	}
	defer in.folder.Close()
	s, err := plan.NewScene(in.lamps, in.options)
	if err != nil {
		return err
	}
	if !in.sized && in.judged == nil && len(flags.at) == 0 && flags.sweep == "" {
		return fmt.Errorf("plan: nothing to predict, expected --size 4.8x2.4, --at with a mark, --against with readings or --sweep with a frame")
	}
	s, calibration, err := a.calibrated(flags, in, s)
	if err != nil {
		return err
	}
	p := &planned{in: in, before: s, after: s}
	if p.level, err = a.planLevel("level", flags.level, s, in.on); err != nil {
		return err
	}
	for _, stage := range []func(planFlags, *planned) error{a.solve, a.predictSurface, a.predictMarks, a.predictSweep, a.sensitivity} {
		if err := stage(flags, p); err != nil {
			return err
		}
	}
	p.r.Calibration = calibration
	if in.judged != nil {
		if p.r.Score, err = s.Against(in.judged); err != nil {
			return err
		}
		a.status = exitDone
		a.outcome(p.r.Score.Explained)
	}
	p.r.Conclude(p.after)
	words := a.words()
	if in.judged != nil {
		words.Unit = in.judged.Survey.UnitFor(words.Unit)
	}
	name := pictureName(path, "surface")
	if err := a.present(p.r, answers.Plan(p.r, words, a.full), name); err != nil || !a.wantsPictures() {
		return err
	}
	return a.planFiles(p, name)
}

// calibrated takes the pair of readings with and without the diffusion.
func (a *app) calibrated(flags planFlags, in *planInput, s *plan.Scene) (*plan.Scene, *plan.Calibration, error) {
	if flags.with == "" && flags.without == "" {
		return s, nil, nil
	}
	if flags.with == "" || flags.without == "" || len(flags.at) == 0 {
		return nil, nil, fmt.Errorf("--with and --without: expected both, and --at with the mark that they were read at")
	}
	with, err := a.planLevel("with", flags.with, s, in.on)
	if err != nil {
		return nil, nil, err
	}
	without, err := a.planLevel("without", flags.without, s, in.on)
	if err != nil {
		return nil, nil, err
	}
	marks, err := flags.marks(s, a.lengthName)
	if err != nil {
		return nil, nil, err
	}
	there, calibration, err := s.Calibrate(flags.sweep, marks[0], with, without)
	if err != nil {
		return nil, nil, fmt.Errorf("--with and --without: %w", err)
	}
	return there, calibration, nil
}

// solve chooses the free cells, where there are any and a surface to judge them
// by, or marks with a level.
func (a *app) solve(flags planFlags, p *planned) error {
	p.r = plan.NewResult(p.before)
	atMarks := !p.in.sized && len(flags.at) > 0 && flags.level != ""
	if !(p.in.sized || atMarks) || p.before.Free() == 0 || flags.sweep != "" || p.in.judged != nil {
		p.r.Unsolved(p.before, flags.level != "" && flags.sweep == "" && p.in.judged == nil)
		return nil
	}
	if flags.starts < 1 || flags.starts > 1000 {
		return fmt.Errorf("--starts: found %d, expected 1 to 1000", flags.starts)
	}
	goal := plan.Goal{On: p.in.on, Level: p.level, Seed: flags.seed, Starts: flags.starts, Progress: a.progress("solving")}
	if atMarks {
		goal.Marks = func(s *plan.Scene) ([]plan.Mark, error) { return flags.marks(s, a.lengthName) }
		if _, err := goal.Marks(p.before); err != nil {
			return err
		}
	}
	after, moves, solution, err := p.before.Solve(a.context(), goal)
	a.progressDone(goal.Progress)
	if err != nil {
		return err
	}
	p.after = after
	p.r = plan.NewResult(after)
	p.r.Solved, p.r.Solution = moves, solution
	a.outcome(solution.OffStops == nil || solution.Reached())
	return nil
}

// sensitivity tells how carefully the stands that were solved for a surface have to be
// placed. It is the last: where it is ended first the rest of the answer is known, and
// says that this is not.
func (a *app) sensitivity(_ planFlags, p *planned) (err error) {
	if p.r.Solution == nil || p.after == p.before || !p.in.sized {
		return nil
	}
	progress := a.progress("stands a little off")
	var report func(done float64)
	if progress != nil {
		report = func(done float64) { progress(done, 0) }
	}
	var skipped []string
	p.r.Sensitivity, skipped, err = p.after.Sensitivity(a.context(), p.in.on, report)
	a.progressDone(progress)
	p.r.SkipSensitivity(skipped)
	if errors.Is(err, context.Canceled) {
		p.r.NoSensitivity()
		return nil
	}
	return err
}

// progressDone wipes the bar, where one was drawn.
func (a *app) progressDone(progress func(done, stops float64)) {
	if progress != nil {
		fmt.Fprint(a.stderr, "\r\x1b[K")
	}
}

// progress draws a bar of what is being done where somebody is watching; nil otherwise.
func (a *app) progress(what string) func(done, stops float64) {
	if _, watched := terminalOf(a.stderr); !watched || a.json {
		return nil
	}
	const width = 30
	shown := -1
	return func(done, stops float64) {
		full := int(done * width)
		if percent := int(100 * done); percent == shown {
			return
		} else {
			shown = percent
		}
		fmt.Fprintf(a.stderr, "\r%s [%s%s] %3.0f %%", what, strings.Repeat("#", full), strings.Repeat(".", width-full), 100*done)
	}
}

// predictSurface judges the surface, where there is one, and holds it to the level
// that is wanted there.
func (a *app) predictSurface(flags planFlags, p *planned) (err error) {
	if !p.in.sized {
		return nil
	}
	var within bool
	if p.r.Surface, within, err = p.after.Judged(p.in.on); err != nil {
		return err
	}
	p.r.Within = &within
	a.outcome(within)
	if p.after != p.before {
		if p.r.Before, _, err = p.before.Judged(p.in.on); err != nil {
			return err
		}
	}
	if p.r.Solution == nil && flags.sweep == "" {
		a.outcome(p.r.WantedLevel(p.level))
	}
	return nil
}

// predictMarks reads the light at the marks, which are held to the level that is
// wanted where there is no surface.
func (a *app) predictMarks(flags planFlags, p *planned) error {
	marks, err := flags.marks(p.after, a.lengthName)
	if err != nil {
		return err
	}
	for _, m := range marks {
		p.r.Marks = append(p.r.Marks, p.after.Mark(m))
	}
	if err := p.after.TooMuch(); err != nil {
		return err
	}
	p.r.ExposeMarks(p.after, p.in.on.Settings)
	if !p.in.sized && flags.sweep == "" && p.in.judged == nil {
		a.outcome(p.r.WantedAtMarks(p.level))
	}
	return nil
}

// predictSweep describes the lamps, and tries the distances of a frame where a sweep
// is asked for.
func (a *app) predictSweep(flags planFlags, p *planned) error {
	var on *survey.Survey
	if p.r.Surface != nil {
		on = p.r.Surface.Survey
	}
	p.r.Lamps = p.after.Describe(on)
	if flags.sweep == "" {
		return nil
	}
	sweep, err := a.sweepOf(flags, p.level)
	if err != nil {
		return err
	}
	if p.r.Diffusion, p.r.Sweep, err = p.after.SweepFrame(sweep); err != nil {
		return fmt.Errorf("--sweep: %w", err)
	}
	if !p.in.sized {
		a.status = exitDone
	}
	a.outcome(len(p.r.Sweep.Asked) == 0 || p.r.Sweep.Best != nil)
	return nil
}

// planFiles draws the set, and writes the table of lamps where cells were solved.
func (a *app) planFiles(p *planned, name string) error {
	options := plots.SetOptions{Title: p.in.title, Date: p.in.date, Marks: p.r.Marks, FloorY: p.in.options.FloorY, Area: p.in.on.Area, Feet: a.feet}
	if p.in.sized {
		options.Surface = &p.in.on.Extent
	}
	if p.after != p.before {
		options.Before = p.before
	}
	path, err := a.savePicture(plots.Set(p.after, options), name+"-set")
	if err == nil {
		err = a.tellFile("picture", path)
	}
	if err != nil || p.after == p.before {
		return err
	}
	path = filepath.Join(a.out, name+"-solved.csv")
	if err := outfile.Replace(path, a.force, func(w io.Writer) error { return p.after.WriteTable(w) }); err != nil {
		return err
	}
	return a.tellFile("lamps", path)
}
