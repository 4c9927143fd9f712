package colorimetry

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
)

// Kind is the trade's name for what a gel is for.
type Kind string

// The kinds of gel. Of Other only the figures count.
const (
	CTO        Kind = "CTO"         // warming: color temperature orange
	CTB        Kind = "CTB"         // cooling: color temperature blue
	PlusGreen  Kind = "plus green"  // green CC
	MinusGreen Kind = "minus green" // magenta CC
	ND         Kind = "ND"          // neutral density
	Other      Kind = "other"
)

var kindNames = map[string]Kind{
	"cto": CTO, "warming": CTO, "warm": CTO, "orange": CTO,
	"ctb": CTB, "cooling": CTB, "cool": CTB, "blue": CTB,
	"plusgreen": PlusGreen, "+green": PlusGreen, "green": PlusGreen,
	"minusgreen": MinusGreen, "-green": MinusGreen, "magenta": MinusGreen,
	"nd": ND, "neutral": ND, "neutraldensity": ND, "gray": ND, "grey": ND,
	"other": Other, "": Other, "cc": Other, "conversion": Other, "effect": Other,
}

// ParseKind reads the kind of a gel as people write it: CTO, CTB, plus green,
// minus green, ND, or other words for these. Case, spaces and hyphens between
// words do not matter.
func ParseKind(s string) (Kind, error) {
	key := plain(s)
	if k, ok := kindNames[key]; ok {
		return k, nil
	}
	if k, ok := kindNames[strings.NewReplacer("-", "", "_", "").Replace(key)]; ok {
		return k, nil
	}
	return "", fmt.Errorf("kind of gel %q is not one of CTO, CTB, plus green, minus green, ND, other", s)
}

// Gel is one sheet of filter as its maker's sheet, or the trade's habit,
// describes it.
//
// What it does to color is taken from XY where that is given: the chromaticity
// of the light named by Source behind the gel. Otherwise from Mired and CC. With
// a Source the gel is modeled so that the source behind it reads exactly Mired
// warmer; without one Mired and CC are those of the filter models. In either
// case Transmittance, where given, is the luminous transmittance for the source;
// without a Source it is taken for 3200 K behind a cooling gel and for 5600 K
// behind any other.
type Gel struct {
	Name          string   `json:"name"`
	Kind          Kind     `json:"kind,omitempty"`
	Mired         float64  `json:"mired,omitempty"`         // shift, positive warms
	CC            CC       `json:"cc,omitempty"`            // points, positive green
	Transmittance *float64 `json:"transmittance,omitempty"` // luminous, over 0 to 1; absent: the model's
	XY            *XY      `json:"xy,omitempty"`            // of the source behind the gel
	Source        string   `json:"source,omitempty"`        // as SourceSpectrum reads it
	Nominal       bool     `json:"nominal,omitempty"`       // the trade's nominal figures, no maker's
}

// Percent returns a transmission in percent as the fraction that a Gel has.
func Percent(p float64) *float64 { return new(p / 100) }

// Filter returns the spectral model of the gel (see Gel). Errors are those of
// Check, and one where no filter model meets the sheet's figures.
func (g Gel) Filter() (*Filter, error) {
	if err := g.Check(); err != nil {
		return nil, err
	}
	source, err := g.source()
	if err != nil {
		return nil, err
	}
	shift, cc := g.Mired, g.CC
	switch {
	case g.XY != nil:
		p, q, ok := solveFilters(source, g.XY.UV())
		if !ok {
			return nil, fmt.Errorf("gel %q: %w: no conversion and CC filter together give %v behind %s", g.Name, ErrBeyondModel, *g.XY, g.Source)
		}
		shift, cc = p, CC(q)
	case g.Source != "" && g.Mired != 0:
		if shift, err = shiftAt(source, cc, g.Mired); err != nil {
			return nil, fmt.Errorf("gel %q: %w", g.Name, err)
		}
	}
	// One sheet has one pair of surfaces, whatever it does.
	f := NeutralFilter(-math.Log10(SurfaceTransmittance))
	switch {
	case shift != 0 && cc != 0:
		f = Combine(ConversionFilter(shift), CCFilter(cc))
		f.scale(1 / SurfaceTransmittance)
	case shift != 0:
		f = ConversionFilter(shift)
	case cc != 0:
		f = CCFilter(cc)
	}
	if g.Transmittance != nil {
		t, err := f.Through(source)
		if err != nil {
			return nil, fmt.Errorf("gel %q: %w", g.Name, err)
		}
		f.scale(*g.Transmittance / t.Transmittance)
	}
	return f, nil
}

func (f *Filter) scale(k float64) {
	for i := range f {
		f[i] *= k
	}
}

// source is the light for which the sheet's figures are valid.
func (g Gel) source() (*Spectrum, error) {
	switch {
	case g.Source != "":
		return SourceSpectrum(g.Source)
	case g.Mired < 0:
		return Planckian(3200)
	}
	return Planckian(5600)
}

// shiftAt finds the conversion filter with which a source, seen through it and
// the CC filter, reads warmer by the given mired. The filter's own shift differs
// from that by a few percent at most, so a secant is at home in a few turns.
func shiftAt(source *Spectrum, cc CC, mired float64) (float64, error) {
	bare, err := source.XYZ().XY().CCT()
	if err != nil {
		return 0, err
	}
	want := bare.Mired() + mired
	if want < Mired(MaxKelvin) || want > Mired(MinKelvin) {
		return 0, fmt.Errorf("%+g mired takes its source, %v, out of range: %w", mired, bare, ErrKelvin)
	}
	through := source.Filtered(CCFilter(cc))
	miss := func(shift float64) float64 {
		return want - locus().nearest(through.Filtered(ConversionFilter(shift)).XYZ().UV())
	}
	s0, s1 := mired*0.95, mired*1.05
	m0, m1 := miss(s0), miss(s1)
	for range 50 {
		if math.Abs(m1) < 1e-9 {
			return s1, nil
		}
		if m0 == m1 {
			break
		}
		s0, s1, m0 = s1, s1+m1*(s1-s0)/(m0-m1), m1
		m1 = miss(s1)
	}
	return 0, fmt.Errorf("%w: no filter makes %v read %+g mired with %v", ErrBeyondModel, bare, mired, cc)
}

// Findings returns what is odd about the gel's figures without being wrong:
// a transmission that no absorbing filter of that color reaches, and a stated
// mired shift that its chromaticity contradicts.
func (g Gel) Findings() []Finding {
	f, err := g.Filter()
	if err != nil {
		return nil
	}
	var out []Finding
	peak := 0.0
	for i, t := range f {
		if nm := FirstNM + i; nm >= conversionBlueNM && nm <= conversionRedNM {
			peak = math.Max(peak, t)
		}
	}
	if peak > 1 {
		out = append(out, photometry.Found("gel_transmission_high", "gel", g.Name, "transmission", photometry.Percentage(*g.Transmittance*100)))
	}
	if g.XY != nil && g.Mired != 0 {
		source, _ := g.source()
		bare, err1 := source.XYZ().XY().CCT()
		behind, err2 := g.XY.CCT()
		if err1 == nil && err2 == nil {
			if shift := behind.Mired() - bare.Mired(); math.Abs(shift-g.Mired) > 10 {
				out = append(out, photometry.Found("gel_sheet_disagrees", "gel", g.Name, "shift", shift, "source", g.Source, "stated", g.Mired))
			}
		}
	}
	return out
}
