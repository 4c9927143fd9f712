package main

import (
	"bytes"
	"math"
	"testing"

	"evenfall/cmd/evenfall/demo"
	"evenfall/photometry/match"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// The demo's second day was made with cloth left at 72 % and the plus green off
// cloth right, Duv 0.0062 to −0.0009 and, since the gel passed 84 %, 119 % of the
// light (demo/scene/lamps.csv and lamps-day2.csv). The match finds both from the
// readings alone.
func TestMatchFindsThePlantedChanges(t *testing.T) {
	files, err := demo.Files()
	if err != nil {
		t.Fatal(err)
	}
	input := func(name string) []survey.Input {
		for _, f := range files {
			if f.Name == name {
				return []survey.Input{{Name: name, Reader: bytes.NewReader(f.Content)}}
			}
		}
		t.Fatalf("no %s in the demo", name)
		return nil
	}
	r, err := match.Read(match.Files{Before: input("cloth.csv"), After: input("cloth-day2.csv"), Lamps: input("cloth-lamps.csv")}, match.Options{})
	if err != nil {
		t.Fatal(err)
	}
	holds := func(name string, percent float64) {
		l := r.Lamps[name]
		if l.Percent == nil {
			// A lamp that gives next to nothing on the cloth may be left untold.
			if l.SharePercent > 6 || l.Ambiguous == nil {
				t.Errorf("%s is not told: %+v", name, l)
			}
			return
		}
		if *l.Low > percent || *l.High < percent || *l.High-*l.Low > 20 || l.Changed != (percent != 100) {
			t.Errorf("%s: %.1f %% (%.1f to %.1f), want %g", name, *l.Percent, *l.Low, *l.High, percent)
		}
	}
	holds("cloth left", 72)
	holds("cloth right", 100/0.84)
	holds("key frame", 100)
	holds("fill panel", 100)
	for _, name := range r.LampOrder {
		if c := r.Lamps[name].Color; (c != nil) != (name == "cloth right") {
			t.Errorf("%s: color %+v", name, c)
		}
	}
	// The planted shift is −0.0071 Duv and −0.45 mired (5560 to 5574 K), within what readings of ±0.0002
	// Duv and ±12 K leave.
	if c := r.Lamps["cloth right"].Color; c == nil || math.Abs(c.DuvShift+0.0071) > 0.0004 || math.Abs(c.MiredShift+0.45) > 1.5 || c.NeedsCCColor != "green" {
		t.Errorf("cloth right: %+v", c)
	}
	// The day before has a suspect reading (D3), so that comes first.
	var codes []string
	for _, s := range r.Steps {
		codes = append(codes, s.Code)
	}
	want := []string{match.StepReadAgain, match.StepGel, match.StepOneLamp, match.StepOneLamp, match.StepMeterAgain}
	for i := range want {
		if len(codes) != len(want) || codes[i] != want[i] {
			t.Fatalf("steps %v, want %v", codes, want)
		}
	}
	if r.Verdict.Overall != uncertainty.Fail {
		t.Errorf("verdict %+v", r.Verdict)
	}
}
