package schema

import (
	"cmp"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// Note is the declaration of a note or key whose value is a T.
type Note[T any] struct {
	Word
	parse func(text string, c Context) (T, error)
}

// Declared is any note.
type Declared interface {
	Declaration() *Word
	read(text string, c Context) (any, error)
}

func (n *Note[T]) read(text string, c Context) (any, error) { return n.parse(text, c) }

// Context is what a value's text is read with: how its file writes numbers, and the
// other notes.
type Context struct {
	values *Values
	source *Source
}

// number reads a number as the rows of the file are written, or else with a decimal
// point, since notes are often typed by hand above an exported table.
func (c Context) number(text string) (float64, error) {
	v, err := c.source.Dialect.Number(text)
	if err != nil {
		v, err = table.ParseNumber(text)
	}
	return v, err
}

// length reads a length in meters; a plain number is in the unit of the note “length
// unit”, else in feet or inches where the surface's size or its places are, on the command
// line in the one of --length before all of these.
func (c Context) length(text string) (float64, error) {
	unit := c.source.LengthUnit
	if unit == "" {
		said, _ := Get(c.values, LengthUnit)
		unit = cmp.Or(said, c.values.SizeUnit(), c.source.FileUnit, "m")
		if _, err := table.ParseNumber(strings.TrimSpace(text)); err == nil && c.source.of != nil {
			c.values.FlagUnit = unit
		}
	}
	v, err := c.source.Dialect.Length(text, unit)
	if err != nil {
		v, err = table.ParseLength(text, unit)
	}
	if err == nil && !(Bounds{Low: -FarthestM, High: FarthestM}).Hold(v) {
		err = wrong(text, "a length of at most 10 km")
	}
	return v, err
}

// wrong is a text that cannot be read.
func wrong(text, expected string) error {
	return &photometry.SyntaxError{Found: text, Expected: expected}
}

// Expected is what an error of reading a value says was expected.
func Expected(err error) string {
	switch e := err.(type) {
	case *photometry.SyntaxError:
		return e.Expected
	case *table.Error:
		return e.Expected
	}
	return err.Error()
}

// Parse reads one value by itself, as on a command line or in a form; plain lengths
// are in meters.
func Parse[T any](n *Note[T], text string) (T, error) {
	return n.parse(strings.TrimSpace(text), alone(n, text))
}

// Check is what is wrong with a value by itself, as Parse does.
func Check(n Declared, text string) error {
	_, err := n.read(strings.TrimSpace(text), alone(n, text))
	return err
}

func alone(n Declared, text string) Context {
	return Context{values: Read(0), source: Flag("", n, text, "m")}
}
