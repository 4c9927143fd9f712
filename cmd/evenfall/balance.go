package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/falloff/balance"
	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/answers"
)

// balanceFlags are what trims have to keep to, as typed.
type balanceFlags struct {
	notes       noteFlags
	least       string
	fixed       []string
	tungsten    []string
	ambient     string
	withAmbient bool
	halfSteps   bool
}

func (a *app) balanceCommand() *cobra.Command {
	var flags balanceFlags
	command := &cobra.Command{
		Use:   "balance [FILE…]",
		Short: "Find the trims of lamps that make a surface most even",
		Long: `Balance reads what each lamp does alone and finds the trims that make their sum
most even. Trims are in percent and stops of the level as read. It takes a map of
each lamp, a file each or one file with a lamp column. Or it takes one map of all
lamps together and each lamp alone at a few places. The shares between those places
are then interpolated.

A lamp is named by its lamp column or note, else by its file. An empty lamp cell or
the word all is all lamps together. So is a file that names no lamp where it adds
up to the others. So is one beside lamps read at few places. Where no file is
named, the folder's survey is read. Readings of a lamp named ambient are light that
no trim changes. Where an area in shot is set, it decides.

No trims do better where the answer says proved. The surface after is computed:
meter again once the lamps are trimmed. The exit status is that of the surface
after trimming.`,
		Example: "  evenfall balance cloth.csv cloth-lamps.csv\n" +
			"  evenfall balance cloth.csv cloth-lamps.csv --half-steps --fixed \"key frame\" --out maps\n" +
			"  evenfall balance cloth.csv cloth-lamps.csv --min 600lx --ambient 15lx",
		RunE: a.reading(needLampMaps, func(paths []string) error { return a.balance(flags, paths) }),
	}
	f := command.Flags()
	f.StringVar(&flags.least, "min", "", "least `level` anywhere, such as 400lx or 40fc; a bare number as the readings are written")
	f.StringArrayVar(&flags.fixed, "fixed", nil, "a `lamp` that cannot be trimmed (repeat the flag for several)")
	f.StringVar(&flags.ambient, "ambient", "", "light that no lamp makes: a `level` or a file of readings with all lamps off")
	f.BoolVar(&flags.withAmbient, "with-ambient", false, "the lamps were read alone with the ambient light on: take it off them")
	f.BoolVar(&flags.halfSteps, "half-steps", false, "trims in half stops, as scrims make them")
	f.StringArrayVar(&flags.tungsten, "tungsten", nil, "a `lamp` that warms when it is dimmed (repeat the flag for several)")
	flags.notes.register(command, surfaceNotes...)
	return command
}

// balance reads the lamps, finds the trims and shows them.
func (a *app) balance(flags balanceFlags, paths []string) error {
	a.askedIn(flags.least)
	set, level, err := a.readLamps(flags, paths)
	if err != nil {
		return err
	}
	o := balance.Options{Fixed: flags.fixed, Tungsten: flags.tungsten, AmbientInReadings: flags.withAmbient, Ambient: level, Unit: a.words().Unit}
	if a.json { // whose sentences keep to SI units
		o.Unit = photometry.LX
	}
	if flags.halfSteps {
		o.StepStops = balance.HalfStep
	}
	if flags.least != "" {
		if o.Least, err = levelLike(set.Surface, flags.least); err != nil {
			return fmt.Errorf("--min: %w", err)
		}
	}
	r, err := balance.Solve(a.context(), set, o)
	if err != nil {
		return err
	}
	a.outcome(r.Verdict == uncertainty.Pass)
	if r.Dials, err = a.dials(filepath.Dir(paths[0]), answers.BalanceChanges(r)); err != nil {
		return err
	}
	d := answers.Balance(r, a.words(), a.full)
	answers.WithDials(d, r.Dials)
	return a.present(r, d, pictureName(paths[0], "surface"))
}

// readLamps opens the files, with those of the ambient light, or its level.
func (a *app) readLamps(flags balanceFlags, paths []string) (*survey.LampSet, float64, error) {
	asFile := isFile(flags.ambient)
	if asFile {
		paths = append(slices.Clone(paths), flags.ambient)
	}
	files, closeAll, err := a.openInputs(paths...)
	defer closeAll()
	if err != nil {
		return nil, 0, err
	}
	inputs := make([]survey.LampInput, len(files))
	for i, file := range files {
		inputs[i].Input = file
	}
	if asFile {
		inputs[len(inputs)-1].Lamp = survey.AmbientName
	}
	set, err := survey.ReadLampSet(inputs, survey.ReadOptions{Flags: flags.notes.sources(a.plainLengths())})
	if err != nil {
		return nil, 0, err
	}
	level := 0.0
	if flags.ambient != "" && !asFile {
		if level, err = levelLike(set.Surface, flags.ambient); err != nil {
			return nil, 0, fmt.Errorf("--ambient: %w, or a file of readings", err)
		}
	}
	return set, level, nil
}

// isFile tells whether a text names a file that is there.
func isFile(path string) bool {
	info, err := os.Stat(path)
	return path == "-" || err == nil && !info.IsDir()
}

// levelLike reads a level of the same quantity as a survey's; a bare number is
// in the unit that its readings are written in.
func levelLike(s *survey.Survey, text string) (float64, error) {
	level, _, err := s.Settings.Meter.ParseLevel(strings.TrimSpace(text))
	if err != nil {
		return 0, err
	}
	if level.Quantity != s.Quantity {
		return 0, &photometry.SyntaxError{Found: text, Expected: "a level of " + s.Quantity.String() + " like the readings"}
	}
	if !schema.IsMeasurable(level.Value) {
		return 0, &photometry.SyntaxError{Found: text, Expected: "a level that a meter can show"}
	}
	return level.Value, nil
}
