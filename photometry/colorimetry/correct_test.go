package colorimetry

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// kitModel is a stack of nominal gels by the models, written out anew:
// the names and figures are the trade's.
func kitModel(t *testing.T, gels []string) func(nm float64) float64 {
	t.Helper()
	share := map[string]float64{"full": 1, "three-quarter": 0.75, "half": 0.5, "quarter": 0.25, "eighth": 0.125}
	var models []func(float64) float64
	for _, name := range gels {
		fraction, kind, _ := strings.Cut(name, " ")
		f, ok := share[fraction]
		if !ok {
			t.Fatalf("gel %q", name)
		}
		switch kind {
		case "CTO":
			models = append(models, referenceConversion(130.7*f))
		case "CTB":
			models = append(models, referenceConversion(-130.7*f))
		case "plus green":
			models = append(models, referenceCC(30*f))
		case "minus green":
			models = append(models, referenceCC(-30*f))
		default:
			t.Fatalf("gel %q", name)
		}
	}
	return func(nm float64) float64 {
		p := 1.0
		for _, m := range models {
			p *= 0.92 * m(nm)
		}
		return p
	}
}

// checkStacks applies every printed stack to the model of the light, all written
// out anew, and holds it to what was printed.
func checkStacks(t *testing.T, c Correction) {
	t.Helper()
	m, err := ModelOf(c.Source)
	if err != nil {
		t.Fatal(err)
	}
	target, err := c.Target.UV()
	if err != nil {
		t.Fatal(err)
	}
	cast := referenceCC(float64(m.Cast))
	_, bare := referenceThrough(m.PlanckianKelvin, cast)
	for _, s := range c.Stacks {
		stack := kitModel(t, s.Gels)
		got, level := referenceThrough(m.PlanckianKelvin, func(nm float64) float64 { return cast(nm) * stack(nm) })
		if math.Abs(got.Mired()-Mired(s.Kelvin)) > 1e-3 || math.Abs(got.Duv-s.Duv) > 1e-6 {
			t.Errorf("%v reads %v, printed %v", s.Gels, got, s.Reading())
		}
		if loss := -math.Log2(level / bare); math.Abs(loss-s.LossStops) > 1e-6 {
			t.Errorf("%v loses %g stops, printed %g", s.Gels, loss, s.LossStops)
		}
		if math.Abs(got.Mired()-c.Target.Mired()-s.MissMired) > 1e-3 || math.Abs(got.Duv-c.Target.Duv-s.MissDuv) > 1e-6 {
			t.Errorf("%v misses by %g mired, %g; printed %g, %g", s.Gels, got.Mired()-c.Target.Mired(), got.Duv-c.Target.Duv, s.MissMired, s.MissDuv)
		}
		at, err := got.UV()
		if err != nil {
			t.Fatal(err)
		}
		if d := math.Hypot(at.U-target.U, 1.5*(at.V-target.V)); math.Abs(d-s.DeltaUVPrime) > 1e-6 || math.Abs(s.Steps-d/0.0011) > 1e-3 {
			t.Errorf("%v misses by %g, printed %g", s.Gels, d, s.DeltaUVPrime)
		}
	}
}

// A light of 3,200 K with Duv +0.010 that must become 3,200 K, Duv 0 needs minus
// green and cooling, and the printed stack lands where it says.
func TestCorrectAGreenTungsten(t *testing.T) {
	c, err := Correct(CCT{3200, 0.010}, CCT{3200, 0}, NominalKit(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Mired != 0 || math.Abs(c.Duv+0.010) > 1e-15 {
		t.Errorf("shift %+v", c.Shift)
	}
	best := c.Stacks[0]
	if strings.Join(best.Gels, ", ") != "quarter CTB, half minus green" {
		t.Errorf("best stack %v", best.Gels)
	}
	if best.Steps > 1.5 {
		t.Errorf("it misses by %g steps", best.Steps)
	}
	checkStacks(t, c)
	needs, hang := c.Advice[0], c.Advice[2]
	if needs.Code != "needs" || !(needs.Values["mired"].(float64) < 0) || needs.Values["cc"] != CC(-14.5) || needs.Values["gels"] != "quarter CTB and half minus green" {
		t.Errorf("needs %v", needs)
	}
	if hang.Code != "best_stack" || !reflect.DeepEqual(hang.Values["best"].(Stack).Gels, best.Gels) || c.Advice[3].Key != "correct.loss" {
		t.Errorf("advice %v", c.Advice)
	}
	for _, code := range []string{"heat", "estimate", "nominal_gels"} {
		if !hasFinding(c.Warnings, code) {
			t.Errorf("no warning %q", code)
		}
	}
}

func TestCorrectProperties(t *testing.T) {
	kit := NominalKit()
	rapid.Check(t, func(rt *rapid.T) {
		source, target := setLight(rt, "source"), setLight(rt, "target")
		c, err := Correct(source, target, kit, Options{Stacks: rapid.IntRange(1, 8).Draw(rt, "stacks")})
		if err != nil {
			rt.Fatal(err)
		}
		if len(c.Stacks) == 0 {
			rt.Fatal("no stacks, not even the bare light")
		}
		checkStacks(t, c)
		for i, s := range c.Stacks {
			if len(s.Gels) > 2 {
				rt.Fatalf("stack of %d", len(s.Gels))
			}
			if i > 0 && s.Within == c.Stacks[i-1].Within && s.Penalty() < c.Stacks[i-1].Penalty() && len(c.Stacks[i-1].Gels) > 0 {
				rt.Fatalf("stack %d ranks too low", i)
			}
			if i > 0 && s.Within && !c.Stacks[i-1].Within {
				rt.Fatalf("stack %d lands within tolerance and ranks behind one that does not", i)
			}
			if within := math.Abs(s.MissMired) <= 10 && math.Abs(s.MissDuv) <= 0.003; s.Within != within {
				rt.Fatalf("%v misses by %g mired and %g: within is %v", s.Gels, s.MissMired, s.MissDuv, s.Within)
			}
			if i > 0 && s.Steps > c.Stacks[0].Steps && s.LossStops > c.Stacks[0].LossStops+1e-6 && len(c.Stacks[0].Gels) > 0 {
				rt.Fatalf("%v is worse than %v in every way", s.Gels, c.Stacks[0].Gels)
			}
		}
		bare, err := ShiftBetween(source, target)
		if err != nil {
			rt.Fatal(err)
		}
		if c.Stacks[0].Penalty() > bare.Steps+1e-6 && !c.Stacks[0].Within {
			rt.Fatalf("the best stack is worse than nothing")
		}
		if c.Within != c.Stacks[0].Within {
			rt.Fatalf("within tolerance %v, the best stack %v", c.Within, c.Stacks[0].Within)
		}
	})
}

// Nothing in the kit or in any pair of it beats the best stack: all of them, by
// the models written out anew. Stacks within tolerance only compete with each
// other.
func TestNoStackBeatsTheBest(t *testing.T) {
	for _, tolerance := range []struct {
		mired, duv float64
		least      int // stacks that land within it
	}{{10, 0.003, 1}, {40, 0.01, 5}} {
		noStackBeatsTheBest(t, Options{ToleranceMired: tolerance.mired, ToleranceDuv: tolerance.duv}, tolerance.least)
	}
}

func noStackBeatsTheBest(t *testing.T, opts Options, least int) {
	t.Helper()
	source, target := CCT{4300, 0.006}, CCT{5600, 0}
	c, err := Correct(source, target, NominalKit(), opts)
	if err != nil {
		t.Fatal(err)
	}
	m, err := ModelOf(source)
	if err != nil {
		t.Fatal(err)
	}
	cast := referenceCC(float64(m.Cast))
	to, err := target.UV()
	if err != nil {
		t.Fatal(err)
	}
	_, bare := referenceThrough(m.PlanckianKelvin, cast)
	within := 0
	var names []string
	for _, g := range NominalKit() {
		if g.Kind != ND {
			names = append(names, g.Name)
		}
	}
	for i := range names {
		for j := i; j < len(names); j++ {
			gels := names[i : i+1]
			if j > i {
				gels = []string{names[i], names[j]}
			}
			stack := kitModel(t, gels)
			var after XYZ
			for nm := 360; nm <= 830; nm++ {
				p := math.Pow(float64(nm)/560, -5) / math.Expm1(referenceC2*1e9/(float64(nm)*m.PlanckianKelvin))
				after = after.Add(ColorMatching(nm).Scale(p * cast(float64(nm)) * stack(float64(nm))))
			}
			var white float64
			for nm := 360; nm <= 830; nm++ {
				p := math.Pow(float64(nm)/560, -5) / math.Expm1(referenceC2*1e9/(float64(nm)*m.PlanckianKelvin))
				white += p * ColorMatching(nm).Y
			}
			uv := after.UV()
			penalty := math.Hypot(uv.U-to.U, 1.5*(uv.V-to.V))/0.0011 - 3*math.Log2(after.Y/(white*bare))
			reading, err := uv.CCT()
			if err != nil || math.Abs(reading.Mired()-target.Mired()) > opts.ToleranceMired || math.Abs(reading.Duv-target.Duv) > opts.ToleranceDuv {
				continue // a stack within tolerance comes before those that are not
			}
			within++
			if penalty < c.Stacks[0].Penalty()-1e-6 {
				t.Errorf("%v has a penalty of %g, below that of %v, %g", gels, penalty, c.Stacks[0].Gels, c.Stacks[0].Penalty())
			}
		}
	}
	if within < least || !c.Stacks[0].Within {
		t.Errorf("%d stacks land within tolerance; the best one: %v", within, c.Stacks[0].Within)
	}
}

func TestCorrectWithAPoorBag(t *testing.T) {
	warm := []Gel{{Name: "half CTO", Kind: CTO, Mired: 65}, {Name: "full CTO", Kind: CTO, Mired: 131}}
	c, err := Correct(CCT{3200, 0}, CCT{5600, 0}, warm, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !hasFinding(c.Advice, "no_useful_gel") || hasFinding(c.Advice, "best_stack") {
		t.Errorf("%v", c.Advice)
	}
	nearest := false
	for _, s := range c.Stacks {
		nearest = nearest || len(s.Gels) == 1 && s.Gels[0] == "half CTO"
	}
	if !nearest || len(c.Stacks[0].Gels) != 0 {
		t.Errorf("stacks %+v", c.Stacks)
	}
	named := false
	for _, a := range c.Advice {
		named = named || a.Code == "no_useful_gel" && a.Values["nearest"].(Stack).Gels[0] == "half CTO"
	}
	if !named {
		t.Errorf("the nearest is not named: %v", c.Advice)
	}

	c, err = Correct(CCT{3200, 0}, CCT{5600, 0}, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !hasFinding(c.Advice, "empty_bag") || len(c.Stacks) != 1 || len(c.Stacks[0].Gels) != 0 {
		t.Errorf("%v, %v", c.Advice, c.Stacks)
	}
	nd := []Gel{{Name: "ND 0.3", Kind: ND, Transmittance: Percent(50)}}
	if c, err = Correct(CCT{3200, 0}, CCT{5600, 0}, nd, Options{}); err != nil || !hasFinding(c.Advice, "empty_bag") {
		t.Errorf("%v, %v", c.Advice, err)
	}
}

// Where the tolerance can be met it is met, even at a price that the ranking
// alone would not pay: 25 mired of warming in half a stop and half of that left,
// or all of it in three stops. No sheet of a real gel loses so much; the figures
// only set the two against each other.
func TestToleranceComesBeforePenalty(t *testing.T) {
	bag := []Gel{
		{Name: "near", Mired: 12, Transmittance: Percent(70.7)},
		{Name: "exact", Mired: 25, Transmittance: Percent(12.5)},
	}
	source := CCT{5000, 0}
	target := CCT{Kelvin(source.Mired() + 25), 0}
	c, err := Correct(source, target, bag, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if best := c.Stacks[0]; best.Gels[0] != "exact" || len(best.Gels) != 1 || !best.Within || !c.Within {
		t.Errorf("best %v", best.Gels)
	}
	var near *Stack
	for i, s := range c.Stacks {
		if len(s.Gels) == 1 && s.Gels[0] == "near" {
			near = &c.Stacks[i]
		}
	}
	if near == nil || near.Within || near.Penalty() >= c.Stacks[0].Penalty() {
		t.Errorf("%+v: the test is no test", near)
	}
	// A wider tolerance takes the cheap one.
	if c, err = Correct(source, target, bag, Options{ToleranceMired: 15}); err != nil || c.Stacks[0].Gels[0] != "near" || !c.Within {
		t.Errorf("%v, %v", c.Stacks[0].Gels, err)
	}
}

// The loss is told for where the gel hangs, and only a lamp is hot.
func TestCorrectSaysWhomTheLossCosts(t *testing.T) {
	for place, key := range map[Place]string{"": "correct.loss", OnLamp: "correct.on_lamp.loss", OnLens: "correct.on_lens.loss"} {
		c, err := Correct(CCT{3200, 0}, CCT{5600, 0}, NominalKit(), Options{On: place})
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range c.Advice {
			if a.Code == "loss" && a.Key != key {
				t.Errorf("on %q: %s", place, a.Key)
			}
		}
		if hasFinding(c.Warnings, "heat") != (place != OnLens) {
			t.Errorf("on %q: %v", place, c.Warnings)
		}
	}
}

func TestCorrectWithinTolerance(t *testing.T) {
	c, err := Correct(CCT{5600, 0.002}, CCT{5500, 0}, NominalKit(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !hasFinding(c.Advice, "within_tolerance") || hasFinding(c.Advice, "best_stack") {
		t.Errorf("%v", c.Advice)
	}
	c, err = Correct(CCT{5600, 0.002}, CCT{5500, 0}, NominalKit(), Options{ToleranceMired: 2, ToleranceDuv: 0.001})
	if err != nil {
		t.Fatal(err)
	}
	if hasFinding(c.Advice, "within_tolerance") {
		t.Errorf("%v", c.Advice)
	}
}

func TestCorrectErrors(t *testing.T) {
	good := CCT{5600, 0}
	for _, f := range []struct {
		source, target CCT
		bag            []Gel
	}{
		{CCT{150, 0}, good, nil}, {good, CCT{1e6, 0}, nil}, {CCT{5600, 3}, good, nil},
		{good, CCT{3200, 0}, []Gel{{Name: "g", Mired: 10, Transmittance: Percent(150)}}},
	} {
		if c, err := Correct(f.source, f.target, f.bag, Options{}); err == nil || c.Stacks != nil {
			t.Errorf("%v to %v accepted: %v", f.source, f.target, err)
		}
	}
	// Every faulty gel is named at once.
	_, err := Correct(good, CCT{3200, 0}, []Gel{{Name: "one"}, {Name: "two", Mired: 10, Transmittance: Percent(0)}}, Options{})
	if err == nil || !strings.Contains(err.Error(), "one") || !strings.Contains(err.Error(), "two") {
		t.Errorf("%v", err)
	}
}

// Beyond the model the shifts stand, the filters are absent, and that is said.
func TestCorrectBeyondTheModel(t *testing.T) {
	c, err := Correct(CCT{20000, 0.04}, CCT{5600, 0}, NominalKit(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Needs != nil || len(c.Stacks) != 0 || !hasFinding(c.Warnings, "beyond_model") || math.Abs(c.Mired-(1e6/5600.0-50)) > 1e-9 {
		t.Errorf("%+v", c)
	}
}

// The JSON fields that tools rely on are there, and none is NaN.
func TestCorrectionJSON(t *testing.T) {
	c, err := Correct(CCT{3200, 0.010}, CCT{5600, 0}, NominalKit(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	for _, field := range []string{"mired_shift", "duv_shift", "needs", "stacks", "advice", "warnings"} {
		if _, ok := got[field]; !ok {
			t.Errorf("no field %q in %s", field, text)
		}
	}
	needs := got["needs"].(map[string]any)
	for _, field := range []string{"mired", "cc", "cc_color"} {
		if _, ok := needs[field]; !ok {
			t.Errorf("no needs.%s", field)
		}
	}
	stack := got["stacks"].([]any)[0].(map[string]any)
	for _, field := range []string{"gels", "cct_k", "duv", "loss_stops", "miss_mired", "miss_duv"} {
		if _, ok := stack[field]; !ok {
			t.Errorf("no stacks[].%s", field)
		}
	}
}

func BenchmarkCorrect(b *testing.B) {
	kit := NominalKit()
	for b.Loop() {
		if _, err := Correct(CCT{3200, 0.01}, CCT{5600, 0}, kit, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func hasFinding(findings []Finding, code string) bool {
	return slices.ContainsFunc(findings, func(f Finding) bool { return f.Code == code })
}
