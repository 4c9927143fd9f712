package drift

import (
	"cmp"
	"math"
	"slices"
)

// Reading is one reading of the reference: when, and log2 of its level.
type Reading struct{ Minutes, Stops float64 }

// Drift is how the light changed while the readings were taken, from repeat
// readings of the reference.
type Drift struct {
	StopsPerMinute float64 `json:"stops_per_minute"`
	TotalStops     float64 `json:"total_stops"` // over the time of the survey
	Readings       int     `json:"reference_readings"`
	Significant    bool    `json:"significant"` // a steady light does not explain the readings
	Corrected      bool    `json:"corrected"`

	// GapStops is by how much two neighboring readings of the reference differ at most
	// where the light in between is anywhere between the two.
	GapStops float64 `json:"gap_stops,omitempty"`

	// ErrorStops is the standard deviation of TotalStops.
	ErrorStops float64 `json:"-"`
	// Squares and Freedom are of the readings about the change that is taken out, or the
	// line where that follows them: the sum of squares in stops² and its degrees of
	// freedom, which are repeats like any others.
	Squares float64 `json:"-"`
	Freedom int     `json:"-"`
	// Outside counts readings too far from those of the reference to be corrected.
	Outside int `json:"-"`
	// Changes are the ways of changing that the readings allow, the likeliest first:
	// it is the one that is taken out.
	Changes []Change `json:"-"`

	begin, end  float64 // minutes: the first and the last reading of the reference
	reach       float64 // minutes: how far beyond them a shape is trusted
	first, last float64 // minutes: of all readings, as far as that
}

// Find is the drift by readings of the reference that scatter by so many stops; nil
// below two readings at two different times. times are when the surface was read, NaN
// where that is not known.
func Find(readings []Reading, times []float64, scatter float64) *Drift {
	slices.SortStableFunc(readings, func(a, b Reading) int { return cmp.Compare(a.Minutes, b.Minutes) })
	n := len(readings)
	if n < 2 || readings[0].Minutes == readings[n-1].Minutes {
		return nil
	}
	d := &Drift{Readings: n, begin: readings[0].Minutes, end: readings[n-1].Minutes}
	for i := 1; i < n; i++ {
		d.reach = max(d.reach, readings[i].Minutes-readings[i-1].Minutes)
	}
	d.first, d.last = d.begin, d.end
	for _, t := range times {
		if !math.IsNaN(t) {
			d.first, d.last = min(d.first, d.within(t)), max(d.last, d.within(t))
		}
	}
	scatter = max(scatter, 1e-6) // zero is no divisor
	d.Changes = changes(readings, scatter)
	taken := d.Changes[0]
	d.Significant = taken.Shape != Steady
	shown := taken
	line, chi2 := lineOver(readings).fit(readings, scatter)
	if !d.Significant {
		shown = line
	}
	if d.Freedom = n - taken.parameters; taken.Shape == Between {
		d.Freedom, taken.chi2 = n-2, chi2
	}
	d.Squares = taken.chi2 * scatter * scatter
	d.TotalStops = shown.off(d.first) - shown.off(d.last)
	d.StopsPerMinute = d.TotalStops / (d.last - d.first)
	d.ErrorStops = d.Deviation(shown)
	d.GapStops = 2 * taken.widest
	return d
}

// within is the time that a reading counts as for the drift. A shape is carried
// no farther beyond the reference's readings than the longest gap between two of
// them: what was read later counts as read with the last one, what was read
// earlier as with the first, since nothing is known of how the light went on.
func (d *Drift) within(minutes float64) float64 {
	switch {
	case minutes > d.end+d.reach:
		return d.end
	case minutes < d.begin-d.reach:
		return d.begin
	}
	return minutes
}

// Taken reports whether there is a drift that was taken out.
func (d *Drift) Taken() bool { return d != nil && d.Corrected }

// IsOutside reports whether a reading is too far from those of the reference to be
// corrected for its own time.
func (d *Drift) IsOutside(minutes float64) bool {
	return !math.IsNaN(minutes) && d.within(minutes) != minutes
}

// Off is what a change of the light brings a level that was read at a time to the last
// reading of the reference by, in stops, and by how much that may be off either way
// where the light between two readings is not known. Both are 0 without a time.
func (d *Drift) Off(c Change, minutes float64) (stops, slack float64) {
	if math.IsNaN(minutes) {
		return 0, 0
	}
	t := d.within(minutes)
	return c.off(t), c.slack(t)
}

// Errors are by how many stops a level read at a time errs, each where one source of
// error of the change that is taken out is one standard deviation off.
func (d *Drift) Errors(minutes float64) []float64 {
	if math.IsNaN(minutes) {
		minutes = d.end
	}
	return d.Changes[0].errors(d.within(minutes))
}
