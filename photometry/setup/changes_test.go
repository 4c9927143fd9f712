package setup

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"evenfall/photometry"
)

func lampsOf(t *testing.T, text string) *Lamps {
	t.Helper()
	l, err := ReadLamps(strings.NewReader(text), "lamps.csv")
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Row by row, each column by its own measure: 3-4-5 in space, an angle between two
// axes worked out by hand (atan 1 = 45°), percent, words.
func TestLampChanges(t *testing.T) {
	const head = "name,kind,x,y,z,aim x,aim y,aim z,pan,tilt,stand height,dimmer (%),scrims,gel,diffusion,trim,power,spot or flood,note\n"
	before := lampsOf(t, head+
		"left,point,0,1,3,0,1,0,,,,100,,quarter CTO,half,,800,flood,as hung\n"+
		"right,point,4,1,3,4,1,0,,,,100,single,,,4.2 on the knob,800,spot,\n"+
		"top,point,,,,,,,10,-20,2.5,50,,,,,,,\n"+
		"back,point,1,1,1,,,,,,,,,,,,,,\n"+
		"same,point,1,1,1,2,2,0,,,,80,,,,,,,note a\n")
	after := lampsOf(t, head+
		"left,point,0.3,1.4,3,0,1,0,,,,72,double,,half,,800,flood,as hung\n"+
		"RIGHT,point,4,1,3,1,1,0,,,,100,single,half CTB,full,4.0 on the knob,650,flood,\n"+
		"top,point,,,,,,,15,-20.2,2.7,50,,,,,,,\n"+
		"same,point,1.001,1,1,2,2,0,,,,80,,,,,,,note b\n"+
		"new,panel,1,1,1,,,,,,,,,,,,,,\n")
	got := map[string]Change{}
	for _, c := range LampChanges(before, after) {
		if _, twice := got[c.Name+" "+c.Code]; twice {
			t.Errorf("%s %s comes twice", c.Name, c.Code)
		}
		got[c.Name+" "+c.Code] = c
	}
	for key, amount := range map[string]float64{"left moved": 0.5, "right aim": 45, "left dimmer": -28, "right power": -150, "top aim": 5, "top moved": 0.2} {
		c, ok := got[key]
		if !ok || c.Amount == nil || math.Abs(*c.Amount-amount) > 1e-9 {
			t.Errorf("%s: %+v, want %g", key, c, amount)
		}
		delete(got, key)
	}
	for key, want := range map[string]photometry.Remark{
		"left gel":         photometry.Remarked("change.words", "lamp", "left", "what", "gel", "from", "quarter CTO", "to", ""),
		"left scrims":      photometry.Remarked("change.words", "lamp", "left", "what", "scrims", "from", "", "to", "double"),
		"right gel":        photometry.Remarked("change.words", "lamp", "right", "what", "gel", "from", "", "to", "half CTB"),
		"right diffusion":  photometry.Remarked("change.words", "lamp", "right", "what", "diffusion", "from", "", "to", "full"),
		"right trim":       photometry.Remarked("change.words", "lamp", "right", "what", "trim", "from", "4.2 on the knob", "to", "4.0 on the knob"),
		"right spot_flood": photometry.Remarked("change.words", "lamp", "right", "what", "spot or flood", "from", "spot", "to", "flood"),
		"back missing":     photometry.Remarked("change.missing", "lamp", "back"),
		"new added":        photometry.Remarked("change.added", "lamp", "new"),
	} {
		if !got[key].Text.Same(want.Finding) {
			t.Errorf("%s: %+v, want %+v", key, got[key].Text, want)
		}
		delete(got, key)
	}
	for key, c := range got {
		t.Errorf("%s: %+v is no change", key, c)
	}
}

func TestSettingChanges(t *testing.T) {
	before := Settings{ISO: 800, Shutter: "180°", ShutterS: 1.0 / 48, NDStops: 2, TargetKelvin: 5600, Camera: "A"}
	after := Settings{ISO: 400, Shutter: "1/48", ShutterS: 1.0 / 48, NDStops: 2, Camera: "a"}
	got := SettingChanges(&before, &after)
	if len(got) != 2 || !got[0].Text.Same(photometry.Found("change.setting", "key", "ISO", "from", "800", "to", "400")) ||
		!got[1].Text.Same(photometry.Found("change.setting", "key", "target K", "from", "5600 K", "to", "")) {
		t.Errorf("%+v", got)
	}
}

// A column that only one of the tables has says nothing of the lamps.
func TestColumnsOfOneTableAreNoChange(t *testing.T) {
	before := lampsOf(t, "name,kind,x,y,z,scrims,dimmer (%)\nleft,point,0,1,3,double,100\n")
	after := lampsOf(t, "name,kind,x,y,z,gel,dimmer (%)\nleft,point,0,1,3,half CTB,72\n")
	changes := LampChanges(before, after)
	if len(changes) != 1 || changes[0].Code != ChangeDimmer {
		t.Errorf("changes %+v, want the dimmer alone", changes)
	}
}

// Every cell of a lamp but its name and its note is described where it changed.
func TestEveryCellThatChangedIsDescribed(t *testing.T) {
	base := Lamp{Name: "lead", Kind: Point}
	for i := range reflect.TypeFor[Lamp]().NumField() {
		field := reflect.TypeFor[Lamp]().Field(i)
		if field.Name == "Name" || field.Name == "Note" {
			continue
		}
		var values [2]reflect.Value
		switch field.Type {
		case reflect.TypeFor[Range]():
			values = [2]reflect.Value{reflect.ValueOf(Fixed(20)), reflect.ValueOf(Fixed(40))}
		case reflect.TypeFor[*float64]():
			v, w := 0.001, 0.004
			values = [2]reflect.Value{reflect.ValueOf(&v), reflect.ValueOf(&w)}
		case reflect.TypeFor[Kelvins]():
			values = [2]reflect.Value{reflect.ValueOf(Kelvins(3200)), reflect.ValueOf(Kelvins(5600))}
		case reflect.TypeFor[LampKind]():
			values = [2]reflect.Value{reflect.ValueOf(Point), reflect.ValueOf(Panel)}
		case reflect.TypeFor[string]():
			values = [2]reflect.Value{reflect.ValueOf("one"), reflect.ValueOf("two")}
		default:
			t.Fatalf("%s: no values for %s", field.Name, field.Type)
		}
		a, b := base, base
		// Place and aim are described of all three coordinates.
		for _, l := range []*Lamp{&a, &b} {
			l.X, l.Y, l.Z, l.AimX, l.AimY, l.AimZ = Fixed(0), Fixed(1), Fixed(3), Fixed(9), Fixed(1), Fixed(0)
		}
		reflect.ValueOf(&a).Elem().Field(i).Set(values[0])
		reflect.ValueOf(&b).Elem().Field(i).Set(values[1])
		if changes := LampChanges(&Lamps{Rows: []Lamp{a}}, &Lamps{Rows: []Lamp{b}}); len(changes) == 0 {
			t.Errorf("%s: %v and %v are said to be the same", field.Name, values[0], values[1])
		}
	}
}
