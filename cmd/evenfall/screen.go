package main

import (
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/falloff/screen"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

func (a *app) screenCommand() *cobra.Command {
	var notes noteFlags
	command := &cobra.Command{
		Use:   "screen [FOLDER or FILE]",
		Short: "Judge a screen as the camera sees it: reflectance, against the key, spill on the subject",
		Long: `Screen reads the light on a screen and its luminance at the same places, from
screen.csv. Columns are label, E in lx or fc, and L in cd/m². Places are columns x
and y, or come from the notes width and height. A card's row has its stated
reflectance in percent. It says the reflectance π·L/E, and which differences are
light and which are cloth. With ratio.csv beside it, it gives the screen over or
under middle gray lit by the key at each mark.

Where ratio.csv has the column "to screen (m)" it computes the spill there. It
compares that with the spill that was read. With a spill target it says how far to
come forward or how much to mask.

Light that screen.csv leaves out comes from the newest survey of its title, by the
labels. Without one it comes from the only survey in the folder. The part in view
comes from its notes, or that survey's. The notes screen target, spill target and
tolerance of ratio.csv decide, or the flags. It exits with 1 where they are not met
or not settled.`,
		Example: "  evenfall screen\n  evenfall screen . --target -0.5 --spill -4",
		Args:    atMostOne("screen", "folders", "one folder, or one table of a screen"),
		RunE:    a.reading(needScreen, func(paths []string) error { return a.screen(notes, paths[0]) }),
	}
	notes.register(command, noteFlag{"target", schema.Targets[ratio.ScreenRole]}, noteFlag{"spill", schema.Targets[ratio.SpillRole]}, noteFlag{"tolerance", schema.Tolerant})
	command.Flags().Lookup("target").Usage = "wanted level of the screen in `stops` over or under middle gray lit by the key (-1/2 stop)"
	return command
}

// screen reads the tables, judges and shows.
func (a *app) screen(notes noteFlags, path string) error {
	folder := filepath.Dir(path)
	read, err := readTable(a, path, "table of a screen", setup.ReadScreen)
	if err != nil {
		return err
	}
	on, err := a.surveyBeside(read, folder)
	if err != nil {
		return err
	}
	in, err := screen.NewInput(read, on)
	if err != nil {
		return err
	}
	if path := a.found("ratio.csv", folder); path != "" {
		marks, err := a.readRatios(notes, path)
		if err != nil {
			return err
		}
		lights, err := ratio.Analyze(marks.Input)
		if err != nil {
			return err
		}
		in.TakeMarks(marks, lights)
	}
	r := screen.Analyze(in)
	r.Warnings = append(r.Warnings, table.Findings(read.Warnings)...)
	a.judged(r.Verdict)
	return a.present(r, answers.Screen(r, a.words(), a.full), pictureName(path, "screen"))
}

// surveyBeside is the newest survey in the folder that has the light of a screen's table,
// nil where the table needs none or nobody knows which it is.
func (a *app) surveyBeside(read *setup.Screen, folder string) (*survey.Survey, error) {
	if read.Complete() {
		return nil, nil
	}
	f, err := a.readFolder(folder)
	if err != nil {
		return nil, err
	}
	own := func(s setup.SurveyFiles) bool { return slices.Contains(s.Files, filepath.Base(read.File)) }
	surveys := slices.DeleteFunc(newest(f), own)
	titles := make([]string, len(surveys))
	for i, s := range surveys {
		titles[i] = s.Title
	}
	at := screen.SurveyFor(read.Title, titles)
	if at < 0 {
		return nil, nil
	}
	var paths []string
	for _, name := range surveys[at].Files {
		paths = append(paths, filepath.Join(folder, name))
	}
	s, err := a.readSurvey(paths, survey.ReadOptions{})
	if err == nil {
		a.note("light and places as in %s", strings.Join(paths, ", "))
	}
	return s, err
}
