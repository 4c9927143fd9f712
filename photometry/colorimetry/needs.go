package colorimetry

import (
	"fmt"
	"math"
)

// Shift is what separates two lights, target minus source: a positive mired
// shift warms, a positive Duv shift goes toward green.
type Shift struct {
	Mired        float64 `json:"mired_shift"`
	Duv          float64 `json:"duv_shift"`
	DeltaUVPrime float64 `json:"delta_u_v_prime"` // distance in CIE 1976 (u′, v′)
	Steps        float64 `json:"steps"`           // the same in steps of 0.0011
}

// ShiftBetween returns the shift from one light to another. Errors as in
// CCT.Check.
func ShiftBetween(source, target CCT) (Shift, error) {
	a, err := source.UV()
	if err != nil {
		return Shift{}, fmt.Errorf("source: %w", err)
	}
	b, err := target.UV()
	if err != nil {
		return Shift{}, fmt.Errorf("target: %w", err)
	}
	d := DeltaUVPrime(a.UVPrime(), b.UVPrime())
	return Shift{target.Mired() - source.Mired(), target.Duv - source.Duv, d, Steps(d)}, nil
}

// Need is the ideal pair of filters that takes one light to another: a
// conversion filter of Mired (positive warms) and a CC filter of CC points, of
// the color CCColor (green, magenta, or absent at 0).
//
// The two are solved together and Mired is not the mired shift between the
// lights: a CC filter also shifts mired, at tungsten by nearly three mired a
// point, and the conversion filter makes up for it.
type Need struct {
	Mired     float64 `json:"mired"`
	CC        float64 `json:"cc"`
	CCColor   string  `json:"cc_color,omitempty"`
	LossStops float64 `json:"loss_stops"` // of the pair on this light, one sheet each
}

// Filter returns the CC filter as a signed strength, positive green.
func (n Need) Filter() CC {
	if n.CCColor == "magenta" {
		return CC(-n.CC)
	}
	return CC(n.CC)
}

var needLimits = limits{pMin: -1500, pMax: 1500, qMin: -400, qMax: 400, pStep: 100, qStep: 40}

// Needs returns the pair of filters that takes the source to the target, solved
// together on the models of ModelOf, ConversionFilter and CCFilter so that the
// filtered source lands on the target's chromaticity. Errors are those of
// CCT.Check for either light, and ErrBeyondModel where no pair does it.
func Needs(source, target CCT) (Need, error) {
	m, err := ModelOf(source)
	if err != nil {
		return Need{}, fmt.Errorf("source: %w", err)
	}
	return m.needs(target)
}

func (m *Model) needs(target CCT) (Need, error) {
	uv, err := target.UV()
	if err != nil {
		return Need{}, fmt.Errorf("target: %w", err)
	}
	shift, cc, ok := solveFilters(m.Spectrum, uv)
	if !ok {
		return Need{}, fmt.Errorf("%w: no conversion filter with a CC filter takes %v to %v", ErrBeyondModel, m.Light, target)
	}
	n := Need{Mired: shift, CC: math.Abs(cc), CCColor: CC(cc).Color()}
	var sheets []*Filter
	if shift != 0 {
		sheets = append(sheets, ConversionFilter(shift))
	}
	if cc != 0 {
		sheets = append(sheets, CCFilter(CC(cc)))
	}
	if len(sheets) > 0 {
		through, err := Combine(sheets...).Through(m.Spectrum)
		if err != nil {
			return Need{}, err
		}
		n.LossStops = through.LossStops
	}
	return n, nil
}

// solveFilters finds the conversion filter (mired) and the CC filter (points,
// positive green) that together take the spectrum to a chromaticity.
func solveFilters(s *Spectrum, target UV) (shiftMired, cc float64, ok bool) {
	t := filterShapes()
	respond := func(p, q float64) response {
		shape := t.conversion(p)
		var a accumulator
		for i, power := range s {
			power *= math.Exp(p*shape[i] + q*t.green[i])
			a.add(i, power, power*shape[i], power*t.green[i])
		}
		return a.response()
	}
	shiftMired, cc, ok = solve(respond, target, 0, 0, needLimits)
	if math.Abs(shiftMired) < negligible {
		shiftMired = 0
	}
	if math.Abs(cc) < negligible {
		cc = 0
	}
	return shiftMired, cc, ok
}
