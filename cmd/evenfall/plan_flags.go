package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
)

// planFlags are what plan may be told beside its table of lamps.
type planFlags struct {
	notes                    noteFlags
	size, grid               string
	at                       []string
	facing                   []string
	level                    string
	seed                     uint64
	starts                   int
	against                  []string
	sweep, toLamp, toSubject string
	steps                    int
	second, edge             string
	hotSpot, loss, penumbra  string
	with, without            string
}

func (f *planFlags) register(command *cobra.Command) {
	flags := command.Flags()
	f.notes.register(command, slices.Concat([]noteFlag{{"for", schema.For}, {"iso", schema.ISO}, {"shutter", schema.Shutter}, {"floor", schema.FloorY}}, judgedNotes, tableNotes)...)
	flags.StringVar(&f.size, "size", "", "width and height of the surface, such as `4.8x2.4`")
	flags.StringVar(&f.grid, "grid", "", "`places` across and up, at the middle of cells as surface --new lays them, such as 9x5")
	flags.StringArrayVar(&f.at, "at", nil, "a `mark` x,y or x,y,z, with a name as in puppet:2.4,1,1.2; repeatable")
	flags.StringArrayVar(&f.facing, "facing", nil, "where a mark's meter `looks`: camera, up, a lamp's name, or a direction x,y,z; once for all or once a mark")
	flags.StringVar(&f.level, "level", "", "`level` to reach, such as 800lx or 75fc: the surface's mean, or at the marks without a surface")
	flags.Uint64Var(&f.seed, "seed", 1, "another `number` makes other starts of the search")
	flags.IntVar(&f.starts, "starts", 6, "`searches` from different starts")
	flags.StringArrayVar(&f.against, "against", nil, "`survey` to hold the plan to; repeatable, with readings of single lamps")
	flags.StringVar(&f.sweep, "sweep", "", "find the place of this `frame` of diffusion")
	flags.StringVar(&f.toLamp, "to-lamp", "0.5m..2m", "`distances` from the lamp to the frame")
	flags.StringVar(&f.toSubject, "to-subject", "1m..3m", "`distances` from the frame to the subject")
	flags.IntVar(&f.steps, "steps", 0, "`places` in each of these, instead of handy ones")
	flags.StringVar(&f.second, "second", "1m", "`distance` behind the subject at which a second person stands")
	flags.StringVar(&f.edge, "edge", "0.1m", "`distance` from the subject to the edge whose shadow is computed")
	flags.StringVar(&f.hotSpot, "hot-spot", "", "most that the frame's brightest part may be over its darkest, in `stops`")
	flags.StringVar(&f.loss, "loss", "", "most that the diffusion may cost, in `stops`")
	flags.StringVar(&f.penumbra, "soft", "", "least `width` of the edge's penumbra, such as 4cm")
	flags.StringVar(&f.with, "with", "", "`reading` at the first mark with the diffusion")
	flags.StringVar(&f.without, "without", "", "`reading` at the first mark without the diffusion")
}

// planInput is a table of lamps with what the command line says of it.
type planInput struct {
	lamps       *setup.Lamps
	options     plan.Options
	on          plan.Surface
	sized       bool
	judged      *evenness.Result // what the plan is held to
	folder      openedFolder     // of the table, for the files that its lamps name
	title, date string           // of the set-up
}

// input reads the files and flags that every kind of plan needs.
func (a *app) planInput(f planFlags, path string) (*planInput, error) {
	in := &planInput{}
	var err error
	if in.lamps, err = readInput(a, path, "a table of lamps", setup.Flags(f.notes.sources(a.lengthName)).Lamps); err != nil {
		return nil, err
	}
	if err := in.surface(f, a.lengthName); err != nil {
		return nil, err
	}
	if len(f.against) > 0 {
		if in.judged, err = a.analyze(surfaceFlags{}, f.against); err != nil {
			return nil, err
		}
		if on, ok := plan.SurfaceOf(in.judged.Survey); !in.sized && ok {
			on.Columns, on.Rows, on.Cells = in.on.Columns, in.on.Rows, in.on.Cells
			in.on, in.sized = on, true
		}
	}
	if in.sized {
		in.options.Surface = &in.on.Extent
	}
	folder := "."
	if path != "-" {
		folder = filepath.Dir(path)
	}
	if in.folder, err = openFolder(folder, aSetUp); err != nil {
		return nil, err
	}
	in.options.Distribution = plan.Files(in.folder)
	settings, err := readSetup(in.folder, folder, "setup.csv")
	if errors.Is(err, fs.ErrNotExist) {
		return in, nil // there need not be one
	}
	if err != nil {
		return nil, err
	}
	in.title, in.date = settings.Title, settings.Date
	if in.options.FloorY == nil {
		in.options.FloorY = settings.FloorY
	}
	return in, nil
}

// surface understands the notes and flags about the surface and the floor.
func (in *planInput) surface(f planFlags, lengthUnit string) (err error) {
	size, err := sizeNotes(f.size, lengthUnit)
	if err != nil {
		return err
	}
	notes, err := plan.ReadNotes(append(f.notes.sources(lengthUnit), size...), in.lamps)
	if err != nil {
		return err
	}
	in.on, in.sized, in.options.FloorY = notes.Surface, notes.Sized, notes.FloorY
	if f.grid != "" {
		if in.on.Columns, in.on.Rows, err = schema.ParseGridSize(f.grid); err != nil {
			return fmt.Errorf("--grid: %w", err)
		}
		in.on.Cells = true
	}
	return nil
}

// marks understands the marks.
func (f planFlags) marks(s *plan.Scene, lengthUnit string) ([]plan.Mark, error) {
	if len(f.facing) > 1 && len(f.facing) != len(f.at) {
		return nil, fmt.Errorf("--facing: given %d times for %d marks, expected once or once a mark", len(f.facing), len(f.at))
	}
	var out []plan.Mark
	for i, text := range f.at {
		label, places, named := strings.Cut(text, ":")
		if !named {
			label, places = fmt.Sprintf("mark %d", i+1), text
		}
		at, ok := coordinates(places, lengthUnit)
		if !ok {
			return nil, fmt.Errorf("--at: found %q, expected x,y or x,y,z such as 2.4,1,1.2", text)
		}
		m := plan.Mark{Label: strings.TrimSpace(label), X: at[0], Y: at[1], Z: at[2]}
		looks := firstOr(f.facing, "")
		if len(f.facing) > 1 {
			looks = f.facing[i]
		}
		var err error
		if m.Facing, err = s.Facing(looks, r3.Vec{X: m.X, Y: m.Y, Z: m.Z}, func(text string) ([]float64, error) { return table.ParseNumbers(text, 3) }); err != nil {
			return nil, fmt.Errorf("--facing: %w", err)
		}
		out = append(out, m)
	}
	return out, nil
}

// coordinates understands x,y or x,y,z; z is 0 where it is not given.
func coordinates(text, lengthUnit string) (at [3]float64, ok bool) {
	separator := ","
	if strings.Contains(text, ";") {
		separator = ";"
	}
	parts := strings.Split(text, separator)
	ok = len(parts) == 2 || len(parts) == 3
	for k := 0; ok && k < len(parts); k++ {
		var err error
		at[k], err = schema.ParseLength(parts[k], lengthUnit)
		ok = err == nil
	}
	return at, ok
}

// planLevel reads a level of the scene's quantity.
func (a *app) planLevel(flag, text string, s *plan.Scene, on plan.Surface) (float64, error) {
	if text == "" {
		return 0, nil
	}
	a.askedIn(text)
	m := on.Settings.Meter
	m.Unit, m.Number = a.unit, table.ParseNumber
	m.Continuous, m.ShutterS = s.Quantity == photometry.Illuminance, on.Settings.ShutterS
	level, _, err := m.ParseLevel(text)
	if err != nil || level.Quantity != s.Quantity || !(level.Value > 0) || !schema.IsMeasurable(level.Value) {
		return 0, fmt.Errorf("--%s: found %q, expected a level such as 800lx or 75fc", flag, text)
	}
	return level.Value, nil
}

// sweepOf understands the flags of a sweep.
func (a *app) sweepOf(f planFlags, level float64) (w plan.Sweep, err error) {
	w = plan.Sweep{Frame: f.sweep, Steps: f.steps, Level: level}
	for _, r := range []struct {
		flag, text string
		to         *[2]float64
	}{{"to-lamp", f.toLamp, &w.ToLampM}, {"to-subject", f.toSubject, &w.ToSubjectM}} {
		low, high, isRange := strings.Cut(strings.ReplaceAll(r.text, "…", ".."), "..")
		if !isRange {
			high = low
		}
		var err1, err2 error
		r.to[0], err1 = schema.ParseLength(low, a.lengthName)
		r.to[1], err2 = schema.ParseLength(high, a.lengthName)
		if err1 != nil || err2 != nil || !(r.to[0] > 0) || r.to[0] > r.to[1] {
			return w, fmt.Errorf("--%s: found %q, expected distances such as 0.5..2, the nearer first", r.flag, r.text)
		}
	}
	length := func(text string) (float64, error) { return schema.ParseLength(text, a.lengthName) }
	stops := func(text string) (float64, error) { return photometry.ParseStops(text, table.ParseNumber) }
	for _, l := range []struct {
		flag, text string
		to         *float64
		parse      func(string) (float64, error)
		expected   string
	}{
		{"second", f.second, &w.SecondM, length, "a length such as 0.1 or 10cm"},
		{"edge", f.edge, &w.EdgeM, length, "a length such as 0.1 or 10cm"},
		{"soft", f.penumbra, &w.PenumbraM, length, "a length such as 0.1 or 10cm"},
		{"hot-spot", f.hotSpot, &w.HotSpotStops, stops, "stops such as 1/2 or 1.5"},
		{"loss", f.loss, &w.LossStops, stops, "stops such as 1/2 or 1.5"},
	} {
		if l.text == "" {
			continue
		}
		if *l.to, err = l.parse(l.text); err != nil || !(*l.to > 0) {
			return w, fmt.Errorf("--%s: found %q, expected %s", l.flag, l.text, l.expected)
		}
	}
	return w, nil
}
