package setup

import (
	"math"
	"strings"
	"testing"
)

func TestValues(t *testing.T) {
	v, err := ReadValues(strings.NewReader("key;value;note\nFloor Y;-0,8;below the cloth\nceiling;3 m;\nempty;;\nwords;high;\n"), "setup.csv")
	if err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]float64{"floor y": -0.8, "CEILING": 3} {
		if got, ok, err := v.Length(key); !ok || err != nil || math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v %v %v", key, got, ok, err)
		}
	}
	for _, key := range []string{"empty", "door"} {
		if _, ok, err := v.Length(key); ok || err != nil {
			t.Errorf("%s: %v %v", key, ok, err)
		}
	}
	if _, _, err := v.Length("words"); err == nil || err.Error() != `setup.csv:5:2: found "high", expected a length such as -0.8 (m), 80 cm or -2.5 ft` {
		t.Error(err)
	}
	_, err = ReadValues(strings.NewReader("key,value\nfloor y,-0.8\nFLOOR Y,0\n,3\n"), "setup.csv")
	if err == nil || !strings.Contains(err.Error(), `setup.csv:3:1: found "FLOOR Y", expected each key once; it stands on line 2 already`) ||
		!strings.Contains(err.Error(), `setup.csv:4:1: found an empty cell, expected the name of what the value is`) {
		t.Error(err)
	}
}
