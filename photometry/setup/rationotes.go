package setup

import (
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/table"
)

// ratioNoteFields are the notes that a table of lights at marks may have.
var ratioNoteFields = []table.Field{
	{Name: "title", Aliases: []string{"surface", "name"}}, {Name: "scene"}, {Name: "date"}, {Name: "for", Aliases: []string{"kind"}}, {Name: "mark"},
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
	input    ratio.Input
	meter    photometry.Meter // that the readings were taken with
	mark     string
	warnings []table.Warning

	options     RatioOptions
	file        map[string]table.Note // of the table
	ruling      map[string]table.Note // of the options
	hasISO      bool                  // for the meter
	needsISO    bool
	readLux     bool
	readFC      bool
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
		e := &table.Error{File: t.File, Sheet: t.Name, Line: note.Line, Column: note.Column, Found: note.Value, Expected: expected}
		if _, ruled := n.ruling[note.Key]; ruled {
			e.File, e.Sheet = n.from(note.Key), ""
		}
		t.errs = append(t.errs, e)
	}
	for _, note := range t.Notes {
		at, unit, nearest := table.Match(ratioNoteFields, note.Key)
		if at < 0 {
			n.warnings = append(n.warnings, table.Warning{File: t.File, Sheet: t.Name, Line: note.Line, Column: note.Column,
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
