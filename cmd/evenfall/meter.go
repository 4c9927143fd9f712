package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"evenfall/falloff"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

func (a *app) meterCommand() *cobra.Command {
	var flags seriesFlags
	command := &cobra.Command{
		Use:   "meter [FILE]",
		Short: "Check your own meter: repeatability, cosine response, linearity",
		Long: `Meter says how far a meter may be trusted. One file has any of these, a row a
reading with a level in any unit:

  repeats  readings of one light, the meter put away and back between them.
           They have the same label, or nothing but levels. They give the
           repeatability, and the line to paste into a survey's notes.
  angles   a column "angle (deg)", the meter turned to both sides.
           The light is fixed, small and distant. They give the deviation
           from the cosine, f2 and tilt.
  ladder   a column "distance (m)", one small light at several distances.
           Or a column "ND", a fixed light through neutral filters: a
           density (0.3 a stop), 2 stops, 4x, or 0 for none. They give the
           linearity.

It exits with 1 where the readings do not settle what they were taken for. With
--out or --format the angles are drawn as a picture too. Where no file is named,
the folder's check of a meter is read.`,
		Example: "  evenfall meter meter.csv\n  evenfall meter meter.csv --full --out checks",
		Args:    atMostOne("meter", "files", "one file of readings"),
		RunE:    a.reading(needMeter, func(paths []string) error { return a.meter(flags, paths[0]) }),
	}
	flags.register(command)
	return command
}

// meter reads, checks and shows.
func (a *app) meter(flags seriesFlags, path string) error {
	s, err := a.readSeries(flags, path)
	if err != nil {
		return err
	}
	r, err := falloff.CheckSeries(s, falloff.Options{})
	if err != nil {
		return err
	}
	a.outcome(r.Settled)
	d := answers.Meter(s, r, a.words(), a.full)
	if err := a.present(r, d, pictureName(path, "series")); err != nil || !a.wantsPictures() {
		return err
	}
	if !slices.ContainsFunc(d.Blocks, func(b document.Block) bool { _, ok := b.(document.Picture); return ok }) {
		_, err = fmt.Fprintln(a.stderr, "no picture: the file has no angles to draw")
	}
	return err
}
