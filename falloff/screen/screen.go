// Package screen says how a lit screen looks to the camera and what it does to the set:
// its reflectance from incident light and luminance at the same places, what of its
// unevenness is light and what is cloth, its level against the key, and the spill that it
// throws on a subject, with where to stand for less.
//
// The screen is a plane at z = 0 with x to camera right and y up, in meters, taken as
// Lambertian: each part as bright from everywhere as it was read. Intervals are of 95 %
// and hold the scatter of readings and what lies between the places, not how far two
// meters are calibrated apart; a card of stated reflectance takes that out.
package screen

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// Place is where incident light and luminance were read.
type Place struct {
	Label     string
	X, Y      float64 // m; NaN where it is not known
	Light     float64 // lx
	Luminance float64 // cd/m²
	Card      float64 // the stated reflectance of a card that was read there; 0 for the screen
}

// Mark is where somebody stands before the screen.
type Mark struct {
	Label     string
	Key       float64  // lx, 0 where it was not read
	ToScreenM float64  // 0 where it is not known
	X, Y      *float64 // before the middle of the lit part without them
	Spill     *float64 // lx as read, facing the screen
}

// Input is what was read of a screen.
type Input struct {
	Title, Date   string
	Places        []Place
	Lit           *spatial.Box // the lit part in view; nil where its size is not known
	Repeatability *float64     // of one reading, as a share; nil is taken as 2 %
	Resolution    float64      // step of the display in stops
	Marks         []Mark
	Target        *float64 // wanted stops of the screen over middle gray lit by the key
	Tolerance     float64  // stops on each side of the target
	SpillTarget   *float64 // stops from the key that the spill may have at most
	Warnings      []photometry.Finding
	Inferred      []photometry.Remark
}

// Schema names the shape of Result.
const Schema = "evenfall/screen/1"

// Result is the screen as the camera sees it.
type Result struct {
	Schema      string        `json:"schema"`
	Title       string        `json:"title,omitempty"`
	Date        string        `json:"date,omitempty"`
	Places      []PlaceResult `json:"places"`
	Reflectance float64       `json:"reflectance"`
	Interval    [2]float64    `json:"reflectance_interval"`
	// CardFactor is what luminances are multiplied by so that the card has its stated
	// reflectance; absent without one.
	CardFactor      *float64             `json:"card_factor,omitempty"`
	LightSpread     float64              `json:"light_spread_stops"`
	LuminanceSpread float64              `json:"luminance_spread_stops"`
	ClothSpread     float64              `json:"cloth_spread_stops"`
	Marks           []MarkResult         `json:"marks"`
	TargetStops     *float64             `json:"screen_target_stops,omitempty"`
	ToleranceStops  float64              `json:"tolerance_stops"`
	SpillTarget     *float64             `json:"spill_target_stops,omitempty"`
	Verdict         string               `json:"verdict,omitempty"` // of the marks, where anything is wanted
	Warnings        []photometry.Finding `json:"warnings"`
	Cautions        []photometry.Finding `json:"cautions"`
	Inferred        []photometry.Remark  `json:"inferred"`
}

// PlaceResult is the screen at one place: its light and cloth in stops from their means.
type PlaceResult struct {
	Label       string     `json:"label"`
	X           *float64   `json:"x_m,omitempty"`
	Y           *float64   `json:"y_m,omitempty"`
	Light       float64    `json:"light_lx"`
	Luminance   float64    `json:"luminance_cd_per_m2"`
	Reflectance float64    `json:"reflectance"`
	Interval    [2]float64 `json:"interval"`
	LightStops  float64    `json:"light_from_mean_stops"`
	ClothStops  float64    `json:"cloth_from_mean_stops"`
	Cloth       bool       `json:"cloth_differs"` // by more than readings scatter
}

// MarkResult is the screen as it is at a mark.
type MarkResult struct {
	Label string `json:"label"`
	// ScreenToKey is log2(ρ·E/(0.18·E_key)): the screen over a middle gray that the key
	// lights.
	ScreenToKey         *float64    `json:"screen_to_key_stops,omitempty"`
	ScreenToKeyInterval *[2]float64 `json:"screen_to_key_interval_stops,omitempty"`
	Verdict             string      `json:"verdict,omitempty"` // against the target
	Spill               *float64    `json:"spill_lx,omitempty"`
	SpillInterval       *[2]float64 `json:"spill_interval_lx,omitempty"`
	SpillToKey          *float64    `json:"spill_to_key_stops,omitempty"`
	ReadSpill           *float64    `json:"read_spill_lx,omitempty"`
	SpillVerdict        string      `json:"spill_verdict,omitempty"`
	// ForwardM is how far to come away from the screen for the limit, MaskPercent how
	// much of the lit part to mask instead, from its edges.
	ForwardM    *float64 `json:"forward_m,omitempty"`
	MaskPercent *float64 `json:"mask_percent,omitempty"`
}

// MiddleGray is the reflectance that exposures are told against (ISO 2720's 18 %).
const MiddleGray = 0.18

// Lambertian is the reflectance π·L/E of a diffuse surface, L in cd/m² and E in lx.
func Lambertian(luminance, light float64) float64 { return math.Pi * luminance / light }

// analysis is a screen while it is judged.
type analysis struct {
	in     Input
	out    *Result
	stops  float64 // standard deviation of one reading
	z      float64 // the two-sided 95 % point
	cloth  []Place // without cards
	factor float64 // of the card, 1 without
	card   float64 // variance of its log2

	lit      *litPart // nil where it is not known
	toScreen int      // marks so far that have a distance to it
}

// Analyze judges a screen. There is at least one place that is no card, and every light
// and luminance is above 0.
func Analyze(in Input) *Result {
	r := uncertainty.AssumedRepeatability
	a := &analysis{in: in, factor: 1, z: uncertainty.Factor(0), out: &Result{Schema: Schema, Title: in.Title, Date: in.Date, Marks: []MarkResult{},
		Warnings: append([]photometry.Finding{}, in.Warnings...), Inferred: append([]photometry.Remark{}, in.Inferred...),
		TargetStops: in.Target, ToleranceStops: in.Tolerance, SpillTarget: in.SpillTarget,
		Cautions: []photometry.Finding{photometry.Found("screen.caution")}}}
	if in.Repeatability != nil {
		r = *in.Repeatability
	} else {
		a.out.Inferred = append(a.out.Inferred, photometry.Remarked("screen.scatter_assumed"))
	}
	a.stops = photometry.ReadingStops(r, in.Resolution)
	a.cards()
	a.reflectances()
	a.lit = a.litPart()
	for _, m := range in.Marks {
		a.mark(m)
	}
	if left := a.toScreen - schema.MostSpills; left > 0 {
		a.warn("screen.spills_left", "marks", schema.MostSpills, "all", a.toScreen)
	}
	return a.out
}

func (a *analysis) warn(key string, namesAndValues ...any) {
	a.out.Warnings = append(a.out.Warnings, photometry.Found(key, namesAndValues...))
}

// cards finds what takes the luminances to the scale of the light.
func (a *analysis) cards() {
	var off []float64
	for _, p := range a.in.Places {
		if p.Card > 0 {
			off = append(off, math.Log2(p.Card/Lambertian(p.Luminance, p.Light)))
		} else {
			a.cloth = append(a.cloth, p)
		}
	}
	if len(off) == 0 {
		a.out.Inferred = append(a.out.Inferred, photometry.Remarked("screen.no_card"))
		return
	}
	a.factor = math.Exp2(stat.Mean(off, nil))
	a.card = 2 * a.stops * a.stops / float64(len(off))
	a.out.CardFactor = &a.factor
}

// reflectances are those of the places and of the whole, and what of the differences is
// light and what is cloth.
func (a *analysis) reflectances() {
	var light, cloth, luminance, sound []float64
	for _, p := range a.cloth {
		light = append(light, math.Log2(p.Light))
		luminance = append(luminance, math.Log2(p.Luminance))
		cloth = append(cloth, math.Log2(a.factor*Lambertian(p.Luminance, p.Light)))
		if last := cloth[len(cloth)-1]; last <= 0 {
			sound = append(sound, last)
		}
	}
	// No surface reflects more than all: such a place says nothing of the others.
	some := len(sound) > 0
	if !some {
		sound = cloth
	}
	n, mean := float64(len(sound)), stat.Mean(sound, nil)
	around := func(log2, variance float64) [2]float64 {
		half := a.z * math.Sqrt(variance)
		return [2]float64{math.Exp2(log2 - half), math.Exp2(log2 + half)}
	}
	both := 2 * a.stops * a.stops
	a.out.Reflectance, a.out.Interval = math.Exp2(mean), around(mean, both/n+a.card)
	most := uncertainty.FactorOfPairs(len(sound), 0) * math.Sqrt(both*(1-1/n))
	for i, p := range a.cloth {
		q := PlaceResult{Label: p.Label, Light: p.Light, Luminance: p.Luminance, Reflectance: math.Exp2(cloth[i]), Interval: around(cloth[i], both+a.card),
			LightStops: light[i] - stat.Mean(light, nil), ClothStops: cloth[i] - mean}
		q.Cloth = n > 1 && math.Abs(q.ClothStops) > most
		if !math.IsNaN(p.X) {
			q.X, q.Y = &p.X, &p.Y
		}
		if q.Reflectance > 1 {
			a.warn("screen.over_one", "place", p.Label, "reflectance", photometry.Percentage(100*q.Reflectance), "without", some)
		}
		a.out.Places = append(a.out.Places, q)
	}
	a.out.LightSpread, a.out.LuminanceSpread, a.out.ClothSpread = spread(light), spread(luminance), spread(cloth)
}

func spread(v []float64) float64 { return floats.Max(v) - floats.Min(v) }

// mark judges the screen and its spill at a mark.
func (a *analysis) mark(m Mark) {
	out := MarkResult{Label: m.Label, ReadSpill: m.Spill}
	if m.Key > 0 {
		sum := 0.0
		for _, p := range a.cloth {
			sum += p.Luminance / float64(len(a.cloth))
		}
		found := math.Log2(a.factor * math.Pi * sum / (MiddleGray * m.Key))
		half := a.z * math.Sqrt(a.stops*a.stops*(1+1/float64(len(a.cloth)))+a.card)
		out.ScreenToKey, out.ScreenToKeyInterval = &found, &[2]float64{found - half, found + half}
		if t := a.in.Target; t != nil {
			below, above := *t-(found-half), found+half-*t
			out.Verdict = uncertainty.Judge(-min(below, above), max(below, above), a.in.Tolerance)
		}
	}
	if m.ToScreenM > 0 && a.lit != nil {
		if a.toScreen++; a.toScreen <= schema.MostSpills {
			a.spill(m, &out)
		} else if a.in.SpillTarget != nil && m.Key > 0 {
			out.SpillVerdict = uncertainty.Unsure
		}
	}
	a.out.Verdict = uncertainty.WorstJudged(a.out.Verdict, out.Verdict, out.SpillVerdict)
	a.out.Marks = append(a.out.Marks, out)
}

// spill is what the lit part throws on a mark, and what brings it under the limit.
func (a *analysis) spill(m Mark, out *MarkResult) {
	lit := a.lit
	x, y := lit.Box.Center()
	if m.X != nil && m.Y != nil {
		x, y = *m.X, *m.Y
	}
	at := func(distance float64) float64 { return lit.spill(r3.Vec{X: x, Y: y, Z: distance}, 1) }
	level := at(m.ToScreenM)
	// A tape to a subject is good to a few centimeters.
	near, far := at(max(0.01, m.ToScreenM-tapeM)), at(m.ToScreenM+tapeM)
	variance := math.Pow(lit.scatter(r3.Vec{X: x, Y: y, Z: m.ToScreenM}, a.stops*math.Ln2), 2) + a.card*math.Pow(math.Ln2*level, 2)
	half := math.Hypot(a.z*math.Sqrt(variance), (near-far)/2)
	out.Spill, out.SpillInterval = &level, &[2]float64{max(0, level-half), level + half}
	if m.Key > 0 {
		out.SpillToKey = new(photometry.Stops(level, m.Key))
		if t := a.in.SpillTarget; t != nil {
			a.limit(m, out, lit, r3.Vec{X: x, Y: y, Z: m.ToScreenM}, m.Key*photometry.Factor(*t))
		}
	}
	if m.Spill != nil && (*m.Spill < out.SpillInterval[0]*(1-a.z*a.stops*math.Ln2) || *m.Spill > out.SpillInterval[1]*(1+a.z*a.stops*math.Ln2)) {
		a.warn("screen.spill_differs", "mark", m.Label, "read", lux(*m.Spill), "computed", lux(level), "more", *m.Spill > level)
	}
}

// tapeM is how far a tape to a subject may be off.
const tapeM = 0.02

func lux(v float64) photometry.Level { return photometry.Level{Value: v} }

// limit finds how far forward, or how much of a mask, brings the spill to a limit.
func (a *analysis) limit(m Mark, out *MarkResult, lit *litPart, at r3.Vec, most float64) {
	out.SpillVerdict = uncertainty.Judge(out.SpillInterval[0], out.SpillInterval[1], most)
	if *out.Spill <= most {
		return
	}
	turn := func(from, to float64, over func(float64) bool) float64 { // up to which it is over
		for range 60 {
			if middle := (from + to) / 2; over(middle) {
				from = middle
			} else {
				to = middle
			}
		}
		return to
	}
	far := turn(at.Z, 100*at.Z, func(z float64) bool { return lit.spill(r3.Vec{X: at.X, Y: at.Y, Z: z}, 1) > most })
	part := turn(1, 0, func(part float64) bool { return lit.spill(at, part) > most })
	out.ForwardM, out.MaskPercent = new(far-at.Z), new(100*(1-part*part))
}

// litPart is the lit part as rectangles, each of the place that is nearest to it.
type litPart struct {
	spatial.Box
	places    *spatial.Places
	luminance []float64 // of the places, by the card
	loose     []float64 // how far each is off the mean of its neighbors
}

// litPart is nil where the places or the size of the lit part are not known.
func (a *analysis) litPart() *litPart {
	if a.in.Lit == nil {
		return nil
	}
	var x, y, l []float64
	for _, p := range a.cloth {
		if !math.IsNaN(p.X) {
			x, y, l = append(x, p.X), append(y, p.Y), append(l, a.factor*p.Luminance)
		}
	}
	if len(x) == 0 {
		return nil
	}
	lit := &litPart{Box: *a.in.Lit, places: spatial.NewPlaces(x, y), luminance: l}
	for i := range l {
		neighbors := lit.places.Nearest(i, 4)
		sum := 0.0
		for _, j := range neighbors {
			sum += l[j]
		}
		loose := 0.0
		if len(neighbors) > 0 {
			loose = l[i] - sum/float64(len(neighbors))
		}
		lit.loose = append(lit.loose, loose)
	}
	return lit
}

// The lit part is cut into so many rectangles each way.
const columns, rows = 32, 16

// spill is the illuminance in lx at a point before the screen, facing it, of the lit part
// or, for a part below 1, of what a mask about its middle leaves of each side: the sum of
// Lambertian rectangles in their exact form (falloff.Polygon).
func (l *litPart) spill(at r3.Vec, part float64) float64 {
	sum := 0.0
	l.each(at, part, func(i int32, perLuminance float64) { sum += perLuminance * l.luminance[i] })
	return sum
}

// each gives every rectangle's place and what it throws there for each cd/m².
func (l *litPart) each(at r3.Vec, part float64, do func(i int32, perLuminance float64)) {
	if part <= 0 {
		return
	}
	cx, cy := l.Box.Center()
	w, h := part*l.Box.Width()/columns, part*l.Box.Height()/rows
	for i := range columns {
		for j := range rows {
			x, y := cx+(float64(i)+0.5-columns/2)*w, cy+(float64(j)+0.5-rows/2)*h
			patch, err := falloff.Rectangle(r3.Vec{X: x, Y: y}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, w, h, 1)
			if err != nil {
				continue // too small to shine
			}
			do(l.closest(x, y), patch.Illuminance(at, r3.Vec{Z: -1}))
		}
	}
}

// closest is the place closest to a point: of those about as near as places are to each
// other, else farther and farther.
func (l *litPart) closest(x, y float64) int32 {
	within := math.Sqrt(l.Box.Width()*l.Box.Height()/float64(len(l.luminance))) + 1e-3
	for {
		if i := l.places.Closest(x, y, within); i >= 0 {
			return i
		}
		within *= 2
	}
}

// scatter is the standard deviation of the spill at a point in lx: of the readings, as a
// share of each, and of what lies between the places, a quarter of how far each is off
// the mean of its neighbors, as simulations have it. The latter adds up, since a seam or
// the edge of a beam is on the same side of all places along it.
func (l *litPart) scatter(at r3.Vec, share float64) float64 {
	weight := make([]float64, len(l.luminance))
	l.each(at, 1, func(i int32, perLuminance float64) { weight[i] += perLuminance })
	squares, between := 0.0, 0.0
	for i, w := range weight {
		squares += math.Pow(w*share*l.luminance[i], 2)
		between += w * math.Abs(l.loose[i]) / 4
	}
	return math.Hypot(math.Sqrt(squares), between)
}
