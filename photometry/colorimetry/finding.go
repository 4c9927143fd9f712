package colorimetry

import (
	"fmt"
	"slices"

	"evenfall/photometry"
)

// Finding is one thing worth telling about a result: a stable word for
// programs and a sentence for people.
type Finding = photometry.Finding

// Findings are what a result says beside its figures; both are empty, never
// absent.
type Findings struct {
	Advice   []Finding `json:"advice"`
	Warnings []Finding `json:"warnings"`
}

func finding(code, format string, args ...any) Finding {
	return Finding{Code: code, Text: fmt.Sprintf(format, args...)}
}

func (f *Findings) advise(code, format string, args ...any) {
	f.Advice = append(f.Advice, finding(code, format, args...))
}

func (f *Findings) warn(code, format string, args ...any) {
	f.Warnings = append(f.Warnings, finding(code, format, args...))
}

// warnOfGels adds what is odd about the gels of a bag.
func (f *Findings) warnOfGels(bag []Gel) {
	for _, g := range bag {
		f.Warnings = append(f.Warnings, g.Findings()...)
	}
}

// advised tells whether a code is among the advice.
func (f *Findings) advised(code string) bool {
	return slices.ContainsFunc(f.Advice, func(a Finding) bool { return a.Code == code })
}

// noFindings is a result that says nothing yet.
func noFindings() Findings { return Findings{Advice: []Finding{}, Warnings: []Finding{}} }
