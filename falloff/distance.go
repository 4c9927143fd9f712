package falloff

import "math"

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

	// BestModel is the name of the model with the least score.
	BestModel string `json:"best_model"`
	// Settled is false where another model that fits about as well (within 2 of
	// the score) would move InverseSquareFromM, Depth or the intensity out of
	// the best model's interval, where no model fits, where the levels rise with
	// distance, or where fewer than four distances, fewer than two spare
	// readings or less than a factor of two in distance stand behind it.
	Settled bool `json:"settled"`
	// Answer says in a sentence whether the inverse square holds and from where
	// on.
	Answer Finding `json:"answer"`
	// Models holds all models tried, best first.
	Models []Model `json:"models"`

	// InverseSquareFromM is the distance beyond which the source's own light is
	// within 1 % of the inverse square of the distances as read: zero for a
	// point. Ambient light is left out (see AmbientFromM).
	InverseSquareFromM         float64   `json:"inverse_square_from_m"`
	InverseSquareFromIntervalM *Interval `json:"inverse_square_from_interval_m,omitempty"`
	// AmbientFromM is the distance beyond which ambient light adds more than 1 %
	// to the source's own; absent without ambient light.
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

	// IntensityCD is the effective intensity seen from far away, in cd;
	// IntensityCDS the same of a flash, in cd·s. Both are absent for a relative
	// series. IntensityInterval belongs to either.
	IntensityCD       *float64  `json:"intensity_cd,omitempty"`
	IntensityCDS      *float64  `json:"intensity_cd_s,omitempty"`
	IntensityInterval *Interval `json:"intensity_interval,omitempty"`
	// SourceRadiusM is the radius of the disc that the source looks like. Where
	// the best model is a point it is absent, and the interval says what size
	// could hide in the readings.
	SourceRadiusM         *float64  `json:"source_radius_m,omitempty"`
	SourceRadiusIntervalM *Interval `json:"source_radius_interval_m,omitempty"`
	// OffsetM says how far behind the zero of the distances (positive) or ahead
	// of it (negative) the source seems to sit.
	OffsetM         *float64  `json:"offset_m,omitempty"`
	OffsetIntervalM *Interval `json:"offset_interval_m,omitempty"`
	// Ambient is the part of every reading that does not fall with distance, and
	// AmbientNearPercent and AmbientFarPercent its share of the level at the
	// nearest and the farthest reading. Where the best model has none they are
	// absent, and the interval says how much could hide in the readings.
	Ambient            *float64  `json:"ambient,omitempty"`
	AmbientInterval    *Interval `json:"ambient_interval,omitempty"`
	AmbientNearPercent *float64  `json:"ambient_near_percent,omitempty"`
	AmbientFarPercent  *float64  `json:"ambient_far_percent,omitempty"`

	// Wanted is where the wanted level stands.
	Wanted *Wanted `json:"wanted,omitempty"`

	// Repeatability is how good a single reading was taken to be.
	Repeatability Repeatability `json:"repeatability"`
	// Scatter is by how much the readings scatter about the best model beyond
	// that, where it is more than chance has; the intervals are stretched by it.
	Scatter *float64 `json:"scatter,omitempty"`

	// Points holds the readings, nearest first.
	Points []DistancePoint `json:"points"`

	// Next is the reading that would settle most; absent where nothing needs
	// settling.
	Next *NextReading `json:"next_reading,omitempty"`

	Conclusions

	best *fit
}

// Model is one model fitted to the series.
type Model struct {
	Name string `json:"name"`
	// Parameters and Intervals (95 %) are by the names intensity, offset_m,
	// source_radius_m and ambient.
	Parameters map[string]float64  `json:"parameters"`
	Intervals  map[string]Interval `json:"intervals"`
	// RMSStops is the root mean square of the residuals in stops.
	RMSStops float64 `json:"rms_stops"`
	// Score is χ² + 2p, the less the better.
	Score float64 `json:"score"`
	// ChiSquare is Σ(residual/s)², DegreesOfFreedom readings less parameters.
	ChiSquare        float64 `json:"chi_square"`
	DegreesOfFreedom int     `json:"degrees_of_freedom"`
}

// Law returns the model as a law.
func (m Model) Law() Law {
	return Law{
		Intensity:     m.Parameters[ParamIntensity],
		OffsetM:       m.Parameters[ParamOffset],
		SourceRadiusM: m.Parameters[ParamRadius],
		Ambient:       m.Parameters[ParamAmbient],
	}
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

// Wanted is where a wanted level stands.
type Wanted struct {
	Level     float64   `json:"level"`
	DistanceM *float64  `json:"distance_m,omitempty"`
	IntervalM *Interval `json:"interval_m,omitempty"`
	// Extrapolated says that the distance lies outside what was read.
	Extrapolated bool `json:"extrapolated,omitempty"`
}

// NextReading is a reading yet to be taken.
type NextReading struct {
	DistanceM float64 `json:"distance_m"`
	// Readings is how many there would be enough.
	Readings int `json:"readings"`
	// Expected is what each model that is still possible expects there.
	Expected map[string]float64 `json:"expected"`
}

// DistancePoint is one reading beside what the best model says.
type DistancePoint struct {
	// Reading is the reading's number in the series as given, from 1.
	Reading int `json:"reading"`
	// Name is what the reading is called, where it has a name.
	Name         string  `json:"name,omitempty"`
	DistanceM    float64 `json:"distance_m"`
	IncidenceDeg float64 `json:"incidence_deg,omitempty"`
	Level        float64 `json:"level"`
	// Fitted is what the best model gives for this reading.
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
}

// FitDistance fits a distance series and answers what a person wants of it.
//
// Every model that the series has enough distances for (one more
// than parameters) is fitted by least squares of the residuals ln(level/law)/s
// and scored by χ² + 2p. A reading's s comes from repeatability, resolution and
// repeats. Intervals are at 95 %, by profile likelihood.
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
	s := newSeries(readings, o)
	fits := fitModels(s)
	widen := fits[0].misfit()
	for _, f := range fits {
		f.interval(widen)
	}
	return conclude(readings, s, fits, widen, o), nil
}

// Law returns the best model's law.
func (d *Distance) Law() Law { return d.Models[0].Law() }

// CurvePoint is one place of the fitted curve: the level on a receiver that
// faces the source, with its 95 % band.
type CurvePoint struct {
	DistanceM float64
	Level     float64
	Band      Interval
}

// Curve returns n places of the best model's curve, evenly spaced in log
// distance from fromM to toM (meters), with the 95 % band of the curve (not of
// single readings) at each. It panics where n is less than 2 or the distances
// are not positive and rising. A result that was read back from JSON has no
// band any more: its band is the level itself.
func (d *Distance) Curve(fromM, toM float64, n int) []CurvePoint {
	if n < 2 || !(fromM > 0) || !(toM > fromM) {
		panic("falloff: Curve needs two distances, near before far, and two places or more")
	}
	law := d.Law()
	widen := 1.0
	if d.Scatter != nil {
		widen = *d.Scatter
	}
	out := make([]CurvePoint, 0, n)
	for i := range n {
		at := fromM * math.Pow(toM/fromM, float64(i)/float64(n-1))
		p := CurvePoint{DistanceM: at, Level: law.Level(at)}
		p.Band = Interval{Lo: p.Level, Hi: p.Level}
		if d.best != nil {
			if iv, ok := d.best.derived(func(l Law) (float64, bool) {
				return math.Log(l.Level(at)), l.OffsetM > -at
			}, widen); ok {
				p.Band = Interval{Lo: math.Exp(iv.Lo), Hi: math.Exp(iv.Hi)}
			}
		}
		out = append(out, p)
	}
	return out
}
