package main

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

type dimmerFlags struct {
	notes                    noteFlags
	lamp, level, stops, from string
}

func (a *app) dimmerCommand() *cobra.Command {
	var flags dimmerFlags
	command := &cobra.Command{
		Use:   "dimmer [FILE]",
		Short: "Find the setting of a lamp's own dimmer for a wanted level, and its color there",
		Long: `Dimmer reads a few levels of a lamp over its own dimmer, the meter at one place.
Columns are lamp, dimmer (%) and a level in any unit. CCT, Duv and flicker (yes or
no) are used where they are read. Four settings a lamp are enough. It puts a curve
through them that only rises, and says:

  the setting for a wanted level, or for a change in stops, with its 95 % interval
  the color there, and what is left above and below
  from where on no flicker was seen, and how far the dial is from linear

Where no file is named it takes dimmers.csv of this folder, or of the folder named.
Without --from, a change counts from the dimmer in lamps.csv beside it. Other
commands set dimmers by that table too. It exits with 1 where no setting that was
read gives what is wanted, or fewer than four were read. With --out or --format the
curve is written as a picture. "-" reads standard input.`,
		Example: "  evenfall dimmer\n  evenfall dimmer dimmers.csv --lamp \"cloth right\" --stops -0.5 --from 100\n  evenfall dimmer --lamp \"cloth left\" --level 500lx",
		Args:    atMostOne("dimmer", "files", "one table of lamps over their dimmers"),
		RunE:    a.reading(needDimmers, func(paths []string) error { return a.dimmer(flags, paths[0]) }),
	}
	flags.notes.register(command, noteFlag{"repeatability", schema.Repeatability}, noteFlag{"resolution", schema.Resolution}, noteFlag{"iso", schema.ISO}, noteFlag{"shutter", schema.Shutter})
	f := command.Flags()
	f.StringVar(&flags.lamp, "lamp", "", "the `lamp` to set, where the table has several")
	f.StringVar(&flags.level, "level", "", "find the setting for this `level`, such as 500lx, 46fc or f/8")
	f.StringVar(&flags.stops, "stops", "", "find the setting for a change in `stops`, such as -0.5 or +1/3")
	f.StringVar(&flags.from, "from", "", "the `setting` that the change counts from, such as 63")
	return command
}

// dimmer reads, finds the setting and shows.
func (a *app) dimmer(flags dimmerFlags, path string) error {
	read, err := readTable(a, path, "table of lamps over their dimmers", setup.Flags(flags.notes.sources(a.lengthName)).Dimmers)
	if err != nil {
		return err
	}
	want, err := a.wanted(flags, read, filepath.Dir(path))
	if err != nil {
		return err
	}
	r, err := dimmer.Analyze(read.Input, want)
	if err != nil {
		return err
	}
	r.Warnings = append(r.Warnings, table.Findings(read.Warnings)...)
	a.outcome(r.Settled)
	return a.present(r, answers.Dimmer(r, read.Dialect.String(), a.words(), a.full), pictureName(path, "dimmers"))
}

// dials are how dimmers are set for changes of their lamps, by the tables in a folder.
func (a *app) dials(folder string, changes []dimmer.Change) ([]dimmer.Change, error) {
	var dials setup.Dials
	if len(changes) == 0 {
		return nil, nil
	}
	root, err := openFolder(folder, "a folder")
	if err != nil {
		return nil, err
	}
	defer root.Close()
	entries, err := fs.ReadDir(root, ".")
	isLamps := func(e fs.DirEntry) bool {
		stem, _, _ := strings.Cut(e.Name(), ".")
		return setup.IsTable(e.Name()) && strings.EqualFold(stem, "lamps")
	}
	if err != nil || !slices.ContainsFunc(entries, isLamps) { // no dimmer is on file: other tables need not be looked at
		return dials.Changes(changes), nil
	}
	f, err := setup.OpenFolder(root)
	if err != nil { // two tables claim to be one: report says which, here neither counts
		return dials.Changes(changes), nil
	}
	if f.Lamps != "" {
		if lamps, err := readTable(a, filepath.Join(folder, f.Lamps), "table of lamps", setup.ReadLamps); err == nil { // what is wrong with it, plan and report say
			dials.Lamps = lamps.Rows
		}
	}
	if f.Dimmers != "" {
		read, err := readTable(a, filepath.Join(folder, f.Dimmers), "table of lamps over their dimmers", setup.ReadDimmers)
		if err != nil {
			return nil, err
		}
		if dials.Read, err = dimmer.Analyze(read.Input, dimmer.Wanted{}); err != nil {
			return nil, err
		}
	}
	return dials.Changes(changes), nil
}

// wanted is what the flags ask for.
func (a *app) wanted(flags dimmerFlags, read *setup.Dimmers, folder string) (want dimmer.Wanted, err error) {
	want.Lamp = flags.lamp
	if known := read.Lamps(); flags.lamp != "" && !slices.ContainsFunc(known, func(name string) bool { return strings.EqualFold(name, flags.lamp) }) {
		return want, fmt.Errorf("--lamp: found %q, expected one of the table: %s", flags.lamp, strings.Join(known, ", "))
	}
	switch {
	case flags.level != "" && flags.stops != "":
		return want, fmt.Errorf("--level and --stops: found both, expected one of them")
	case flags.from != "" && flags.stops == "":
		return want, fmt.Errorf("--from: found %q alone, expected --stops with it", flags.from)
	case flags.level != "":
		meter := read.Meter
		meter.Number = table.ParseNumber
		level, _, err := meter.ParseLevel(flags.level)
		if err != nil || !(level.Value > 0) || !schema.IsMeasurable(level.Value) {
			return want, fmt.Errorf("--level: found %q, expected a level above 0 with its unit, such as 500lx, 46fc or f/8", flags.level)
		}
		want.Level = &level
	case flags.stops != "":
		stops, err := photometry.ParseStops(flags.stops, table.ParseNumber)
		if err != nil || !(stops >= -schema.MostStops && stops <= schema.MostStops) {
			return want, fmt.Errorf("--stops: found %q, expected stops such as -0.5 or +1/3", flags.stops)
		}
		want.Stops = &stops
		if want.FromPercent, err = a.fromSetting(flags, read, folder); err != nil {
			return want, err
		}
	}
	return want, nil
}

// fromSetting is the setting that a change counts from: the flag, or what lamps.csv
// beside the table has of the lamp.
func (a *app) fromSetting(flags dimmerFlags, read *setup.Dimmers, folder string) (percent float64, err error) {
	if flags.from != "" {
		percent, err = table.ParseNumber(strings.TrimSpace(strings.TrimSuffix(flags.from, "%")))
		if err != nil || !(percent > 0 && percent <= 100) {
			return 0, fmt.Errorf("--from: found %q, expected a setting over 0 and up to 100 %%", flags.from)
		}
		return percent, nil
	}
	lamp, known := flags.lamp, read.Lamps()
	if lamp == "" && len(known) == 1 {
		lamp = known[0]
	}
	if path := a.found("lamps.csv", folder); path != "" && lamp != "" {
		lamps, err := readTable(a, path, "table of lamps", setup.ReadLamps)
		if err != nil {
			return 0, err
		}
		for _, l := range lamps.Rows {
			if strings.EqualFold(l.Name, lamp) && l.Dimmer.Set && l.Dimmer.At > 0 {
				a.note("from %g %%, as %s has it", l.Dimmer.At, path)
				return l.Dimmer.At, nil
			}
		}
	}
	return 0, fmt.Errorf("--stops: found no setting to count from, expected --from, such as --from 63, or the lamp's dimmer in lamps.csv with --lamp")
}
