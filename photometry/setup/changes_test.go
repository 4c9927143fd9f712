package setup

import (
	"math"
	"reflect"
	"strings"
	"testing"
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
	for key, text := range map[string]string{
		"left gel": "left had gel “quarter CTO” and has none today.", "left scrims": "left has scrims “double” today and had none.",
		"right gel": "right has gel “half CTB” today and had none.", "right diffusion": "right has diffusion “full” today and had none.",
		"right trim":       "right: trim “4.2 on the knob” the day before, “4.0 on the knob” today.",
		"right spot_flood": "right: spot or flood “spot” the day before, “flood” today.",
		"back missing":     "back is not in today's table of lamps.", "new added": "new is in today's table of lamps and was not the day before.",
	} {
		if got[key].Text != text {
			t.Errorf("%s: %q, want %q", key, got[key].Text, text)
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
	if len(got) != 2 || got[0].Text != "ISO: 800 the day before, 400 today." || got[1].Text != "target K: 5600 K the day before, not given today." {
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

// Every cell of a lamp but its name and its note is told where it changed.
func TestEveryCellThatChangedIsTold(t *testing.T) {
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
		// Place and aim are told of all three coordinates.
		for _, l := range []*Lamp{&a, &b} {
			l.X, l.Y, l.Z, l.AimX, l.AimY, l.AimZ = Fixed(0), Fixed(1), Fixed(3), Fixed(9), Fixed(1), Fixed(0)
		}
		reflect.ValueOf(&a).Elem().Field(i).Set(values[0])
		reflect.ValueOf(&b).Elem().Field(i).Set(values[1])
		if changes := LampChanges(&Lamps{Rows: []Lamp{a}}, &Lamps{Rows: []Lamp{b}}); len(changes) == 0 {
			t.Errorf("%s: %v and %v are told to be the same", field.Name, values[0], values[1])
		}
	}
}
