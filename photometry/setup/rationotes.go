package setup

import (
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
)

// ratioNotes are the notes of a table of lights at marks and what they came to.
type ratioNotes struct {
	input ratio.Input
	meter photometry.Meter // that the readings were taken with
	mark  string           // of rows without one

	receptorNoted bool // for all rows

	hasISO      bool // for the meter
	needsISO    bool
	units       map[photometry.Unit]bool // that levels are written in
	flashF      bool                     // f-numbers of flash were read
	continuousF bool
	shown       []shown             // the levels as they were read
	taken       []photometry.Remark // from elsewhere
}

// newRatioNotes reads the notes of a table and those from elsewhere.
func newRatioNotes[T any](t *rows[T], o RatioOptions) (*ratioNotes, *schema.Values) {
	file := []*schema.Source{schema.Sheet(t.Sheet)}
	var setup []*schema.Source
	if o.Setup != nil && o.Setup.source != nil {
		setup = append(setup, o.Setup.source)
	}
	n := &ratioNotes{mark: "the mark", units: map[photometry.Unit]bool{}}
	v := schema.Read(schema.RatioFile, o.Flags, file, setup)
	n.fill(v)
	// What the table says of its f-numbers counts before a flag.
	n.meter.ISO, n.meter.ShutterS = schema.Read(schema.RatioFile, file, o.Flags, setup).ReadAt()
	n.hasISO = n.meter.ISO > 0
	n.taken = append(n.taken, schema.Assumed(schema.RatioFile, t.Header)...)
	n.noteSources(v, t.File)
	if c := &n.input.Camera; c.ShutterS == 0 && c.FramesPerSecond > 0 && !v.Given(schema.Shutter) {
		c.ShutterS = photometry.ShutterFromAngle(180, c.FramesPerSecond)
		n.take("shutter_180", "shutter", photometry.Shutter(c.ShutterS))
	}
	if n.meter.ShutterS == 0 {
		n.meter.ShutterS = n.input.Camera.ShutterS
	}
	return n, v
}

func (n *ratioNotes) take(key string, values ...any) {
	n.taken = append(n.taken, photometry.Remarked(key, values...))
}

// fill takes what the notes say of the comparison.
func (n *ratioNotes) fill(v *schema.Values) {
	in, c := &n.input, &n.input.Camera
	schema.Put(v, schema.Title, &in.Title)
	schema.Put(v, schema.For, &in.For)
	schema.Put(v, schema.Date, &in.Date)
	in.Taken = schema.Taken(v)
	schema.Put(v, schema.Mark, &n.mark)
	schema.Put(v, schema.ISO, &c.ISO)
	schema.Put(v, schema.FrameRate, &c.FramesPerSecond)
	schema.Put(v, schema.Shutter, &c.ShutterS)
	schema.Put(v, schema.ND, &c.NDStops)
	schema.Put(v, schema.FilterFactor, &c.FilterFactor)
	schema.Put(v, schema.Transmittance, &c.Transmittance)
	schema.Put(v, schema.TStop, &c.SetStop)
	_, stop := v.From(schema.TStop)
	c.SetInT = strings.HasPrefix(strings.ToUpper(strings.TrimSpace(stop)), "T")
	schema.Put(v, schema.Constant, &in.Constant)
	schema.Put(v, schema.Resolution, &in.Resolution)
	schema.Put(v, schema.ExposeFor, &in.ExposeFor)
	schema.Put(v, schema.Mains, &in.MainsHz)
	schema.Put(v, schema.Continuous, &n.meter.Continuous)
	schema.Put(v, schema.FStops, &n.meter.Marks)
	schema.Put(v, schema.Receptor, &n.meter.Receptor)
	n.receptorNoted = v.Given(schema.Receptor)
	n.meter.Constant = in.Constant
	if tolerance, ok := schema.Get(v, schema.Tolerant); ok {
		in.ToleranceStops = tolerance.Half()
		if !tolerance.EachSide {
			n.take("tolerance_in_all", "half", tolerance.Half())
		}
	}
	if r, ok := schema.Get(v, schema.Repeatability); ok {
		in.Repeatability = &r
	}
	if target, ok := schema.Get(v, schema.Target); ok {
		in.Target = &target
	}
	for _, role := range schema.TargetRoles {
		if stops, ok := schema.Get(v, schema.Targets[role]); ok {
			in.AreaTargets = append(in.AreaTargets, ratio.AreaTarget{Role: role, Stops: stops})
		}
	}
}

// noteSources puts the scene behind the title and says what is not from the table itself.
func (n *ratioNotes) noteSources(v *schema.Values, table string) {
	if file, scene := v.From(schema.Scene); file == table {
		n.input.Title = strings.TrimPrefix(n.input.Title+", "+scene, ", ")
	}
	for _, note := range schema.Notes {
		switch note {
		case schema.Title, schema.Scene, schema.Date, schema.Mark:
			continue // seen in the result
		}
		if file, text := v.From(note); file != "" && file != table {
			n.take("note_from", "note", note.Declaration().Name, "text", text, "file", file)
		}
	}
}

// missingForContinuous says what an f-number of continuous light needs.
func missingForContinuous(hasISO bool, shutterS float64) string {
	switch {
	case !hasISO && !(shutterS > 0):
		return "notes iso and shutter, since an f-number of continuous light is valid for these only; or a level in lx or fc"
	case !hasISO:
		return "a note iso, since an f-number of continuous light is valid for one speed only; or a level in lx or fc"
	case !(shutterS > 0):
		return "a note shutter, since an f-number of continuous light is valid for one shutter only; or a level in lx or fc"
	}
	return ""
}

// note keeps what a level was read in.
func (n *ratioNotes) note(unit photometry.Unit, continuous bool) {
	n.units[unit] = true
	switch unit {
	case photometry.EV:
		n.needsISO = true
	case photometry.FStop:
		n.needsISO = true
		n.continuousF = n.continuousF || continuous
		n.flashF = n.flashF || !continuous
	}
}

// assumeISO exposes at the speed that flash f-numbers were read at where no other
// is known.
func (n *ratioNotes) assumeISO() {
	if n.flashF && n.input.Camera.ISO == 0 {
		n.input.Camera.ISO = n.meter.ISO
		if !n.hasISO {
			n.input.Camera.ISO = 100
		}
	}
}

// sources are what was taken from elsewhere or assumed.
func (n *ratioNotes) sources() []photometry.Remark {
	if n.needsISO && !n.hasISO {
		n.take("read_at_iso_100")
	}
	if n.continuousF && !n.meter.Continuous {
		n.take("ambient_f_continuous", "shutter", photometry.Shutter(n.meter.ShutterS))
	}
	return n.taken
}
