package colorimetry

import (
	"slices"

	"evenfall/photometry"
)

// Finding is one thing worth telling about a result; see photometry.Finding.
type Finding = photometry.Finding

// Findings are what a result says beside its figures; both are empty, never
// absent.
type Findings struct {
	Advice   []Finding `json:"advice"`
	Warnings []Finding `json:"warnings"`
}

func (f *Findings) advise(key string, namesAndValues ...any) {
	f.Advice = append(f.Advice, photometry.Found(key, namesAndValues...))
}

func (f *Findings) warn(key string, namesAndValues ...any) {
	f.Warnings = append(f.Warnings, photometry.Found(key, namesAndValues...))
}

// warnOfGels adds what is odd about the gels of a bag.
func (f *Findings) warnOfGels(bag []Gel) {
	for _, g := range bag {
		f.Warnings = append(f.Warnings, g.Findings()...)
	}
}

// advised reports whether a code is among the advice.
func (f *Findings) advised(code string) bool {
	return slices.ContainsFunc(f.Advice, func(a Finding) bool { return a.Code == code })
}

// noFindings is a result that says nothing yet.
func noFindings() Findings { return Findings{Advice: []Finding{}, Warnings: []Finding{}} }
