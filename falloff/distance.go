package falloff

import (
	"cmp"
	"math"
)

// DistanceSchema names the form of Distance in JSON.
const DistanceSchema = "evenfall/distance/1"

// Distance is what a distance series says. Levels are in Unit; lengths in
// meters. What the series does not support is absent.
type Distance struct {
	Schema string `json:"schema"`
	// Title is what the notes of a file call the series.
	Title string `json:"title,omitempty"`
	// Unit is the unit of the levels: lx, lx.s or relative.
	Unit string `json:"unit"`
	// Readings counts the readings; NearM and FarM are the nearest and farthest
	// distance read.
	Readings int     `json:"readings"`
	NearM    float64 `json:"near_m"`
	FarM     float64 `json:"far_m"`

	// Settled says that every conclusion is settled, Settles which.
	Settled bool    `json:"settled"`
	Settles Settles `json:"settles"`
	// Answer says in a sentence from where on the inverse square holds.
	Answer Finding `json:"answer"`

	// Parameters are those of the best law, at the top level too; Intervals is
	// how far the readings let each of them go. All are absent where the levels
	// rise with distance.
	*Parameters
	Best      *Parameters `json:"parameters,omitempty"`
	Intervals *Intervals  `json:"intervals,omitempty"`
	// IntensityIntervalCD is the interval of IntensityCD, where that is there.
	IntensityIntervalCD *Interval `json:"intensity_interval_cd,omitempty"`
	// RMSStops is the root mean square of the residuals in stops.
	RMSStops float64 `json:"rms_stops"`

	// InverseSquareFromM is the distance from the light's own center (OffsetM
	// behind the zero of the distances) beyond which its light is within 1 % of
	// the inverse square: ten radii, zero for a point. Ambient light is left out
	// (see AmbientFromM).
	InverseSquareFromM float64 `json:"inverse_square_from_m"`
	// AmbientFromM is the distance beyond which ambient light adds more than 1 %
	// to the source's own; absent where none is sure.
	AmbientFromM *float64 `json:"ambient_from_m,omitempty"`

	// MarkM is the distance that matters; MarkAssumed says that none was given
	// and the reading nearest to the geometric middle stands in. MarkLevel is
	// the fitted level there.
	MarkM       float64 `json:"mark_m"`
	MarkAssumed bool    `json:"mark_assumed,omitempty"`
	MarkLevel   float64 `json:"mark_level"`
	// MarkExtrapolated says that the mark lies outside what was read.
	MarkExtrapolated bool `json:"mark_extrapolated,omitempty"`
	// MarkExponent is the fitted law's local exponent d ln E/d ln d at the mark.
	MarkExponent float64 `json:"mark_exponent"`
	// Lost is what is lost from the mark to the farthest reading; from the
	// nearest reading, where no mark was given; to the mark, where it is the
	// farther.
	Lost Loss `json:"lost"`
	// Depth is the zone about the mark that stays within a tolerance; absent
	// where the levels rise with distance as a whole.
	Depth *Depth `json:"depth,omitempty"`

	// Exponent is the slope of log level against log distance over the series,
	// weighted by the readings' own s: −2 for a point.
	Exponent float64 `json:"exponent"`

	// Wanted is where the wanted level is.
	Wanted *Wanted `json:"wanted,omitempty"`

	// Repeatability is how good a single reading was taken to be, TapeChecked
	// whether the zero of the distances was noted to be checked.
	Repeatability Repeatability `json:"repeatability"`
	TapeChecked   bool          `json:"tape_checked,omitempty"`
	// Scatter is by how much the readings scatter about the best law beyond
	// that, where it is more than chance has; the intervals are stretched by it.
	Scatter *float64 `json:"scatter,omitempty"`

	// Points holds the readings, nearest first.
	Points []DistancePoint `json:"points"`

	// Next is the one reading, or check of the tape, that settles most; absent
	// where nothing needs settling.
	Next *NextReading `json:"next_reading,omitempty"`

	Conclusions

	region *region
}

// Settles says of each conclusion whether it is settled: whether all laws that
// the readings allow agree on it well enough, see conclusions.
type Settles struct {
	Intensity     bool `json:"intensity"`
	InverseSquare bool `json:"inverse_square"`
	Depth         bool `json:"depth"`
	Ambient       bool `json:"ambient"`
}

// Figures has a value or an interval for each parameter of Law. The intensity is in
// cd, for a flash in cd·s, and for a relative series the level times square
// meters.
type Figures[T any] struct {
	IntensityCD       *T `json:"intensity_cd,omitempty"`
	IntensityCDS      *T `json:"intensity_cd_s,omitempty"`
	RelativeIntensity *T `json:"intensity_relative,omitempty"`
	SourceRadiusM     T  `json:"source_radius_m"`
	// OffsetM says how far behind the zero of the distances (positive) or ahead
	// of it (negative) the light seems to start.
	OffsetM T `json:"offset_m"`
	// Ambient is the part of every reading that does not fall with distance.
	Ambient T `json:"ambient"`
}

// Parameters are the parameters of a law.
type Parameters = Figures[float64]

// Intervals are the 95 % intervals of Parameters and of InverseSquareFromM.
type Intervals struct {
	Figures[Interval]
	InverseSquareFromM Interval `json:"inverse_square_from_m"`
}

// setIntensity puts the intensity where the unit of the levels has it.
func (f *Figures[T]) setIntensity(unit string, v T) {
	switch unit {
	case UnitLux:
		f.IntensityCD = &v
	case UnitLuxSecond:
		f.IntensityCDS = &v
	default:
		f.RelativeIntensity = &v
	}
}

// Intensity is the intensity in its unit.
func (f *Figures[T]) Intensity() T {
	return *cmp.Or(f.IntensityCD, f.IntensityCDS, f.RelativeIntensity)
}

// Loss is how much light is lost on the way from one distance to another.
type Loss struct {
	FromM float64 `json:"from_m"`
	ToM   float64 `json:"to_m"`
	// Stops is what the fitted law loses, InverseSquareStops what the inverse
	// square would lose.
	Stops              float64 `json:"stops"`
	InverseSquareStops float64 `json:"inverse_square_stops"`
}

// Depth is a zone about the mark in which the level stays within WithinStops of
// the level at the mark.
type Depth struct {
	WithinStops float64 `json:"within_stops"`
	// NearM is its near end; zero where the level stays within up to the source.
	NearM float64 `json:"near_m"`
	// FarM is its far end; absent where the level never falls so far.
	FarM          *float64  `json:"far_m,omitempty"`
	NearIntervalM *Interval `json:"near_interval_m,omitempty"`
	FarIntervalM  *Interval `json:"far_interval_m,omitempty"`
	// NearExtrapolated and FarExtrapolated say that an end lies outside what was
	// read, by more than a tenth.
	NearExtrapolated bool `json:"near_extrapolated,omitempty"`
	FarExtrapolated  bool `json:"far_extrapolated,omitempty"`
}

// Wanted is where a wanted level is.
type Wanted struct {
	Level     float64   `json:"level"`
	DistanceM *float64  `json:"distance_m,omitempty"`
	IntervalM *Interval `json:"interval_m,omitempty"`
	// Extrapolated says that the distance lies outside what was read.
	Extrapolated bool `json:"extrapolated,omitempty"`
}

// NextReading is a reading yet to be taken, or a check of the tape.
type NextReading struct {
	// Action is "tape" or "reading".
	Action string `json:"action"`
	// DistanceM is where to read, Expected the level there by the best law.
	DistanceM *float64 `json:"distance_m,omitempty"`
	Expected  *float64 `json:"expected,omitempty"`
	// Settles is what it would settle if the best law is true.
	Settles Settles `json:"settles"`
}

// DistancePoint is one reading beside what the best law says.
type DistancePoint struct {
	// Reading is the reading's number in the series as given, from 1.
	Reading int `json:"reading"`
	// Name is what the reading is called, where it has a name.
	Name         string  `json:"name,omitempty"`
	DistanceM    float64 `json:"distance_m"`
	IncidenceDeg float64 `json:"incidence_deg,omitempty"`
	Level        float64 `json:"level"`
	// Fitted is what the best law gives for this reading.
	Fitted float64 `json:"fitted"`
	// ResidualStops is log2(Level/Fitted).
	ResidualStops float64 `json:"residual_stops"`
	// SpreadStops is the standard deviation s that the reading was given.
	SpreadStops float64 `json:"spread_stops"`
	// InverseSquareStops is by how much the reading is above the inverse square
	// through the fitted level at the mark.
	InverseSquareStops float64 `json:"inverse_square_stops"`
	// LocalExponent is the fitted law's d ln E/d ln d here.
	LocalExponent float64 `json:"local_exponent"`
	// Suspect is set where a law fits the others and not this one.
	Suspect bool `json:"-"`
}

// FitDistance fits a distance series and answers what a person wants of it.
//
// One law is fitted, with all of its parameters: E = I/((d + o)² + R²) + A with
// R, A ≥ 0, by the least χ² of the residuals ln(level/law)/s and a penalty on the
// offset o, which a tape laid by hand has (see prior). A reading's s comes from
// repeatability, resolution and repeats. Each conclusion's interval is its range
// over all laws that the readings allow (see region).
//
// Faults of the readings come back as InputErrors, all together; faults of the
// options and of the series as a whole as an InputError of Index −1.
func FitDistance(readings []Reading, o Options) (*Distance, error) {
	if err := checkOptions(&o); err != nil {
		return nil, err
	}
	if err := checkReadings(readings, o); err != nil {
		return nil, err
	}
	return conclude(readings, newSeries(readings, o), o), nil
}

// Law returns the best law; where the levels rise with distance it is zero.
func (d *Distance) Law() Law {
	if d.Best == nil {
		return Law{}
	}
	return Law{Intensity: d.Best.Intensity(), OffsetM: d.Best.OffsetM, SourceRadiusM: d.Best.SourceRadiusM, Ambient: d.Best.Ambient}
}

// CurvePoint is one place of the fitted curve: the level on a receiver that
// faces the source, with its 95 % band.
type CurvePoint struct {
	DistanceM float64
	Level     float64
	Band      Interval
}

// Curve returns n places of the best law's curve, evenly spaced in log distance
// from fromM to toM (meters), with the 95 % band of the curve (not of single
// readings) at each. It panics where n is less than 2 or the distances are not
// positive and rising.
func (d *Distance) Curve(fromM, toM float64, n int) []CurvePoint {
	if n < 2 || !(fromM > 0) || !(toM > fromM) {
		panic("falloff: Curve needs two distances, near before far, and two places or more")
	}
	law := d.Law()
	allowed := d.region.extremes()
	out := make([]CurvePoint, 0, n)
	for i := range n {
		at := fromM * math.Pow(toM/fromM, float64(i)/float64(n-1))
		out = append(out, CurvePoint{DistanceM: at, Level: law.Level(at), Band: levels(allowed, func(l Law) float64 { return l.Level(at) })})
	}
	return out
}
