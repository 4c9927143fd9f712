package survey

import (
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
)

// noteSet holds what the notes of all sheets said, and turns it into settings.
type noteSet struct {
	settings    Settings
	title       string
	reference   string // label or x,y as written
	referenceAt *[2]float64
	area        *spatial.Box
	width       float64 // m, 0 for not given
	height      float64
	columns     int // grid: 9x5
	rows        int
	lamp, date  string
	lengthUnit  string
	light       string
	tolerance   *Limits
	mired, duv  float64
	fps         float64
	inferred    []string

	said     map[string]table.Note // by key, the first that said it
	saidIn   map[string]*table.Sheet
	warnings []table.Warning
	errors   table.Errors
	late     []lateNote // that need others first
}

type lateNote struct {
	sheet *table.Sheet
	note  table.Note
}

func newNoteSet() *noteSet {
	n := &noteSet{said: map[string]table.Note{}, saidIn: map[string]*table.Sheet{}, lengthUnit: "m"}
	n.settings.Kind = anySurface
	return n
}

// noteFields are the keys that a survey's notes may have.
var noteFields = []table.Field{
	{Name: "surface", Aliases: []string{"title", "name"}}, {Name: "for", Aliases: []string{"kind"}}, {Name: "tolerance"},
	{Name: "color tolerance", Aliases: []string{"colour tolerance"}}, {Name: "reference"}, {Name: "area"}, {Name: "repeatability"},
	{Name: "resolution"}, {Name: "receptor"}, {Name: "light"}, {Name: "iso"}, {Name: "shutter"}, {Name: "frame rate", Aliases: []string{"fps"}},
	{Name: "marks"}, {Name: "width"}, {Name: "height"}, {Name: "grid"}, {Name: "lamp"}, {Name: "date"}, {Name: "length unit"},
	{Name: "constant"},
}

// lateKeys are read after the others, since they need them.
var lateKeys = map[string]bool{"shutter": true, "width": true, "height": true, "area": true, "reference": true}

// take reads the notes of a sheet.
func (n *noteSet) take(sheet *table.Sheet) {
	for _, note := range sheet.Notes {
		at, unit, nearest := table.Match(noteFields, note.Key)
		if at < 0 {
			n.warnings = append(n.warnings, table.Warning{File: sheet.File, Sheet: sheet.Name, Line: note.Line, Column: note.Column,
				Text: "unknown note " + quote(note.Key) + " is left out; the nearest known one is " + quote(nearest)})
			continue
		}
		note.Key = noteFields[at].Name
		if unit != "" {
			note.Value += " " + unit
		}
		if before, twice := n.said[note.Key]; twice {
			if n.saidIn[note.Key].File == commandLine {
				continue // the command line wins
			}
			if before.Value != note.Value && note.Key != "surface" && note.Key != "date" && note.Key != "lamp" {
				n.fail(sheet, note, "the "+note.Key+" "+quote(before.Value)+" that another note gives")
			}
			continue
		}
		n.said[note.Key], n.saidIn[note.Key] = note, sheet
		if lateKeys[note.Key] {
			n.late = append(n.late, lateNote{sheet, note})
			continue
		}
		n.read(sheet, note)
	}
}

func (n *noteSet) fail(sheet *table.Sheet, note table.Note, expected string) {
	n.errors = append(n.errors, sheet.Error(table.Cell{Text: note.Value, Line: note.Line, Column: note.Column}, expected))
}

// failWith reports an error of parsing, keeping what it expected.
func (n *noteSet) failWith(sheet *table.Sheet, note table.Note, err error) {
	n.fail(sheet, note, expectedOf(err))
}

// read understands one note that needs no other.
func (n *noteSet) read(sheet *table.Sheet, note table.Note) {
	number := lenient(sheet.Dialect)
	positive := func(expected string) (float64, bool) {
		v, err := number(note.Value)
		if err != nil || !(v > 0) || math.IsInf(v, 0) {
			n.fail(sheet, note, expected)
			return 0, false
		}
		return v, true
	}
	switch note.Key {
	case "surface":
		n.title = note.Value
	case "for":
		kind, err := KindNamed(note.Value)
		if err != nil {
			n.failWith(sheet, note, err)
		}
		n.settings.Kind = kind
	case "tolerance":
		stops, each, err := ParseTolerance(note.Value, number)
		if err != nil {
			n.failWith(sheet, note, err)
			return
		}
		n.tolerance = &Limits{Stops: stops, EachSide: each}
	case "color tolerance":
		mired, duv, err := ParseColorTolerance(note.Value, number)
		if err != nil {
			n.failWith(sheet, note, err)
			return
		}
		n.mired, n.duv = mired, duv
	case "repeatability":
		v, err := number(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(note.Value), "%")))
		if err != nil || v < 0 || v > 50 || !strings.Contains(note.Value, "%") {
			n.fail(sheet, note, "a repeatability in percent such as 2 %")
			return
		}
		v /= 100
		n.settings.Repeatability = &v
	case "resolution":
		v, err := photometry.ParseStops(note.Value, number)
		if err != nil || v < 0 || !strings.Contains(strings.ToLower(note.Value), "stop") && !strings.Contains(note.Value, "EV") {
			n.fail(sheet, note, "a resolution in stops such as 0.1 stop")
			return
		}
		n.settings.Resolution = v
	case "receptor":
		r, err := photometry.ParseReceptor(note.Value)
		if err != nil {
			n.failWith(sheet, note, err)
		}
		n.settings.Meter.Receptor = r
	case "light":
		n.light = strings.ToLower(note.Value)
		switch n.light {
		case "continuous", "constant":
			n.settings.Meter.Continuous = true
		case "flash":
		default:
			n.fail(sheet, note, "continuous or flash")
		}
	case "iso":
		if v, ok := positive("an ISO speed such as 800"); ok {
			n.settings.Meter.ISO, n.settings.HasISO = v, true
		}
	case "constant":
		if v, ok := positive("a calibration constant such as 250"); ok {
			n.settings.Meter.Constant = v
		}
	case "frame rate":
		if v, ok := positive("frames a second such as 24"); ok {
			n.fps = v
		}
	case "marks":
		switch strings.ToLower(note.Value) {
		case "third", "thirds", "1/3":
			n.settings.Meter.Marks = photometry.Thirds
		case "half", "halves", "1/2":
			n.settings.Meter.Marks = photometry.Halves
		case "full":
			n.settings.Meter.Marks = photometry.Full
		default:
			n.fail(sheet, note, "third or half")
		}
	case "grid":
		n.readGrid(sheet, note)
	case "lamp":
		n.lamp = note.Value
	case "date":
		n.date = note.Value
	case "length unit":
		if _, ok := table.LengthFactor(note.Value); !ok {
			n.fail(sheet, note, "a unit of length: "+strings.Join(lengthUnits, ", "))
			return
		}
		n.lengthUnit = note.Value
	}
}

// readGrid reads edges, centers, or a count of columns and rows such as 9x5.
func (n *noteSet) readGrid(sheet *table.Sheet, note table.Note) {
	for _, word := range strings.FieldsFunc(strings.ToLower(note.Value), func(r rune) bool { return r == ',' || r == ';' || r == ' ' }) {
		switch word {
		case "edges", "edge":
			n.settings.Edges = true
		case "centers", "center", "centres", "cells":
			n.settings.Edges = false
		default:
			columns, rows, err := ParseGridSize(word)
			if err != nil {
				n.fail(sheet, note, "edges, centers or a count such as 9x5 (9 across, 5 up)")
				return
			}
			n.columns, n.rows = columns, rows
		}
	}
}

// finish reads the notes that had to wait and applies the tolerance over the
// kind's own.
func (n *noteSet) finish() {
	for _, l := range n.late {
		n.readLate(l.sheet, l.note)
	}
	n.settings.Limits = n.settings.Kind.limits()
	if n.tolerance != nil {
		n.settings.Limits.Stops, n.settings.Limits.EachSide = n.tolerance.Stops, n.tolerance.EachSide
		n.settings.Limits.GoodStops = nil
	}
	if n.mired > 0 {
		n.settings.Limits.Mired = n.mired
	}
	if n.duv > 0 {
		n.settings.Limits.Duv = n.duv
	}
	if n.fps > 0 && n.settings.ShutterS == 0 && len(n.errors) == 0 {
		n.settings.ShutterS = photometry.ShutterFromAngle(180, n.fps)
		n.inferred = append(n.inferred, "a 180° shutter at the frame rate: "+photometry.FormatShutter(n.settings.ShutterS))
	}
	n.settings.Meter.ShutterS = n.settings.ShutterS
	n.settings.Sized = n.width > 0 && n.height > 0
}

func (n *noteSet) readLate(sheet *table.Sheet, note table.Note) {
	length := func(text string) (float64, error) {
		v, err := sheet.Dialect.Length(text, n.lengthUnit)
		if err != nil {
			v, err = table.ParseLength(text, n.lengthUnit)
		}
		return v, err
	}
	switch note.Key {
	case "shutter":
		text := note.Value
		if sheet.Dialect.Decimal == ',' {
			text = strings.ReplaceAll(text, ",", ".")
		}
		v, err := photometry.ParseShutter(text, n.fps)
		if err != nil {
			n.failWith(sheet, note, err)
			return
		}
		n.settings.ShutterS = v
	case "width", "height":
		v, err := length(note.Value)
		if err != nil || !(v > 0) || math.IsInf(v, 0) {
			n.fail(sheet, note, "a "+note.Key+" above zero such as 4.8 m")
			return
		}
		if note.Key == "width" {
			n.width = v
		} else {
			n.height = v
		}
	case "area":
		v, err := numberList(note.Value, 4, length)
		if err != nil || !(v[0] < v[2] && v[1] < v[3]) {
			n.fail(sheet, note, "the part in shot as x0,y0,x1,y1 with x0 < x1 and y0 < y1")
			return
		}
		n.area = &spatial.Box{X0: v[0], Y0: v[1], X1: v[2], Y1: v[3]}
	case "reference":
		n.reference = note.Value
		if v, err := numberList(note.Value, 2, length); err == nil {
			n.referenceAt = &[2]float64{v[0], v[1]}
		}
	}
}

// numberList reads n numbers set apart by semicolons, or by commas, or by
// spaces; with decimal commas the numbers are set apart by "; " or ", ".
func numberList(text string, n int, number func(string) (float64, error)) ([]float64, error) {
	wrong := &photometry.SyntaxError{Found: text, Expected: "numbers set apart by commas"}
	for _, split := range []func(string) []string{
		func(s string) []string { return strings.Split(s, ";") },
		func(s string) []string { return strings.Split(s, ",") },
		func(s string) []string { return strings.Split(s, ", ") },
		strings.Fields,
	} {
		parts := split(text)
		if len(parts) != n {
			continue
		}
		values := make([]float64, n)
		for i, p := range parts {
			v, err := number(strings.Trim(p, " ,;()"))
			if err != nil {
				return nil, wrong
			}
			values[i] = v
		}
		return values, nil
	}
	return nil, wrong
}

// lenient reads a number of a note: as the file's rows are written, or else
// with a decimal point, since notes are often typed by hand above an exported
// table.
func lenient(d table.Dialect) func(string) (float64, error) {
	return func(text string) (float64, error) {
		v, err := d.Number(text)
		if err != nil {
			v, err = table.ParseNumber(text)
		}
		return v, err
	}
}
