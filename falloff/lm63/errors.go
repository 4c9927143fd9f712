package lm63

import (
	"fmt"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// Error is one thing wrong at one place of a file: file, line, column (in
// characters, from 1; 0 where it is not known), what was found and what was
// expected. It is the error type of tables, so that both are printed alike.
type Error = table.Error

// Errors are all the errors of a file, in the order of their lines. Read
// returns no other type of error; errors.As finds the single *Error.
type Errors = table.Errors

// Warning is something a person should know about a file that was read anyway.
// Line is 0 where it concerns the file as a whole.
//
// Codes: unknown_generation, reserved_factor, generation_code, tilt_inline,
// negative_candela, planes_joined, seam, pole, cut_off, axial_plane,
// odd_angles, over_lamp_lumens, no_lamp_lumens, no_watts, opening,
// trailing_text.
type Warning struct {
	photometry.Finding
	File string `json:"file"`
	Line int    `json:"line,omitempty"`
}

// String returns the warning with its place, “file:line: text”.
func (w Warning) String() string {
	switch {
	case w.Line > 0:
		return fmt.Sprintf("%s:%d: %s", w.File, w.Line, w.Text)
	case w.File != "":
		return w.File + ": " + w.Text
	}
	return w.Text
}

// maxErrors is how many errors of a file are kept.
const maxErrors = 100

// report collects the errors and warnings of a file.
type report struct {
	file     string
	errors   Errors
	warnings []Warning
}

func (r *report) fail(e *Error) {
	if e.File == "" {
		e.File = r.file
	}
	if len(r.errors) < maxErrors {
		r.errors = append(r.errors, e)
	}
}

// failDescribed adds an error where what was found is described, not quoted.
func (r *report) failDescribed(line int, found, expected string) {
	r.fail(&Error{Line: line, Found: found, InWords: true, Expected: expected})
}

func (r *report) warn(line int, code, format string, args ...any) {
	r.warnings = append(r.warnings, Warning{
		Finding: photometry.Finding{Code: code, Text: fmt.Sprintf(format, args...)},
		File:    r.file, Line: line,
	})
}
