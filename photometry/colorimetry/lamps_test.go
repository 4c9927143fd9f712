package colorimetry

import (
	"math"
	"strings"
	"testing"

	"evenfall/photometry"
)

// table is four lamps: two daylight panels that agree, one of them the key, a
// third a quarter green, and a tungsten back light.
func table() []Lamp {
	return []Lamp{
		{Name: "key", Light: CCT{5600, 0.001}, Level: 1000, Key: true},
		{Name: "fill", Light: CCT{5480, 0.002}, Level: 500},
		{Name: "side", Light: CCT{5550, 0.009}, Level: 300},
		{Name: "back", Light: CCT{3200, 0}, Level: 800},
	}
}

func lamp(t *testing.T, c LampsCorrection, name string) LampCorrection {
	t.Helper()
	for _, l := range c.Lamps {
		if l.Name == name {
			return l
		}
	}
	t.Fatalf("no lamp %q", name)
	return LampCorrection{}
}

func TestCorrectAllToTheKey(t *testing.T) {
	c, err := CorrectAll(table(), Aim{Key: true}, NominalKit(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Target != (CCT{5600, 0.001}) || c.TargetFrom != "key" {
		t.Errorf("target %v from %s", c.Target, c.TargetFrom)
	}
	if l := lamp(t, c, "key"); len(l.Gels) != 0 || !l.Within || l.LevelAfter != 1000 {
		t.Errorf("key %+v", l)
	}
	if l := lamp(t, c, "side"); strings.Join(l.Gels, ", ") != "quarter minus green" || !l.Within {
		t.Errorf("side gets %v, reads %v", l.Gels, l.After)
	}
	back := lamp(t, c, "back")
	if len(back.Gels) == 0 || back.Gels[0] != "full CTB" {
		t.Errorf("back gets %v", back.Gels)
	}
	if math.Abs(back.LevelAfter-800*math.Exp2(-back.LossStops)) > 1e-9 {
		t.Errorf("back falls to %g with %g stops", back.LevelAfter, back.LossStops)
	}
	// What all lamps make together is the sum of what each is after its gels.
	var parts []Light
	for _, l := range c.Lamps {
		xy, err := l.After.XY()
		if err != nil {
			t.Fatal(err)
		}
		parts = append(parts, Light{l.LevelAfter, xy})
	}
	sum, err := Mix(parts...)
	if err != nil {
		t.Fatal(err)
	}
	want, err := sum.XY.CCT()
	if err != nil {
		t.Fatal(err)
	}
	if c.Mixed == nil || math.Abs(c.Mixed.Kelvin-want.Kelvin) > 1e-6 {
		t.Errorf("mixed %v, want %v", c.Mixed, want)
	}
	// Without any gel the camera is set to what the meter reads.
	if c.Camera == nil || math.Abs(c.Camera.Kelvin-5600) > 1e-6 || c.Camera.Tint <= 0 {
		t.Errorf("camera %+v", c.Camera)
	}
	for _, code := range []string{"heat", "estimate", "nominal_gels"} {
		n := 0
		for _, w := range c.Warnings {
			if w.Code == code {
				n++
			}
		}
		if n != 1 {
			t.Errorf("warning %q said %d times", code, n)
		}
	}
}

func TestCorrectAllToTheMajority(t *testing.T) {
	lamps := table()
	c, err := CorrectAll(lamps, Aim{}, NominalKit(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	// Key and fill agree within 10 mired and 0.003; the target is their mixture.
	var parts []Light
	for _, l := range lamps[:2] {
		xy, err := l.Light.XY()
		if err != nil {
			t.Fatal(err)
		}
		parts = append(parts, Light{l.Level, xy})
	}
	sum, err := Mix(parts...)
	if err != nil {
		t.Fatal(err)
	}
	want, err := sum.XY.CCT()
	if err != nil {
		t.Fatal(err)
	}
	if c.TargetFrom != "majority" || math.Abs(c.Target.Kelvin-want.Kelvin) > 1e-6 || !hasFinding(c.Warnings, "no_majority") {
		t.Errorf("target %v from %s, want %v; two of four are no majority: %v", c.Target, c.TargetFrom, want, c.Warnings)
	}
	if l := lamp(t, c, "fill"); len(l.Gels) != 0 || !l.Within {
		t.Errorf("fill %+v", l)
	}
	if c, err = CorrectAll(lamps[:3], Aim{}, NominalKit(), Options{}); err != nil || hasFinding(c.Warnings, "no_majority") {
		t.Errorf("two of three: %v, %v", c.Warnings, err)
	}
	alone := []Lamp{{Name: "a", Light: CCT{3200, 0}}, {Name: "b", Light: CCT{4300, 0}}, {Name: "c", Light: CCT{5600, 0}}}
	c, err = CorrectAll(alone, Aim{}, NominalKit(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Target != (CCT{4300, 0}) || !hasFinding(c.Warnings, "no_majority") || c.Mixed != nil {
		t.Errorf("target %v, %v, mixed %v", c.Target, c.Warnings, c.Mixed)
	}
}

func TestCorrectAllSharedShift(t *testing.T) {
	lamps := []Lamp{
		{Name: "a", Light: CCT{5600, 0.006}}, {Name: "b", Light: CCT{5500, 0.005}}, {Name: "c", Light: CCT{4800, 0.007}},
	}
	c, err := CorrectAll(lamps, Aim{To: CCT{5600, 0}}, NominalKit(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c.TargetFrom != "given" || !hasFinding(c.Advice, "shared") {
		t.Errorf("%s, %v", c.TargetFrom, c.Advice)
	}
	for _, f := range c.Advice {
		if f.Code == "shared" && math.Abs(f.Values["duv"].(float64)+0.005) > 1e-9 {
			t.Errorf("%v: the least green of the three is +0.005", f.Values)
		}
	}
	// Lamps on both sides of the target share nothing.
	lamps[1].Light.Duv = -0.006
	if c, err = CorrectAll(lamps, Aim{To: CCT{5600, 0}}, NominalKit(), Options{}); err != nil || hasFinding(c.Advice, "shared") {
		t.Errorf("%v, %v", c.Advice, err)
	}
}

func TestCorrectAllToALamp(t *testing.T) {
	c, err := CorrectAll(table(), Aim{Lamp: "BACK"}, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Target != (CCT{3200, 0}) || c.TargetFrom != "lamp" || !hasFinding(c.Warnings, "not_reached") {
		t.Errorf("%v from %s, %v", c.Target, c.TargetFrom, c.Warnings)
	}
}

func TestCorrectAllErrors(t *testing.T) {
	one := []Lamp{{Name: "a", Light: CCT{5600, 0}}}
	for name, f := range map[string]struct {
		lamps []Lamp
		aim   Aim
		bag   []Gel
		says  string
	}{
		"none":       {nil, Aim{}, nil, "no lamps"},
		"no name":    {[]Lamp{{Light: CCT{5600, 0}}}, Aim{}, nil, "no name"},
		"twice":      {append(one, Lamp{Name: "A", Light: CCT{3200, 0}}), Aim{}, nil, "twice"},
		"impossible": {[]Lamp{{Name: "a", Light: CCT{150, 0}}}, Aim{}, nil, "150 K"},
		"level":      {[]Lamp{{Name: "a", Light: CCT{5600, 0}, Level: -1}}, Aim{}, nil, "level"},
		"no key":     {one, Aim{Key: true}, nil, "key"},
		"no lamp":    {one, Aim{Lamp: "z"}, nil, "it has a"},
		"target":     {one, Aim{To: CCT{5600, 3}}, nil, "target"},
		"gel":        {one, Aim{}, []Gel{{Name: "g", Mired: 10, Transmittance: Percent(150)}}, "150 %"},
	} {
		if _, err := CorrectAll(f.lamps, f.aim, f.bag, Options{}); err == nil || !strings.Contains(err.Error(), f.says) {
			t.Errorf("%s: %v does not say %q", name, err, f.says)
		}
	}
}

// One filter on the lens is the same for every lamp: what each then reads is that
// filter on its own model, and the cost is the exposure's, so it is the
// majority's.
func TestCorrectAllThroughTheLens(t *testing.T) {
	lamps := []Lamp{
		{Name: "a", Light: CCT{3200, 0}}, {Name: "b", Light: CCT{3210, 0.0005}}, {Name: "green", Light: CCT{3200, 0.009}},
	}
	c, err := CorrectAll(lamps, Aim{To: CCT{5600, 0}}, NominalKit(), Options{On: OnLens})
	if err != nil {
		t.Fatal(err)
	}
	if c.Lens == nil || len(c.Lens.Stacks) == 0 {
		t.Fatal("nothing on the lens")
	}
	hung := c.Lens.Stacks[0].Gels
	if strings.Join(hung, ", ") != "full CTB" {
		t.Errorf("on the lens: %v", hung)
	}
	for i, l := range c.Lamps {
		if strings.Join(l.Gels, ", ") != strings.Join(hung, ", ") {
			t.Errorf("%s has %v, the lens %v", l.Name, l.Gels, hung)
		}
		m, err := ModelOf(lamps[i].Light)
		if err != nil {
			t.Fatal(err)
		}
		cast, stack := referenceCC(float64(m.Cast)), kitModel(t, hung)
		got, _ := referenceThrough(m.PlanckianKelvin, func(nm float64) float64 { return cast(nm) * stack(nm) })
		if math.Abs(got.Mired()-l.After.Mired()) > 1e-3 || math.Abs(got.Duv-l.After.Duv) > 1e-6 {
			t.Errorf("%s then reads %v, told %v", l.Name, got, l.After)
		}
	}
	if !c.Lamps[0].Within || !c.Lamps[1].Within || c.Lamps[2].Within || c.Within {
		t.Errorf("within: %v %v %v, all %v", c.Lamps[0].Within, c.Lamps[1].Within, c.Lamps[2].Within, c.Within)
	}
	if !hasFinding(c.Advice, "lens") || hasFinding(c.Warnings, "heat") || !hasFinding(c.Warnings, "not_reached") {
		t.Errorf("%v, %v", c.Advice, c.Warnings)
	}

	// To the majority itself there is nothing for a lens to do.
	if c, err = CorrectAll(lamps, Aim{}, NominalKit(), Options{On: OnLens}); err != nil || !hasFinding(c.Advice, "lens_of_no_use") || len(c.Lamps[2].Gels) != 0 || c.Within {
		t.Errorf("%+v, %v", c.Advice, err)
	}
	// Nor with gels that go the wrong way.
	warm := []Gel{{Name: "full CTO", Kind: CTO, Mired: 131}}
	if c, err = CorrectAll(lamps, Aim{To: CCT{5600, 0}}, warm, Options{On: OnLens}); err != nil || !hasFinding(c.Advice, "no_useful_gel") || len(c.Lamps[0].Gels) != 0 {
		t.Errorf("%+v, %v", c.Advice, err)
	}
}

// A lamp that was metered behind a gel is told to lose that first, where it needs
// one at all.
func TestCorrectAllTakesGelOffFirst(t *testing.T) {
	lamps := []Lamp{
		{Name: "key", Light: CCT{5600, 0}, Gel: "half CTB"}, {Name: "side", Light: CCT{5600, 0.008}, Gel: "quarter plus green"},
	}
	c, err := CorrectAll(lamps, Aim{Lamp: "key"}, NominalKit(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, f := range c.Advice {
		if f.Code == "gel_on" {
			n++
			if !f.Same(photometry.Found("gel_on", "lamp", "side", "gel", "quarter plus green")) {
				t.Errorf("%v", f)
			}
		}
	}
	if n != 1 || c.TargetLamp != "key" || !c.Within {
		t.Errorf("said %d times; %+v", n, c)
	}
}
