package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

// seriesFlags are what distance and meter may be told beside the file.
type seriesFlags struct {
	notes noteFlags
	lamp  string
}

// seriesNotes are the flags that stand for a note of a series.
var seriesNotes = slices.Concat([]noteFlag{{"repeatability", schema.Repeatability}, {"resolution", schema.Resolution}, {"receptor", schema.Receptor}}, tableNotes, levelNotes)

func (f *seriesFlags) register(command *cobra.Command) {
	f.notes.register(command, seriesNotes...)
	command.Flags().StringVar(&f.lamp, "lamp", "", "the readings of this `lamp` alone, where a file has several")
}

// readSeries reads the one file of a series.
func (a *app) readSeries(flags seriesFlags, path string) (*survey.Series, error) {
	return readInput(a, path, ofReadings, func(file io.Reader, name string) (*survey.Series, error) {
		return survey.ReadSeries(survey.Input{Name: name, Reader: file}, survey.ReadOptions{Flags: flags.notes.sources(a.plainLengths()), Lamp: flags.lamp})
	})
}

type distanceFlags struct {
	seriesFlags
	mark, level, within string
}

func (a *app) distanceCommand() *cobra.Command {
	var flags distanceFlags
	command := &cobra.Command{
		Use:   "distance [FILE]",
		Short: "Say how a light falls with distance, against the inverse-square law",
		Long: `Distance reads levels at several distances from one light: columns distance and a
level in any unit. A column angle says where the meter did not face the light. It
says:

  from where on the inverse square holds, and how much light is lost on the way
  how deep the zone about a mark is
  how strong and how large the light looks, and where it starts
  how much of the readings is ambient light or bounce

Each has an interval over all sizes, tape errors and ambient levels that the
readings allow. Where one is too wide, it says which reading narrows it. A tape
starts within about 10 cm of the light, or within 1 cm with --tape checked. A plain
--mark is in meters, or in feet where the file's distances or --length are. 4ft
says so itself.

It exits with 1 where the answer is not settled. With --out or --format the curve
is written as a picture too. Where no file is named, the folder's series is read.
"-" reads standard input.`,
		Example: "  evenfall distance key-frame.csv --mark 1.2\n  evenfall distance key-frame.csv --mark 4ft --within 1/4 --level 50fc\n" +
			"  evenfall distance key-frame.csv --level 500lx --out curves",
		Args: atMostOne("distance", "files", "one file of readings"),
		RunE: a.reading(needDistance, func(paths []string) error { return a.distance(flags, paths[0]) }),
	}
	flags.register(command)
	flags.notes.register(command, noteFlag{"iso", schema.ISO}, noteFlag{"shutter", schema.Shutter}, noteFlag{"tape", schema.Tape})
	command.Flags().Lookup("iso").Usage = "ISO `speed` that levels are written as f-numbers for, with --shutter (800)"
	command.Flags().Lookup("shutter").Usage = "`time` that levels are written as f-numbers for, with --iso (1/50)"
	command.Flags().StringVar(&flags.mark, "mark", "", "the `distance` that matters, such as 2, 2m or 6ft")
	command.Flags().StringVar(&flags.level, "level", "", "find where this `level` is, such as 800lx, 75fc or f/8")
	command.Flags().StringVar(&flags.within, "within", "1/3", "half width of the zone about the mark in `stops`")
	return command
}

// options are what the flags ask of the fit.
func (f distanceFlags) options(s *survey.Series, lengthUnit string) (o falloff.Options, err error) {
	if f.mark != "" {
		if o.MarkM, err = s.ParseMark(f.mark, lengthUnit); err != nil || !(o.MarkM > 0) {
			return o, fmt.Errorf("--mark: found %q, expected a distance such as 2, 2m or 6ft", f.mark)
		}
	}
	if f.level != "" {
		if o.WantedLevel, err = s.ParseLevel(f.level); err != nil {
			return o, fmt.Errorf("--level: %w", err)
		}
	}
	within := strings.TrimSpace(strings.TrimLeft(f.within, "±+-/ "))
	if o.WithinStops, err = photometry.ParseStops(within, table.ParseNumber); err != nil || !(o.WithinStops > 0) || o.WithinStops > 20 {
		return o, fmt.Errorf("--within: found %q, expected stops such as 1/3 or 0.5", f.within)
	}
	return o, nil
}

// distance reads, fits and shows.
func (a *app) distance(flags distanceFlags, path string) error {
	s, err := a.readSeries(flags.seriesFlags, path)
	if err != nil {
		return err
	}
	o, err := flags.options(s, a.plainLengths())
	if err != nil {
		return err
	}
	a.askedIn(flags.level)
	r, err := falloff.FitSeries(s, o)
	if err != nil {
		return err
	}
	a.outcome(r.Settled)
	d := answers.Distance(s, r, a.words(), a.full)
	a.next(d, []string{path}, "", "")
	return a.present(r, d, pictureName(path, "series"))
}
