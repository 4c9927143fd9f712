package colorimetry

import (
	"errors"
	"fmt"
	"math"

	"evenfall/photometry"
)

// ErrBeyondModel: no Planckian radiator behind one CC filter has the color.
var ErrBeyondModel = errors.New("beyond what one CC filter on a Planckian radiator can show")

// Model is the assumed spectrum of a light of which only CCT and Duv are
// known: a Planckian radiator seen through one CC filter.
type Model struct {
	Light           CCT       // the color that was asked for
	PlanckianKelvin float64   // the radiator behind the filter
	Cast            CC        // the filter that colors it: the cast that the light has
	Spectrum        *Spectrum // the two together, without the filter's surfaces
}

// The radiator of a model may be hotter or cooler than any light that is
// reported, since the filter shifts it: from 500 K to infinitely hot in effect.
var modelLimits = limits{pMin: 0.5, pMax: 2000, qMin: -400, qMax: 400, pStep: 100, qStep: 40}

// ModelOf solves the radiator's temperature and the filter's strength together,
// so that the model has exactly the light's chromaticity. Errors are those of
// CCT.Check, and ErrBeyondModel where there is no such pair.
func ModelOf(light CCT) (*Model, error) {
	target, err := light.UV()
	if err != nil {
		return nil, err
	}
	green := &filterShapes().green
	respond := func(mired, cc float64) response {
		var a accumulator
		x := SecondRadiationConstant * 1e3 * mired
		for i := range cmf {
			nm := float64(FirstNM + i)
			less := math.Expm1(x / nm)
			power := math.Pow(560/nm, 5) * math.Exp(cc*green[i]-x/560) / less
			a.add(i, power, -power*(SecondRadiationConstant*1e3)/nm*(1+1/less), power*green[i])
		}
		return a.response()
	}
	mired, cc, ok := solve(respond, target, light.Mired(), 0, modelLimits)
	if !ok {
		return nil, fmt.Errorf("%w: %v", ErrBeyondModel, light)
	}
	if math.Abs(cc) < negligible {
		cc = 0
	}
	s := planckian(mired)
	for i := range s {
		s[i] *= math.Exp(cc * green[i])
	}
	return &Model{Light: light, PlanckianKelvin: Kelvin(mired), Cast: CC(cc), Spectrum: s}, nil
}

// negligible is a filter strength, in CC points or mired, that rounding alone
// may leave.
const negligible = 1e-6

// CCNeeded returns the CC filter that takes a light of this color temperature
// and Duv to Duv 0, by the model: the opposite of its cast. The filter also
// moves the color temperature, most at tungsten; Needs solves for both.
func CCNeeded(light CCT) (CC, error) {
	m, err := ModelOf(light)
	if err != nil {
		return 0, err
	}
	return -m.Cast, nil
}

// FromCC returns the light that reads kelvin on a meter and needs the CC filter
// to come to Duv 0: the inverse of CCNeeded. It solves the radiator whose
// reading behind the opposite filter is kelvin.
func FromCC(kelvin float64, needs CC) (CCT, error) {
	if _, err := (CCT{Kelvin: kelvin}).UV(); err != nil {
		return CCT{}, err
	}
	if !photometry.Finite(float64(needs)) || math.Abs(float64(needs)) > 100 {
		return CCT{}, fmt.Errorf("CC filters end at CC100; %v points is none", float64(needs))
	}
	// The reading rises steadily with the radiator's mired; past the ends of the
	// locus table it stays at the end, so bisection cannot go astray.
	filter, want := CCFilter(-needs), Mired(kelvin)
	read := func(mired float64) UV { return planckian(mired).Filtered(filter).XYZ().UV() }
	lo, hi := modelLimits.pMin, modelLimits.pMax
	for range 60 {
		if mid := (lo + hi) / 2; locus().nearest(read(mid)) < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	t, err := read((lo + hi) / 2).CCT()
	if err == nil && math.Abs(t.Mired()-want) > 1e-6 {
		err = ErrBeyondModel
	}
	if err != nil {
		return CCT{}, fmt.Errorf("a light of %g K that %s: %w", kelvin, needs.Needs(), err)
	}
	t.Kelvin = kelvin // what was asked for, without the last rounding
	return t, nil
}
