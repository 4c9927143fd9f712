package colorimetry

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
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
	Expected string // what is allowed, to follow the word "expected"
	Err      error  // what lies beneath, nil as a rule
}

// Error names the gel and the problem.
func (e *GelError) Error() string { return fmt.Sprintf("gel %q: %s", e.Gel, e.Problem) }

// Unwrap returns the error beneath, if any.
func (e *GelError) Unwrap() error { return e.Err }

// gelFaults collects what is wrong with a gel.
type gelFaults struct {
	gel  string
	errs []error
}

// add adds a fault, with %w one that has an error beneath.
func (f *gelFaults) add(field GelField, expected, format string, args ...any) {
	err := fmt.Errorf(format, args...)
	f.errs = append(f.errs, &GelError{f.gel, field, err.Error(), expected, errors.Unwrap(err)})
}

// Check returns what is wrong with the gel's figures, all of it together as
// joined *GelError, or nil.
func (g Gel) Check() error {
	f := &gelFaults{gel: g.Name}
	if strings.TrimSpace(g.Name) == "" {
		f.add(GelName, "a name for the gel", "it has no name")
	}
	if !photometry.Finite(g.Mired) || math.Abs(g.Mired) > 500 {
		f.add(GelMired, "a mired shift within ±500, positive for warming", "%v mired is no gel's shift; they lie within ±500", g.Mired)
	}
	if !photometry.Finite(float64(g.CC)) || math.Abs(float64(g.CC)) > 100 {
		f.add(GelCC, "a filter of at most CC100, such as 30G or 15M", "CC filters end at CC100; %v points is none", float64(g.CC))
	}
	if t := g.Transmittance; t != nil && !(*t > 0 && *t <= 1) {
		f.add(GelTransmittance, "more than 0 and at most 100 %", "transmission %g %% is not possible; a gel passes more than 0 and at most 100 %%", *t*100)
	}
	g.checkKind(f)
	g.checkSource(f)
	switch {
	case g.XY != nil || g.Mired != 0 || g.CC != 0:
	case g.Kind != ND:
		f.add(GelMired, "a mired shift, CC points or a chromaticity, or the kind ND", "it has neither a mired shift, nor CC points, nor a chromaticity")
	case g.Transmittance == nil:
		f.add(GelTransmittance, "an ND's transmission, such as 50 % for a stop", "an ND needs its transmission")
	}
	return errors.Join(f.errs...)
}

// checkKind checks the figures against the kind of gel.
func (g Gel) checkKind(f *gelFaults) {
	switch {
	case g.Kind == CTO && g.Mired < 0:
		f.add(GelMired, "a positive shift, since a CTO warms", "a CTO warms, so its mired shift is positive, not %g", g.Mired)
	case g.Kind == CTB && g.Mired > 0:
		f.add(GelMired, "a negative shift, since a CTB cools", "a CTB cools, so its mired shift is negative, not %g", g.Mired)
	case g.Kind == PlusGreen && g.CC < 0:
		f.add(GelCC, "green points such as 30G for a plus green", "a plus green has green CC points, not %v", g.CC)
	case g.Kind == MinusGreen && g.CC > 0:
		f.add(GelCC, "magenta points such as 30M for a minus green", "a minus green has magenta CC points, not %v", g.CC)
	}
}

// checkSource checks the light source and the chromaticity measured with it.
func (g Gel) checkSource(f *gelFaults) {
	if g.Source != "" {
		if _, err := SourceSpectrum(g.Source); err != nil {
			f.add(GelSource, "A, D50, D55, D65, D75, E or a color temperature such as 3200K", "%w", err)
		}
	}
	if g.XY == nil {
		return
	}
	if err := g.XY.Check(); err != nil {
		f.add(GelXY, "a chromaticity that light can have", "%w", err)
	}
	if g.Source == "" {
		f.add(GelSource, "the light source that the chromaticity was measured with (A, D65, 3200K, …)",
			"its chromaticity says nothing without the light source it was measured with (A, D65, 3200K, …)")
	}
}
