package main

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

// ratioNotes are the flags that stand for a note of a table of lights at marks.
var ratioNotes = []noteFlag{
	{"target", "target", "wanted `ratio`, such as 4:1, \"4:1 lighting ratio\" or \"2 stops\"; key to fill unless it says otherwise"},
	{"tolerance", "tolerance", "how far a ratio may be off on each side, in `stops` (default 1/3)"},
	{"background", "background target", "wanted background in `stops` from the key, such as -1"},
	{"back", "back target", "wanted back light in `stops` from the key"},
	{"hair", "hair target", "wanted hair light in `stops` from the key"},
	{"kicker", "kicker target", "wanted kicker in `stops` from the key"},
	{"screen", "screen target", "wanted screen in `stops` from the key"},
	{"expose-for", "expose for", "`light` to expose for, such as key (default key+fill)"},
	{"iso", "iso", "ISO `speed`"},
	{"shutter", "shutter", "shutter `time` such as 1/48, or an angle such as 180° with --fps"},
	{"fps", "frame rate", "`frames` a second; a 180° shutter where none is given"},
	{"nd", "nd", "neutral `density` on the lens, 0.3 a stop"},
	{"filter-factor", "filter factor", "`factor` of other filters on the lens, 2 is a stop"},
	{"transmittance", "transmittance", "of the `lens`, such as 80%, to tell its f-number from its T-stop"},
	{"t-stop", "t-stop", "`stop` that the lens is set to, such as T4: tells how far over or under each mark is"},
	{"mains", "mains", "mains `frequency` in Hz for flicker (default both 50 and 60)"},
	{"constant", "constant", "calibration constant `C` in place of ISO 2720's"},
	{"receptor", "receptor", "`flat` or dome, where the table does not say"},
	{"light", "light", "how f-numbers are meant, `flash` or continuous"},
	{"marks", "marks", "series that marked f-numbers belong to, `third` or half"},
	{"resolution", "resolution", "step of the display in `stops`, such as 0.1 stop"},
	{"repeatability", "repeatability", "of one reading to the next in `percent`, such as 1.5%"},
}

func (a *app) ratioCommand() *cobra.Command {
	var notes noteFlags
	command := &cobra.Command{
		Use:   "ratio [FILE]",
		Short: "Compare key, fill, back and background at each mark, and expose for them",
		Long: `Ratio reads a table of lights at marks (columns mark, role and a level in any
unit; key, fill, back, hair, kicker, background, screen, practical, ambient, spill,
or sums such as key+fill) and tells both ratios, key to fill and key plus fill to
fill, every other light against the key, whether the sums add up, the exposure with
all areas as stops from it, the shares of flash and ambient light, and shutters
that do not flicker. With a target it says what reaches it.

Without a FILE it takes ratio.csv of this folder, or of the folder named, and
setup.csv beside the table for what its notes leave open. It exits with 1 where a
mark is off its target or that is not settled. "-" reads standard input.`,
		Example: "  evenfall ratio\n  evenfall ratio ratio.csv --target 4:1 --background -1\n" +
			"  evenfall ratio ratio.csv --target \"3:1 lighting ratio\" --tolerance 1/4 --iso 400 --fps 25",
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.ratio(notes, args) },
	}
	notes.register(command.Flags(), ratioNotes...)
	return command
}

// ratio reads, compares and shows.
func (a *app) ratio(notes noteFlags, paths []string) error {
	paths, err := a.files(needRatio, paths)
	if err != nil {
		return err
	}
	read, err := a.readRatios(notes, paths[0])
	if err != nil {
		return err
	}
	in := read.Input
	if !a.json {
		in.Unit, in.Feet = read.UnitFor(a.unit), a.feet // JSON keeps to SI units in its sentences too
	}
	r, err := ratio.Analyze(in)
	if err != nil {
		return err
	}
	for _, w := range read.Warnings {
		r.Warnings = append(r.Warnings, photometry.Finding{Code: "table", Text: w.String()})
	}
	if r.Verdict != "" {
		a.status = statusOf(r.Verdict)
	}
	if a.json {
		return a.printJSON(r)
	}
	words := a.words()
	words.Unit = read.UnitFor(a.unit)
	return a.show(answers.Ratio(r, read.Dialect.String(), words, a.full))
}

// readRatios reads the table with the flags' notes over its own and setup.csv
// beneath.
func (a *app) readRatios(notes noteFlags, path string) (*setup.Ratios, error) {
	o := setup.RatioOptions{Notes: notes.given(a.lengthName), NotesFrom: notes.flagOf}
	name, file, err := a.openInput(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	var warnings []table.Warning
	if o.Setup, o.SetupFrom, warnings, err = setupBeside(path); err != nil {
		return nil, err
	}
	read, err := o.Read(file, name)
	if err == nil {
		read.Warnings = append(read.Warnings, warnings...)
	}
	return read, err
}

// setupBeside is what setup.csv in the folder of a table says, nil where there is
// none.
func setupBeside(path string) (*setup.Settings, string, []table.Warning, error) {
	folder := filepath.Dir(path)
	found, _ := setup.OpenFolder(os.DirFS(folder)) // what else is wrong with the folder is no matter here
	if found == nil || found.Setup == "" {
		return nil, "", nil, nil
	}
	name := filepath.Join(folder, found.Setup)
	file, err := os.Open(name)
	if err != nil {
		return nil, "", nil, fmt.Errorf("%s: %w", name, cause(err))
	}
	defer file.Close()
	values, err := setup.ReadValues(file, name)
	if err != nil {
		return nil, "", nil, err
	}
	settings, warnings, err := values.Settings()
	return &settings, name, append(values.Warnings, warnings...), err
}
