package survey

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// drift fits a line in time through log2 of the reference's repeat readings.
// It is nil below two readings at two different times. The change is
// significant where its 95 % interval excludes zero: by Student's t on the
// readings' own scatter from five readings on, below that (where so few may
// agree by luck) by the scatter of a reading as known beforehand.
//
// Returned beside it are the sum of squares about the line in stops² and its
// degrees of freedom, which are repeats like any others.
func (s *Survey) drift(bad []bool) (d *Drift, squares float64, nu int) {
	if s.Reference < 0 || s.Minutes == nil {
		return nil, 0, 0
	}
	var minutes, stops []float64
	for k, r := range s.Replicates {
		if int(r.Point) == s.Reference && !math.IsNaN(r.Minutes) && r.Level > 0 && (bad == nil || !bad[k]) {
			minutes, stops = append(minutes, r.Minutes), append(stops, math.Log2(r.Level))
		}
	}
	n := len(minutes)
	if n < 2 {
		return nil, 0, 0
	}
	mean := stat.Mean(minutes, nil)
	sxx := 0.0
	for _, t := range minutes {
		sxx += (t - mean) * (t - mean)
	}
	if sxx == 0 {
		return nil, 0, 0
	}
	alpha, beta := stat.LinearRegression(minutes, stops, nil, false)
	for i := range stops {
		r := stops[i] - alpha - beta*minutes[i]
		squares += r * r
	}
	nu = n - 2
	deviation, confidence := 0.0, uncertainty.Factor(0)
	if n >= 5 {
		deviation = math.Sqrt(squares / float64(nu))
		confidence = uncertainty.Factor(nu)
	} else {
		deviation = s.knownScatter()
	}
	d = &Drift{StopsPerMinute: beta, Readings: n}
	if s.Settings.Repeatability != nil { // else what a line leaves over is taken as scatter
		d.bracket(minutes, stops, squares, s.knownScatter())
	}
	slices.Sort(minutes)
	d.begin, d.end = minutes[0], minutes[n-1]
	for i := 1; i < n; i++ {
		d.slack = max(d.slack, minutes[i]-minutes[i-1])
	}
	first, last := d.begin, d.end
	for _, t := range s.Minutes {
		if !math.IsNaN(t) {
			first, last = min(first, d.within(t)), max(last, d.within(t))
		}
	}
	d.TotalStops = beta * (last - first)
	d.Significant = math.Abs(beta) > confidence*deviation/math.Sqrt(sxx)
	d.errorSlope = deviation / math.Sqrt(sxx)
	d.ErrorStops = d.errorSlope * (last - first)
	if d.steps != nil {
		d.Significant, d.ErrorStops = true, s.knownScatter()
		return d, 0, 0 // what is left about a line that does not hold is no scatter
	}
	return d, squares, nu
}

// knownScatter is the scatter of one reading in stops as known beforehand.
func (s *Survey) knownScatter() float64 {
	r := uncertainty.AssumedRepeatability
	if s.Settings.Repeatability != nil {
		r = *s.Settings.Repeatability
	}
	return photometry.ReadingStops(r, s.Settings.Resolution)
}

// bracket takes the reference's readings, in the place of a line, as what they are
// where a line leaves more than their scatter explains: χ² over its 90 % point with
// two spare readings at least. The light between two of them that differ is then
// anywhere between the two.
func (d *Drift) bracket(minutes, stops []float64, squares, scatter float64) {
	if spare := len(minutes) - 2; spare < 2 || !(scatter > 0) || squares/(scatter*scatter) < (distuv.ChiSquared{K: float64(spare)}).Quantile(0.9) {
		return
	}
	for i := range minutes {
		d.steps = append(d.steps, driftStep{minutes[i], stops[i]})
	}
	slices.SortStableFunc(d.steps, func(a, b driftStep) int { return cmp.Compare(a.minutes, b.minutes) })
	d.differ = uncertainty.Factor(0) * math.Sqrt2 * scatter
	for i := 1; i < len(d.steps); i++ {
		if gap := math.Abs(d.steps[i].stops - d.steps[i-1].stops); gap > d.differ {
			d.GapStops = max(d.GapStops, gap)
		}
	}
}

// off is what brings a level that was read at a time to the last reading of the
// reference, in stops: by the line, or between two readings of the reference that
// differ by their midpoint, else by interpolation.
func (d *Drift) off(minutes float64) float64 {
	if d.steps == nil {
		return d.StopsPerMinute * (d.end - d.within(minutes))
	}
	last := d.steps[len(d.steps)-1].stops
	after := slices.IndexFunc(d.steps, func(s driftStep) bool { return s.minutes >= minutes })
	switch {
	case after < 0:
		return 0
	case after == 0:
		return last - d.steps[0].stops
	}
	a, b := d.steps[after-1], d.steps[after]
	switch {
	case minutes == b.minutes:
		return last - b.stops
	case math.Abs(b.stops-a.stops) > d.differ:
		return last - (a.stops+b.stops)/2
	}
	return last - a.stops - (b.stops-a.stops)*(minutes-a.minutes)/(b.minutes-a.minutes)
}

// driftStep is one reading of the reference.
type driftStep struct{ minutes, stops float64 }

// taken reports whether there is a drift that was taken out.
func (d *Drift) taken() bool { return d != nil && d.Corrected }

// within is the time that a reading counts as for the drift. The line is carried
// no farther beyond the reference's readings than the longest gap between two of
// them: what was read later counts as read with the last one, what was read
// earlier as with the first, since nothing is known of how the light went on.
func (d *Drift) within(minutes float64) float64 {
	switch {
	case minutes > d.end+d.slack:
		return d.end
	case minutes < d.begin-d.slack:
		return d.begin
	}
	return minutes
}

// corrected is the column of levels with a significant drift taken out, all
// brought to the time of the last reading of the reference, which is how the
// light was left. Points without a
// time stay as they are and are counted. Without such a drift it is the column
// itself.
func (s *Survey) corrected(d *Drift) (level []float64, untimed int) {
	if d == nil || !d.Significant {
		return s.Level, 0
	}
	back := func(level, minutes float64) float64 {
		if d.within(minutes) != minutes {
			d.Outside++
		}
		return level * math.Exp2(d.off(minutes))
	}
	// A point read several times is the mean of its readings, each corrected
	// for its own time.
	sums, counts := map[int32]float64{}, map[int32]int{}
	for _, r := range s.Replicates {
		v := r.Level
		if !math.IsNaN(r.Minutes) {
			v = back(v, r.Minutes)
		}
		sums[r.Point] += v
		counts[r.Point]++
	}
	level = make([]float64, len(s.Level))
	for i, v := range s.Level {
		n, several := counts[int32(i)]
		untold := math.IsNaN(s.Minutes[i])
		if untold {
			untimed++
		}
		switch {
		case several:
			level[i] = sums[int32(i)] / float64(n)
		case untold:
			level[i] = v
		default:
			level[i] = back(v, s.Minutes[i])
		}
	}
	d.Corrected = true
	return level, untimed
}

// repeatScatter is the sum of squares in stops² of repeat readings about their
// points' means and its degrees of freedom, without the marked ones, and,
// where a drift was taken out, with it taken out and without the reference.
func (s *Survey) repeatScatter(d *Drift, bad []bool) (squares float64, nu int) {
	corrected := d.taken()
	value := func(r Replicate) float64 {
		v := math.Log2(r.Level)
		if corrected && !math.IsNaN(r.Minutes) {
			v += d.off(r.Minutes)
		}
		return v
	}
	sums, counts := map[int32]float64{}, map[int32]int{}
	for k, r := range s.Replicates {
		if r.Level > 0 && (bad == nil || !bad[k]) {
			sums[r.Point] += value(r)
			counts[r.Point]++
		}
	}
	for k, r := range s.Replicates {
		if r.Level <= 0 || (bad != nil && bad[k]) || (corrected && int(r.Point) == s.Reference) {
			continue
		}
		off := value(r) - sums[r.Point]/float64(counts[r.Point])
		squares += off * off
	}
	for i, n := range counts {
		if !(corrected && int(i) == s.Reference) {
			nu += n - 1
		}
	}
	return squares, nu
}

// Lever is by how many stops a level read at a time, in minutes, errs where the
// slope of the drift errs by one standard deviation.
func (d *Drift) Lever(minutes float64) float64 {
	return d.errorSlope * (d.end - d.within(minutes))
}

// Drift is how the light changed while the readings were taken, from repeat
// readings of the reference.
type Drift struct {
	StopsPerMinute float64 `json:"stops_per_minute"`
	TotalStops     float64 `json:"total_stops"` // over the time of the survey
	Readings       int     `json:"reference_readings"`
	Significant    bool    `json:"significant"`
	Corrected      bool    `json:"corrected"`

	// GapStops is by how much two neighboring readings of the reference differ at most,
	// where no line explains them: the light in between is anywhere between the two.
	GapStops float64 `json:"gap_stops,omitempty"`

	// ErrorStops is the standard deviation of TotalStops.
	ErrorStops float64 `json:"-"`
	// Outside counts readings too far from those of the reference to be corrected.
	Outside int `json:"-"`

	errorSlope float64 // standard deviation of StopsPerMinute
	begin, end float64 // minutes: the first and the last reading of the reference
	slack      float64 // minutes: how far beyond them the line is trusted

	steps  []driftStep // the reference's readings in time, where no line explains them; else nil
	differ float64     // stops from which on two of them differ
}
