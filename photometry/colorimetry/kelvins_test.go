package colorimetry

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// A color temperature does not say how far a light is from the Planckian locus (CIE 15),
// so lamps of which only that is known can miss a target and never meet it.
func TestKelvinsAlonePassNothing(t *testing.T) {
	near, far := Lamp{Name: "near", Light: CCT{Kelvin: 5500}, KelvinsAlone: true}, Lamp{Name: "far", Light: CCT{Kelvin: 3200}, KelvinsAlone: true}
	green := Lamp{Name: "green", Light: CCT{5500, 0.006}}
	for _, c := range []struct {
		name  string
		lamps []Lamp
		aim   Aim
		known bool // Duv of the target
	}{
		{"to white", []Lamp{near}, Aim{To: CCT{5600, 0}}, true},
		{"to a green lamp", []Lamp{near, green}, Aim{Lamp: "green"}, true},
		{"to the majority with a green lamp", []Lamp{near, green}, Aim{}, true},
		{"to each other", []Lamp{near, {Name: "b", Light: CCT{Kelvin: 5450}, KelvinsAlone: true}}, Aim{}, false},
		{"a green lamp to kelvins", []Lamp{near, green}, Aim{Lamp: "near"}, false},
		{"with gels", []Lamp{far, green}, Aim{Lamp: "green"}, true},
	} {
		r, err := CorrectAll(c.lamps, c.aim, NominalKit(), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if r.Within || !hasFinding(r.Advice, "read_duv") || r.Target.kelvinsAlone() == c.known {
			t.Errorf("%s: within %v of %v, %v", c.name, r.Within, r.Target, r.Advice)
		}
		l := r.Lamps[0]
		if l.Within || !l.KelvinsAlone || !math.IsNaN(l.Source.Duv) || !math.IsNaN(l.After.Duv) {
			t.Errorf("%s: %+v", c.name, l)
		}
		if math.Abs(l.Shift.Mired-(r.Target.Mired()-c.lamps[0].Light.Mired())) > 1e-9 || strings.Contains(strings.Join(l.Gels, " "), "green") {
			t.Errorf("%s: shift %v, hang %v", c.name, l.Shift, l.Gels)
		}
		if miss := math.Abs(l.After.Mired() - r.Target.Mired()); l.KelvinsWithin != (miss <= DefaultToleranceMired) {
			t.Errorf("%s: %.1f mired off, within by kelvins %v", c.name, miss, l.KelvinsWithin)
		}
		out, err := json.Marshal(l)
		if err != nil || strings.Contains(string(out), `"duv"`) != c.known { // of the target alone
			t.Errorf("%s: %s, %v", c.name, out, err)
		}
	}
	r, err := CorrectAll([]Lamp{far}, Aim{To: CCT{5600, 0}}, nil, Options{})
	if err != nil || r.Lamps[0].KelvinsWithin || !hasFinding(r.Warnings, "not_reached") {
		t.Errorf("3200 K without a gel is no 5600 K: %+v, %v", r, err)
	}
}
