package setup

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// ratioNoteFields are the notes that a table of lights at marks may have.
var ratioNoteFields = []table.Field{
	{Name: "title", Aliases: []string{"surface", "scene", "name"}}, {Name: "date"}, {Name: "for", Aliases: []string{"kind"}}, {Name: "mark"},
	{Name: "iso"}, {Name: "shutter", Aliases: []string{"shutter angle"}}, {Name: "frame rate", Aliases: []string{"fps"}},
	{Name: "nd"}, {Name: "filter factor"}, {Name: "transmittance", Aliases: []string{"transmission"}},
	{Name: "light"}, {Name: "marks"}, {Name: "t-stop", Aliases: []string{"t stop", "stop", "f-stop", "aperture"}}, {Name: "receptor"}, {Name: "constant"}, {Name: "repeatability"}, {Name: "resolution"},
	{Name: "target", Aliases: []string{"ratio"}}, {Name: "tolerance"}, {Name: "expose for", Aliases: []string{"exposure for"}},
	{Name: "mains"}, {Name: "length unit"},
	{Name: "background target"}, {Name: "back target"}, {Name: "hair target"}, {Name: "kicker target"}, {Name: "screen target"},
	{Name: "practical target"}, {Name: "ambient target"}, {Name: "spill target"},
}

// ratioNotes are the notes of a table and what they came to.
type ratioNotes struct {
	input    photometry.RatioInput
	meter    photometry.Meter // that the readings were taken with
	mark     string
	warnings []table.Warning

	options     RatioOptions
	file        map[string]table.Note // of the table
	ruling      map[string]table.Note // of the options
	hasISO      bool                  // for the meter
	needsISO    bool
	flashF      bool // f-numbers of flash were read
	continuousF bool
	taken       []string // from elsewhere
	report      func(note table.Note, expected string)
	number      func(string) (float64, error)
}

// newRatioNotes reads the notes of a table and those from elsewhere.
func newRatioNotes[T any](t *rows[T], o RatioOptions) *ratioNotes {
	n := &ratioNotes{mark: "the mark", options: o, file: map[string]table.Note{}, ruling: map[string]table.Note{}}
	if n.options.Setup == nil {
		n.options.Setup = &Settings{}
	}
	n.number = func(text string) (float64, error) {
		v, err := t.Dialect.Number(text)
		if err != nil {
			v, err = table.ParseNumber(text)
		}
		return v, err
	}
	n.report = func(note table.Note, expected string) {
		e := &table.Error{File: t.File, Sheet: t.Sheet, Line: note.Line, Column: note.Column, Found: note.Value, Expected: expected}
		if _, ruled := n.ruling[note.Key]; ruled {
			e.File, e.Sheet = n.from(note.Key), ""
		}
		t.errs = append(t.errs, e)
	}
	for _, note := range t.Notes {
		at, unit, nearest := table.Match(ratioNoteFields, note.Key)
		if at < 0 {
			n.warnings = append(n.warnings, table.Warning{File: t.File, Sheet: t.Sheet, Line: note.Line, Column: note.Column,
				Text: fmt.Sprintf("unknown note %q is left out; the nearest known one is %q", note.Key, nearest)})
			continue
		}
		note.Key = ratioNoteFields[at].Name
		if unit != "" {
			note.Value += " " + unit
		}
		if before, twice := n.file[note.Key]; twice {
			if before.Value != note.Value {
				n.report(note, fmt.Sprintf("each note once; line %d says %q", before.Line, before.Value))
			}
			continue
		}
		n.file[note.Key] = note
	}
	for _, note := range o.Notes {
		n.ruling[note.Key] = note
	}
	n.meterNotes()
	n.setup()
	applied := func(key string) (table.Note, bool) {
		note, ok := n.ruling[key]
		if ok {
			n.taken = append(n.taken, fmt.Sprintf("%s %s from %s", key, note.Value, n.from(key)))
		} else {
			note, ok = n.file[key]
		}
		return note, ok
	}
	// Frame rate before shutter, since an angle needs it.
	if note, ok := applied("frame rate"); ok {
		n.apply(note)
	}
	for _, f := range ratioNoteFields {
		if f.Name == "frame rate" {
			continue
		}
		if note, ok := applied(f.Name); ok {
			n.apply(note)
		}
	}
	if c := &n.input.Camera; c.ShutterS == 0 && c.FramesPerSecond > 0 && !n.says("shutter") {
		c.ShutterS = photometry.ShutterFromAngle(180, c.FramesPerSecond)
		n.taken = append(n.taken, "a 180° shutter at the frame rate: "+photometry.FormatShutter(c.ShutterS))
	}
	if n.meter.ShutterS == 0 {
		n.meter.ShutterS = n.input.Camera.ShutterS
	}
	return n
}

// says tells whether the table or the options' notes have a key.
func (n *ratioNotes) says(key string) bool {
	_, inFile := n.file[key]
	_, ruled := n.ruling[key]
	return inFile || ruled
}

// from names where a ruling note is from.
func (n *ratioNotes) from(key string) string {
	if n.options.NotesFrom == nil {
		return "command line"
	}
	return n.options.NotesFrom(key)
}

// setup takes from the set-up's own table what no note says.
func (n *ratioNotes) setup() {
	s, c := n.options.Setup, &n.input.Camera
	take := func(key, shown string, there bool, set func()) {
		if there && !n.says(key) {
			set()
			if shown != "" {
				n.taken = append(n.taken, fmt.Sprintf("%s %s from %s", key, shown, n.options.SetupFrom))
			}
		}
	}
	number := shortest
	take("title", "", s.Title != "", func() { n.input.Title = s.Title })
	take("date", "", s.Date != "", func() { n.input.Date = s.Date })
	take("mark", "", s.Mark != "", func() { n.mark = s.Mark })
	take("iso", number(s.ISO), s.ISO > 0, func() { c.ISO = s.ISO })
	take("frame rate", number(s.FrameRate), s.FrameRate > 0, func() { c.FramesPerSecond = s.FrameRate })
	take("shutter", s.Shutter, s.ShutterS > 0, func() { c.ShutterS = s.ShutterS })
	take("nd", photometry.FormatStops(s.NDStops), s.NDStops > 0, func() { c.NDStops = s.NDStops })
	take("filter factor", number(s.FilterFactor), s.FilterFactor > 0, func() { c.FilterFactor = s.FilterFactor })
	take("mains", number(s.MainsHz)+" Hz", s.MainsHz > 0, func() { n.input.MainsHz = s.MainsHz })
	take("t-stop", s.TStop, s.TStop != "", func() {
		if stop, ok := n.stop(s.TStop); ok {
			c.SetStop = stop
			return
		}
		n.warnings = append(n.warnings, table.Warning{File: n.options.SetupFrom, Text: fmt.Sprintf("the T-stop %q is left out: expected one such as T4 or 2.8 1/3", s.TStop)})
	})
}

// meterNotes settle what the meter was set to: the file's own notes first.
func (n *ratioNotes) meterNotes() {
	value := func(key string) string {
		if note, ok := n.file[key]; ok {
			return note.Value
		}
		return n.ruling[key].Value
	}
	// What is wrong with them is told where they are applied.
	s := n.options.Setup
	n.meter.ISO = s.ISO
	if v, err := n.number(bare(value("iso"))); err == nil && v > 0 {
		n.meter.ISO = v
	}
	n.hasISO = n.meter.ISO > 0
	rate := s.FrameRate
	if v, err := n.number(bare(value("frame rate"))); err == nil && v > 0 {
		rate = v
	}
	switch text := value("shutter"); {
	case text != "":
		n.meter.ShutterS, _ = n.shutter(text, rate)
	case s.ShutterS > 0:
		n.meter.ShutterS = s.ShutterS
	case rate > 0:
		n.meter.ShutterS = photometry.ShutterFromAngle(180, rate)
	}
}

// bare is a number without the words that people put beside it.
func bare(text string) string {
	text = strings.TrimSpace(text)
	for _, word := range []string{"ISO", "EI"} {
		if len(text) > len(word) && strings.EqualFold(text[:len(word)], word) {
			text = strings.TrimSpace(text[len(word):])
		}
	}
	for _, word := range []string{"frames a second", "frames per second", "fps", "x", "×"} {
		if n := len(text) - len(word); n > 0 && strings.EqualFold(text[n:], word) {
			text = strings.TrimSpace(text[:n])
		}
	}
	return text
}

// shutter reads a shutter written with either decimal sign.
func (n *ratioNotes) shutter(text string, rate float64) (float64, error) {
	return photometry.ParseShutter(strings.ReplaceAll(text, ",", "."), rate)
}

// apply understands one note.
func (n *ratioNotes) apply(note table.Note) {
	in := &n.input
	positive := func(to *float64, low, high float64, expected string) {
		v, err := n.number(bare(note.Value))
		if err != nil || !(v > low) || v > high || math.IsInf(v, 0) {
			n.report(note, expected)
			return
		}
		*to = v
	}
	syntax := func(err error) bool {
		if err != nil {
			n.report(note, syntaxExpected(err))
		}
		return err == nil
	}
	if role, ok := strings.CutSuffix(note.Key, " target"); ok {
		stops, err := photometry.ParseStops(strings.TrimPrefix(strings.TrimSpace(note.Value), "+"), n.number)
		if err != nil || math.Abs(stops) > 20 {
			n.report(note, "stops from the key, such as -1 or +1/2 stop")
			return
		}
		in.AreaTargets = append(in.AreaTargets, photometry.AreaTarget{Role: photometry.Role(role), Stops: stops})
		return
	}
	switch note.Key {
	case "title":
		in.Title = note.Value
	case "date":
		in.Date = note.Value
	case "mark":
		if note.Value != "" {
			n.mark = note.Value
		}
	case "iso":
		positive(&in.Camera.ISO, 0, 1e8, "an ISO speed such as 800")
	case "frame rate":
		positive(&in.Camera.FramesPerSecond, 1e-3, 1e6, "frames a second such as 24")
	case "shutter":
		v, err := n.shutter(note.Value, in.Camera.FramesPerSecond)
		if syntax(err) {
			in.Camera.ShutterS = v
		}
	case "nd":
		stops, ok := n.density(note.Value)
		if !ok {
			n.report(note, "a neutral density such as 0.6 (0.3 a stop), or 2 stops")
			return
		}
		in.Camera.NDStops = stops
	case "filter factor":
		positive(&in.Camera.FilterFactor, 1-1e-12, 1e6, "a filter factor of 1 or more")
	case "transmittance":
		text, percent := strings.CutSuffix(strings.TrimSpace(note.Value), "%")
		v, err := n.number(strings.TrimSpace(text))
		if percent {
			v /= 100
		}
		if err != nil || !(v > 0 && v <= 1) {
			n.report(note, "the lens's transmittance such as 0.8 or 80 %")
			return
		}
		in.Camera.Transmittance = v
	case "t-stop":
		n.setStop(note)
	case "light":
		switch strings.ToLower(note.Value) {
		case "continuous", "constant":
			n.meter.Continuous = true
		case "flash":
		default:
			n.report(note, "continuous or flash")
		}
	case "marks":
		switch strings.ToLower(note.Value) {
		case "third", "thirds", "1/3":
		case "half", "halves", "1/2":
			n.meter.Marks = photometry.Halves
		case "full":
			n.meter.Marks = photometry.Full
		default:
			n.report(note, "third or half")
		}
	case "receptor":
		r, err := photometry.ParseReceptor(note.Value)
		if syntax(err) {
			n.meter.Receptor = r
		}
	case "constant":
		positive(&in.Constant, 0, 1e6, "a calibration constant such as 250")
		n.meter.Constant = in.Constant
	case "repeatability":
		text, percent := strings.CutSuffix(strings.TrimSpace(note.Value), "%")
		v, err := n.number(strings.TrimSpace(text))
		if err != nil || !percent || !(v >= 0 && v <= 50) {
			n.report(note, "a repeatability in percent such as 2 %")
			return
		}
		v /= 100
		in.Repeatability = &v
	case "resolution":
		v, err := photometry.ParseStops(note.Value, n.number)
		if err != nil || !(v >= 0 && v <= 2) {
			n.report(note, "a resolution in stops such as 0.1 stop")
			return
		}
		in.Resolution = v
	case "target":
		v, err := photometry.ParseRatio(note.Value, n.number)
		if syntax(err) {
			in.Target = &v
		}
	case "tolerance":
		text := strings.TrimSpace(strings.TrimLeft(strings.TrimPrefix(strings.TrimSpace(note.Value), "+/-"), "±"))
		v, err := photometry.ParseStops(text, n.number)
		if err != nil || !(v > 0 && v <= 20) {
			n.report(note, "stops on each side such as ±1/3 stop")
			return
		}
		in.ToleranceStops = v
	case "expose for":
		role, err := ParseRole(note.Value)
		if err != nil {
			n.report(note, "the light to expose for, such as key+fill or key")
			return
		}
		in.ExposeFor = role
	case "mains":
		v, err := n.number(strings.TrimSpace(strings.TrimSuffix(strings.ToLower(strings.TrimSpace(note.Value)), "hz")))
		if err != nil || !(v >= 10 && v <= 1000) {
			n.report(note, "the mains frequency, 50 Hz or 60 Hz")
			return
		}
		in.MainsHz = v
	}
}

// density reads neutral density as 0.6, ND 0.6 or 2 stops into stops.
func (n *ratioNotes) density(text string) (stops float64, ok bool) {
	bare := strings.ToLower(strings.TrimSpace(text))
	bare = strings.TrimSpace(strings.TrimPrefix(bare, "nd"))
	if bare == "none" || bare == "clear" {
		return 0, true
	}
	if strings.Contains(bare, "stop") {
		v, err := photometry.ParseStops(bare, n.number)
		return v, err == nil && v >= 0 && v <= 30
	}
	v, err := n.number(bare)
	return photometry.DensityStops(v), err == nil && v >= 0 && v <= 10
}

// setStop reads the stop that the lens is set to.
func (n *ratioNotes) setStop(note table.Note) {
	stop, ok := n.stop(note.Value)
	if !ok {
		n.report(note, "the stop that the lens is set to, such as T4 or f/2.8 1/3")
		return
	}
	n.input.Camera.SetStop = stop
}

// stop reads T4, f/4, 2.8 1/3 as an exact f-number.
func (n *ratioNotes) stop(text string) (fNumber float64, ok bool) {
	text = strings.TrimSpace(text)
	for _, prefix := range []string{"T/", "t/", "T", "t"} {
		if cut, found := strings.CutPrefix(text, prefix); found {
			text = strings.TrimSpace(cut)
			break
		}
	}
	// Read as a flash, its exposure gives the f-number back.
	m := photometry.Meter{Unit: photometry.FStop, Marks: n.meter.Marks, Number: n.number}
	level, unit, err := m.ParseLevel(text)
	if err != nil || unit != photometry.FStop {
		return 0, false
	}
	return photometry.FlashFNumber(level.Value, m.Speed(), m.IncidentConstant()), true
}

// missingForContinuous says what an f-number of continuous light needs.
func (n *ratioNotes) missingForContinuous() string {
	switch {
	case !n.hasISO && !(n.meter.ShutterS > 0):
		return "notes iso and shutter, since an f-number of continuous light holds for these only; or a level in lx or fc"
	case !n.hasISO:
		return "a note iso, since an f-number of continuous light holds for one speed only; or a level in lx or fc"
	case !(n.meter.ShutterS > 0):
		return "a note shutter, since an f-number of continuous light holds for one shutter only; or a level in lx or fc"
	}
	return ""
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

// told says what was taken from elsewhere or assumed.
func (n *ratioNotes) told() []string {
	out := n.taken
	if n.needsISO && !n.hasISO {
		out = append(out, "f-numbers and EV were read at ISO 100, since no note says")
	}
	if n.continuousF && !n.meter.Continuous {
		out = append(out, "f-numbers of ambient light and practicals are of continuous light at "+photometry.FormatShutter(n.meter.ShutterS))
	}
	return out
}
