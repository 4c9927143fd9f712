package colorimetry

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// GelField names a figure of a gel, so that whoever read it from a table can
// find its cell.
type GelField uint8

// The figures of a gel.
const (
	GelName GelField = iota
	GelMired
	GelCC
	GelTransmittance
	GelXY
	GelSource
)

// GelError is one thing wrong with one figure of a gel.
type GelError struct {
	Gel      string
	Field    GelField
	Problem  string // a sentence without its period, for people
	Expected string // what could stand there, to follow the word "expected"
	Err      error  // what lies beneath, nil as a rule
}

// Error names the gel and the problem.
func (e *GelError) Error() string { return fmt.Sprintf("gel %q: %s", e.Gel, e.Problem) }

// Unwrap returns the error beneath, if any.
func (e *GelError) Unwrap() error { return e.Err }

// Check returns what is wrong with the gel's figures, all of it together as
// joined *GelError, or nil.
func (g Gel) Check() error {
	var errs []error
	fail := func(field GelField, expected string, beneath error, format string, args ...any) {
		errs = append(errs, &GelError{g.Name, field, fmt.Sprintf(format, args...), expected, beneath})
	}
	if strings.TrimSpace(g.Name) == "" {
		fail(GelName, "a name for the gel", nil, "it has no name")
	}
	if !finite(g.Mired) || math.Abs(g.Mired) > 500 {
		fail(GelMired, "a mired shift within ±500, positive for warming", nil, "%v mired is no gel's shift; they lie within ±500", g.Mired)
	}
	if !finite(float64(g.CC)) || math.Abs(float64(g.CC)) > 100 {
		fail(GelCC, "a filter of at most CC100, such as 30G or 15M", nil, "CC filters end at CC100; %v points is none", float64(g.CC))
	}
	if t := g.Transmittance; t != nil && !(*t > 0 && *t <= 1) {
		fail(GelTransmittance, "more than 0 and at most 100 %", nil, "transmission %g %% is not possible; a gel passes more than 0 and at most 100 %%", *t*100)
	}
	switch {
	case g.Kind == CTO && g.Mired < 0:
		fail(GelMired, "a positive shift, since a CTO warms", nil, "a CTO warms, so its mired shift is positive, not %g", g.Mired)
	case g.Kind == CTB && g.Mired > 0:
		fail(GelMired, "a negative shift, since a CTB cools", nil, "a CTB cools, so its mired shift is negative, not %g", g.Mired)
	case g.Kind == PlusGreen && g.CC < 0:
		fail(GelCC, "green points such as 30G for a plus green", nil, "a plus green has green CC points, not %v", g.CC)
	case g.Kind == MinusGreen && g.CC > 0:
		fail(GelCC, "magenta points such as 30M for a minus green", nil, "a minus green has magenta CC points, not %v", g.CC)
	}
	if g.Source != "" {
		if _, err := SourceSpectrum(g.Source); err != nil {
			fail(GelSource, "A, D50, D55, D65, D75, E or a color temperature such as 3200K", err, "%v", err)
		}
	}
	if g.XY != nil {
		if err := g.XY.Check(); err != nil {
			fail(GelXY, "a chromaticity that light can have", err, "%v", err)
		}
		if g.Source == "" {
			fail(GelSource, "the light source that the chromaticity was measured with (A, D65, 3200K, …)", nil,
				"its chromaticity says nothing without the light source it was measured with (A, D65, 3200K, …)")
		}
	}
	if g.XY == nil && g.Mired == 0 && g.CC == 0 && (g.Kind != ND || g.Transmittance == nil) {
		if g.Kind == ND {
			fail(GelTransmittance, "an ND's transmission, such as 50 % for a stop", nil, "an ND needs its transmission")
		} else {
			fail(GelMired, "a mired shift, CC points or a chromaticity, or the kind ND", nil, "it has neither a mired shift, nor CC points, nor a chromaticity")
		}
	}
	return errors.Join(errs...)
}
