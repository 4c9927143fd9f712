package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

// ratioNotes are the flags that stand for a note of a table of lights at marks.
var ratioNotes = slices.Concat([]noteFlag{
	{"target", schema.Target}, {"tolerance", schema.Tolerant}, {"background", schema.Targets[ratio.BackgroundRole]}, {"back", schema.Targets[ratio.BackRole]},
	{"hair", schema.Targets[ratio.HairRole]}, {"kicker", schema.Targets[ratio.KickerRole]}, {"screen", schema.Targets[ratio.ScreenRole]},
	{"expose-for", schema.ExposeFor}, {"iso", schema.ISO}, {"shutter", schema.Shutter}, {"fps", schema.FrameRate}, {"nd", schema.ND},
	{"filter-factor", schema.FilterFactor}, {"transmittance", schema.Transmittance}, {"t-stop", schema.TStop}, {"mains", schema.Mains},
	{"constant", schema.Constant}, {"receptor", schema.Receptor}, {"light", schema.Continuous}, {"marks", schema.FStops},
	{"resolution", schema.Resolution}, {"repeatability", schema.Repeatability},
}, tableNotes, levelNotes)

func (a *app) ratioCommand() *cobra.Command {
	var notes noteFlags
	command := &cobra.Command{
		Use:   "ratio [FILE]",
		Short: "Compare key, fill, back and background at each mark, and expose for them",
		Long: `Ratio reads a table of lights at marks: columns mark, role and a level in any unit.
Roles are key, fill, back, hair, kicker, background, screen, practical, ambient,
spill, or sums such as key+fill. A column for each light does as well: mark, key,
fill. It says:

  both ratios, key to fill and key plus fill to fill
  every other light against the key, and whether the sums add up
  the exposure, with all areas as stops from it
  the shares of flash and ambient light, and shutters that do not flicker

With a target it says what reaches it. With --out it draws the lights as bars in
stops from the key.

Without a FILE it takes ratio.csv of this folder, or of the folder named. What the
table's notes leave open comes from setup.csv beside it. It exits with 1 where a
mark is off its target or that is not settled. "-" reads standard input.`,
		Example: "  evenfall ratio\n  evenfall ratio ratio.csv --target 4:1 --background -1\n" +
			"  evenfall ratio ratio.csv --target \"3:1 lighting ratio\" --tolerance ±1/4 --iso 400 --fps 25",
		Args: cobra.MaximumNArgs(1),
		RunE: a.reading(needRatio, func(paths []string) error { return a.ratio(notes, paths) }),
	}
	notes.register(command, ratioNotes...)
	return command
}

// ratio reads, compares and shows.
func (a *app) ratio(notes noteFlags, paths []string) error {
	read, err := a.readRatios(notes, paths[0])
	if err != nil {
		return err
	}
	r, err := ratio.Analyze(read.Input)
	if err != nil {
		return err
	}
	r.Warnings = append(r.Warnings, table.Findings(read.Warnings)...)
	a.judged(r.Verdict)
	words := a.words()
	words.Unit = read.UnitFor(a.unit)
	if r.Dials, err = a.dials(filepath.Dir(paths[0]), answers.RatioChanges(r)); err != nil {
		return err
	}
	d := answers.Ratio(r, read.Dialect.String(), words, a.full)
	answers.WithDials(d, r.Dials)
	target := ""
	if r.Verdict == "" {
		target = a.typed(a.args[0], append(slices.Clone(a.args[1:]), "--target", "4:1")) + " (what reaches that ratio)"
	}
	a.next(d, paths, r.Verdict, target)
	return a.present(r, d, pictureName(paths[0], "ratio"))
}

// readRatios reads the table with the flags' notes over its own and setup.csv
// beneath.
func (a *app) readRatios(notes noteFlags, path string) (*setup.Ratios, error) {
	return readInput(a, path, ofReadings, func(file io.Reader, name string) (read *setup.Ratios, err error) {
		o := setup.RatioOptions{Flags: notes.sources(a.lengthName)}
		if o.Setup, err = setupBeside(path); err != nil {
			return nil, err
		}
		if read, err = o.Read(file, name); err == nil && o.Setup != nil {
			read.Warnings = append(read.Warnings, o.Setup.Warnings...)
		}
		return read, err
	})
}

// setupBeside is what setup.csv in the folder of a table says, nil where there is
// none.
func setupBeside(path string) (*setup.Settings, error) {
	folder := filepath.Dir(path)
	root, err := openFolder(folder, aSetUp)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	found, _ := setup.OpenFolder(root) // what else is wrong with the folder is no matter here
	if found == nil || found.Setup == "" {
		return nil, nil
	}
	return readSetup(root, folder, found.Setup)
}

// readSetup reads the table of a set-up from a folder.
func readSetup(from openedFolder, folder, name string) (*setup.Settings, error) {
	path := filepath.Join(folder, name)
	file, err := from.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, cause(err))
	}
	defer file.Close()
	return setup.ReadSettings(file, path)
}
