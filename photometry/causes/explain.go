package causes

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// Codes of causes.
const (
	SideBright   = "side_bright"   // the lamp of a side too strong or too near
	OneLamp      = "one_lamp"      // one lamp alone, or far over the others
	TopBright    = "top_bright"    // lamps too high
	BottomBright = "bottom_bright" // lamps too low
	EdgesBright  = "edges_bright"  // lamps too near to the sides
	MiddleBright = "middle_bright" // beams meet in the middle
	OtherLight   = "other_light"   // light from elsewhere on a side
	Bounce       = "bounce"        // light from the floor
	HotSpot      = "hot_spot"      // a patch of light
	DarkSpot     = "dark_spot"     // a patch in shadow
	Shadow       = "shadow"        // an edge or a corner in shadow
	Drift        = "drift"         // the light changed meanwhile
	OneReading   = "one_reading"   // a single reading is off
)

// Name is a cause by its code and where it is: a side ("left", "bottom right"), or the
// place that it is about.
type Name struct {
	Code, Side string
	Place      int // the reading nearest to it, -1 for none
}

// same reports whether two names are of one cause: patches of any place count as one.
func (n Name) same(o Name) bool {
	return n.Code == o.Code && n.Side == o.Side
}

// Rival is another cause that the readings allow in place of the first.
type Rival struct {
	Name
	Weight float64
}

// Cause is what explains a part of the unevenness.
type Cause struct {
	Name
	Stops  float64 // its effect: how far the light would differ without it, at most
	Darker bool    // the light changed, or the one reading is off, to the darker side
	Weight float64 // probability among all that was compared, of models by their evidence
	Rivals []Rival
	Change *Change // nil where none helps
	Test   *Test   // what tells it from its rivals

	part  part
	from  *fit // the best model that it is a part of
	first bool
}

// part is a part of a fitted model that is a cause of its own.
type part struct {
	Name
	effect []float64 // stops at each place
	size   float64   // range of these
	faults []int     // of the model, the largest first; nil for a part of the base
	// withSide is set where the lamps of the base are brighter on the side that light
	// comes from, by less than that: most likely the rest of the same light.
	withSide bool
	darker   bool // of a reading that is off
}

// What is said, and when.
const (
	leastGain     = 6.0  // of a model's score over even light's
	leastMisfit   = 0.05 // stops: where readings scatter more about the best model, and twice as much as by themselves, no model holds
	leastEffect   = 0.18 // stops
	leastOfBase   = 0.20 // stops: of height, and of edges and middle
	faultFirst    = 0.35 // of the largest effect: a fault goes before edges and middle
	furtherEffect = 0.5  // of the largest effect
	alone         = 0.90
	aloneSimilar  = 0.95
	together      = 0.70
	leastRival    = 0.03
	walkAlike     = 0.85 // correlation with the walk
	driftWithin   = 6.0  // of the best score
)

// temperature is what scores are divided by in weights: models are not exact, and what
// they miss is alike at places that are close together.
func (s *shape) temperature() float64 { return leastTemperature * max(1, float64(len(s.u))/45) }

const leastTemperature = 1.6

// parts takes a fitted model apart.
func (s *shape) parts(f *fit) []part {
	n := len(s.u)
	full := s.light(f.model, f.Z).each(make([]float64, n))
	out := s.faultsOf(f, full)
	add := func(name Name, whole, without []float64) {
		out = append(out, newPart(name, whole, without, nil))
	}
	if f.base == even {
		return out
	}
	// The base alone, step by step more even.
	alone := func(b base, z []float64) []float64 { return s.light(model{base: b}, z).each(make([]float64, n)) }
	z := slices.Clone(f.Z[:baseParameters[f.base]])
	whole := alone(f.base, z)
	if f.base == single {
		add(Name{OneLamp, "", -1}, whole, make([]float64, n))
		return out
	}
	if f.base == unequal {
		z = z[:baseParameters[pair]]
		equal := alone(pair, z)
		add(Name{SideBright, "", -1}, whole, equal)
		p := &out[len(out)-1]
		p.Side = "left"
		if stat.Covariance(p.effect, s.u, nil) > 0 {
			p.Side = "right"
		}
		for k := range out {
			from := out[k].Code == OtherLight && out[k].Side == p.Side || out[k].Code == HotSpot && s.atEdge(out[k].effect) == p.Side
			out[k].withSide = from && out[k].size > p.size
		}
		whole = equal
	}
	name := Name{TopBright, "", -1}
	if z[3] < 0 {
		name.Code = BottomBright
	}
	z[3] = 0
	level := alone(pair, z)
	add(name, whole, level)
	name.Code = MiddleBright
	if s.middleOver(level) < 0 {
		name.Code = EdgesBright
	}
	add(name, level, make([]float64, n))
	return out
}

func newPart(name Name, whole, without []float64, faults []int) part {
	p := part{Name: name, effect: floats.SubTo(make([]float64, len(whole)), whole, without), faults: faults}
	p.size = floats.Max(p.effect) - floats.Min(p.effect)
	return p
}

// faultsOf are the faults of a fitted model, each with the smaller ones that lie where it
// lies: these only mend the form that the model gives it.
func (s *shape) faultsOf(f *fit, full []float64) (out []part) {
	each := func(faults ...int) []float64 {
		l := s.light(f.model, f.Z)
		l.remove(faults)
		return l.each(make([]float64, len(s.u)))
	}
	var all []part
	for k, x := range f.faults {
		all = append(all, newPart(s.nameOf(x, f, k), full, each(k), []int{k}))
	}
	slices.SortStableFunc(all, func(a, b part) int { return cmp.Compare(b.size, a.size) })
	for len(all) > 0 {
		main := all[0]
		var rest []part
		for _, p := range all[1:] {
			if f.faults[main.faults[0]].kind < drifting && f.faults[p.faults[0]].kind < drifting && overlap(main.effect, p.effect) > 0.5 {
				main.faults = append(main.faults, p.faults[0])
			} else {
				rest = append(rest, p)
			}
		}
		if len(main.faults) > 1 {
			main = newPart(main.Name, full, each(main.faults...), main.faults)
		}
		out, all = append(out, main), rest
	}
	return out
}

// overlap is the share of an effect that lies where another is over a quarter of its
// largest.
func overlap(main, other []float64) float64 {
	most, sum, inside := max(floats.Max(main), -floats.Min(main)), 0.0, 0.0
	for i, v := range other {
		if sum += math.Abs(v); math.Abs(main[i]) > most/4 {
			inside += math.Abs(v)
		}
	}
	return inside / max(sum, 1e-12)
}

// middleOver is by how much the middle third of the width is over the rest.
func (s *shape) middleOver(stops []float64) float64 {
	var sum, n [2]float64
	for i, v := range stops {
		k := 0
		if math.Abs(s.u[i]) > s.halfWidth/2 {
			k = 1
		}
		sum[k], n[k] = sum[k]+v, n[k]+1
	}
	if n[0] == 0 || n[1] == 0 {
		return 0
	}
	return sum[0]/n[0] - sum[1]/n[1]
}

// nameOf names fault k of a fit.
func (s *shape) nameOf(x fault, f *fit, k int) Name {
	side := sidesOf[x.kind].name
	switch {
	case x.kind <= lightTop:
		return beyondEdge(side)
	case x.kind == brightPatch:
		return Name{HotSpot, "", s.nearest(f, k)}
	case x.kind == darkPatch:
		return Name{DarkSpot, "", s.nearest(f, k)}
	case x.kind <= shadeTopRight:
		return Name{Shadow, side, -1}
	case x.kind == drifting:
		return Name{Drift, "", -1}
	}
	return Name{OneReading, "", s.of[x.place]}
}

// nearest is the reading nearest to the center of patch k.
func (s *shape) nearest(f *fit, k int) int {
	z := s.light(f.model, f.Z).faults[k].z
	u, v := 0.6*s.halfWidth*z[2], 0.6*s.halfHeight*z[3]
	place, best := 0, math.Inf(1)
	for i := range s.u {
		if d := math.Hypot(s.u[i]-u, s.v[i]-v); d < best {
			place, best = i, d
		}
	}
	return s.of[place]
}

// ranked are the parts of a model that may be named, the first cause first: the
// largest effect, but a fault before edges or middle.
func (s *shape) ranked(f *fit) []part {
	parts := s.parts(f)
	all := slices.DeleteFunc(slices.Clone(parts), func(p part) bool { return p.size < least(p.Code) || offset(p, parts) })
	slices.SortStableFunc(all, func(a, b part) int { return cmp.Compare(b.size, a.size) })
	if len(all) > 0 && curved(all[0].Code) {
		for k, p := range all[1:] {
			if p.faults != nil && p.size >= faultFirst*all[0].size {
				return slices.Insert(slices.Delete(all, k+1, k+2), 0, p)
			}
		}
	}
	return all
}

// offset reports whether another part of a model takes back most of what a part does:
// then they only mend the form of the rest, and the surface shows neither.
func offset(p part, parts []part) bool {
	return slices.ContainsFunc(parts, func(o part) bool {
		if curved(p.Code) || curved(o.Code) || o.Name == p.Name {
			return false
		}
		sum := floats.AddTo(make([]float64, len(p.effect)), p.effect, o.effect)
		return floats.Max(sum)-floats.Min(sum) < 0.6*max(p.size, o.size)
	})
}

func curved(code string) bool { return code == EdgesBright || code == MiddleBright }

func least(code string) float64 {
	if curved(code) || code == TopBright || code == BottomBright {
		return leastOfBase
	}
	return leastEffect
}

// opposite is the edge across from one.
var opposite = map[string]string{"left": "right", "right": "left", "top": "bottom", "bottom": "top"}

// similar reports whether two causes look alike on any surface: the lamp of a side,
// light from there, and a shadow across from it; one lamp, and beams that meet.
func similar(a, b Name) bool {
	at := func(n Name) string {
		switch n.Code {
		case TopBright:
			return "top"
		case BottomBright:
			return "bottom"
		case SideBright, OtherLight, Bounce:
			return n.Side
		case Shadow:
			return opposite[n.Side]
		case OneLamp, MiddleBright:
			return "middle"
		}
		return ""
	}
	return at(a) != "" && at(a) == at(b) && a.Code != b.Code
}

// likely are the fits, the best first, whose evidence is at least a ten thousandth of the
// best one's, with their weights over that and their causes.
func (s *shape) likely(fits []*fit) []*fit {
	for k, f := range fits {
		if f.weight = math.Exp((f.score - fits[0].score) / s.temperature()); f.weight < 1e-4 {
			return fits[:k]
		}
		f.ranked = s.ranked(f)
	}
	return fits
}

// weighed are the first causes of all models with their weights, the likeliest first.
func weighed(likely []*fit) (out []Rival) {
	sum := 0.0
	for _, f := range likely {
		sum += f.weight
		name := Name{Place: -1}
		if len(f.ranked) > 0 {
			name = f.ranked[0].Name
		}
		if k := slices.IndexFunc(out, func(r Rival) bool { return r.same(name) }); k >= 0 {
			out[k].Weight += f.weight
		} else {
			out = append(out, Rival{name, f.weight})
		}
	}
	for k := range out {
		out[k].Weight /= sum
	}
	slices.SortStableFunc(out, func(a, b Rival) int { return cmp.Compare(b.Weight, a.Weight) })
	return out
}

// evenScore is the score of light that is the same everywhere.
func evenScore(fits []*fit) float64 {
	for _, f := range fits {
		if f.base == even && len(f.faults) == 0 {
			return f.score
		}
	}
	return math.Inf(-1)
}

// named are the causes that the readings support, the first with its rivals.
func (s *shape) named(fits, likely []*fit) []Cause {
	stray, found := s.stray(fits[0])
	if fits[0].score < evenScore(fits)+leastGain && !found || fits[0].Scatter() > max(2*s.scatter, leastMisfit) {
		return nil
	}
	weighed := weighed(likely)
	first := weighed[0]
	if found {
		if ranked := fits[0].ranked; len(ranked) == 0 || ranked[0].size < stray.size || curved(ranked[0].Code) && stray.size >= faultFirst*ranked[0].size {
			return []Cause{{Name: stray.Name, Stops: stray.size, Darker: stray.darker, Weight: 1, part: stray, from: fits[0]}}
		}
	}
	if first.Code == "" {
		return nil
	}
	// The best model that has this cause first speaks for it.
	from := likely[slices.IndexFunc(likely, func(f *fit) bool { return len(f.ranked) > 0 && f.ranked[0].same(first.Name) })]
	ranked := from.ranked
	cause := Cause{Name: ranked[0].Name, Stops: ranked[0].size, Weight: first.Weight, part: ranked[0], from: from, first: true}
	cause.Rivals = s.rivals(fits, cause, weighed[1:])
	sum := cause.Weight
	for _, r := range cause.Rivals {
		sum += r.Weight
	}
	if len(cause.Rivals) > 0 && cause.Rivals[0].Weight >= leastRival && sum < together {
		return nil
	}
	cause.Darker = stat.Covariance(cause.part.effect, s.t, nil) < 0
	if cause.Code == OneReading {
		cause.Darker = floats.Sum(cause.part.effect) < 0
	}
	causes := []Cause{cause}
	for _, p := range ranked[1:] {
		if w := weightOf(likely, p.Name); p.size >= furtherEffect*cause.Stops && w >= alone {
			causes = append(causes, Cause{Name: p.Name, Stops: p.size, Weight: w, part: p, from: from})
		}
	}
	return causes
}

// stray is a reading that is off by far among so many that cells stand for them.
func (s *shape) stray(f *fit) (part, bool) {
	if s.all == nil || s.computed {
		return part{}, false
	}
	l := s.light(f.model, f.Z)
	l.s, l.base = s.all, make([]float64, len(s.all.u))
	for i := range l.base {
		l.base[i] = l.fromLamps(s.all.u[i], s.all.v[i], nil)
	}
	off := s.all.residuals(l)
	size := make([]float64, len(off))
	for i, v := range off {
		size[i] = math.Abs(v)
	}
	place := floats.MaxIdx(size)
	largest := size[place]
	slices.Sort(size)
	next, typical := size[len(size)-2], size[len(size)/2]/0.6745
	if largest < max(6*typical, leastEffect) || next > largest/2 {
		return part{}, false
	}
	return part{Name: Name{OneReading, "", place}, size: largest, darker: off[place] < 0}, true
}

// rivals are what cannot be told from a cause.
func (s *shape) rivals(fits []*fit, c Cause, others []Rival) []Rival {
	var out []Rival
	has := func(n Name) bool { return slices.ContainsFunc(out, func(r Rival) bool { return r.same(n) }) }
	for k, r := range others {
		switch {
		case r.Code == "":
		case k == 0 && c.Weight < alone, similar(c.Name, r.Name) && r.Weight >= leastRival && (c.Weight < aloneSimilar || k > 0):
			out = append(out, r)
		}
	}
	for _, n := range s.alike(c) {
		if !has(n) {
			out = append(out, Rival{n, weightIn(others, n)})
		}
	}
	if c.Code != Drift && s.timed && !has(Name{Code: Drift}) && math.Abs(stat.Correlation(c.part.effect, s.t, nil)) > walkAlike && s.driftNear(fits) {
		out = append(out, Rival{Name{Drift, "", -1}, weightIn(others, Name{Code: Drift})})
	}
	return out
}

func weightIn(all []Rival, n Name) float64 {
	for _, r := range all {
		if r.same(n) {
			return r.Weight
		}
	}
	return 0
}

// alike are the rivals that a cause has by where it is: of a patch that a single
// reading sees that this one is off, and the other way round; of a patch of light at an
// edge, light from beyond it.
func (s *shape) alike(c Cause) (out []Name) {
	switch c.Code {
	case HotSpot, DarkSpot:
		if seen := floats.Count(func(v float64) bool { return math.Abs(v) > 0.3*c.Stops }, c.part.effect); seen <= 1 && !s.computed {
			out = append(out, Name{OneReading, "", c.Place})
		}
		if side := s.atEdge(c.part.effect); c.Code == HotSpot && side != "" {
			out = append(out, beyondEdge(side))
		}
	case OneReading:
		code := DarkSpot
		if floats.Sum(c.part.effect) > 0 {
			code = HotSpot
		}
		out = append(out, Name{code, "", c.Place})
	}
	return out
}

// beyondEdge is the cause that is light from beyond an edge.
func beyondEdge(side string) Name {
	if side == "bottom" {
		return Name{Bounce, side, -1}
	}
	return Name{OtherLight, side, -1}
}

// atEdge is the edge that the largest effect lies at, "" where it is farther in than
// three tenths of the way to the middle.
func (s *shape) atEdge(effect []float64) string {
	i := strongest(effect)
	at, nearest := "", 0.3
	for _, k := range []kind{lightLeft, lightRight, lightBottom, lightTop} {
		side, _ := s.edge(k)
		if distance, _ := s.fromEdge(k, s.u[i], s.v[i]); distance/(side/2) < nearest {
			at, nearest = sidesOf[k].name, distance/(side/2)
		}
	}
	return at
}

// driftNear reports whether a model with a drift is near the best.
func (s *shape) driftNear(fits []*fit) bool {
	return slices.ContainsFunc(fits, func(f *fit) bool {
		return f.score > fits[0].score-driftWithin && slices.ContainsFunc(f.faults, func(x fault) bool { return x.kind == drifting })
	})
}

// weightOf is the weight of all models that a cause is part of.
func weightOf(likely []*fit, n Name) float64 {
	sum, with := 0.0, 0.0
	for _, f := range likely {
		sum += f.weight
		if slices.ContainsFunc(f.ranked, func(p part) bool { return p.same(n) }) {
			with += f.weight
		}
	}
	return with / sum
}

// String is a cause for logs: code, side.
func (n Name) String() string { return strings.TrimSpace(n.Code + " " + n.Side) }
