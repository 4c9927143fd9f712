package plan

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"evenfall/photometry"
)

const sweepHeader = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,undiffused,lobe m,material"

// A sweep's figures against an independent integration over the frame.
func TestSweepAgainstElements(t *testing.T) {
	s := newScene(t, row(sweepHeader, "key,point,3,1,4,0,1,0,9000,60,,,,,,,", "f,frame,2,1,3,0,1,0,,,1.2,1.2,key,42,0,1,"), Options{})
	got, info, err := s.SweepFrame(Sweep{Frame: "f", ToLampM: [2]float64{0.5, 2}, ToSubjectM: [2]float64{1, 3}})
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 20 || info.Lamp != "key" || info.Best != nil || got[0].Meets != nil {
		t.Errorf("%d entries, %+v", len(got), info)
	}
	for _, d := range got {
		lamp := beam(vec{0, 0, d.ToLampM}, vec{}, 9000, 60)
		at := func(z, x float64) float64 {
			elements := board(vec{}, vec{0, 0, -1}, vec{0, 1, 0}, 1.2, 1.2, 1, 100, func(p vec) float64 { return 0.42 * lux([]element{lamp}, p, vec{0, 0, 1}) })
			return lux(elements, vec{x, 0, -z}, vec{0, 0, 1})
		}
		what := fmt.Sprintf("%.2f m and %.2f m: ", d.ToLampM, d.ToSubjectM)
		level := at(d.ToSubjectM, 0)
		near(t, what+"level", d.Level, level, 0.005)
		bare := lux([]element{lamp}, vec{0, 0, -d.ToSubjectM}, vec{0, 0, 1})
		if loss := math.Log2(bare / level); math.Abs(d.LossStops-loss) > 0.01 {
			t.Errorf("%sloss %.3f, want %.3f", what, d.LossStops, loss)
		}
		if second := math.Log2(level / at(d.ToSubjectM+1, 0)); math.Abs(d.SecondStops-second) > 0.01 {
			t.Errorf("%ssecond %.3f, want %.3f", what, d.SecondStops, second)
		}
		if slope := math.Log2(at(d.ToSubjectM*0.99, 0)/at(d.ToSubjectM*1.01, 0)) / (0.02 * d.ToSubjectM); math.Abs(d.FalloffStopsPerM-slope) > 0.02 {
			t.Errorf("%sfall-off %.3f, want %.3f", what, d.FalloffStopsPerM, slope)
		}
		m := math.Log(0.5) / math.Log(math.Cos(math.Pi/6))
		if hot := -(m + 3) * math.Log2(d.ToLampM/math.Sqrt(d.ToLampM*d.ToLampM+0.72)); math.Abs(*d.HotSpotStops-hot) > 1e-6 {
			t.Errorf("%shot spot %.3f, want %.3f", what, *d.HotSpotStops, hot)
		}
	}
}

// An evenly lit frame of width w throws the shadow of an edge e from the subject
// over w·e/(b − e), of which the straight run from 10 to 90 % is four fifths.
func TestPenumbraWidth(t *testing.T) {
	s := newScene(t, row(sweepHeader, "key,point,0,0,4,0,0,0,9000,60,,,,,,,", "f,frame,0,0,3,0,0,0,,,0.3,0.3,key,42,0,1,"), Options{})
	got, _, err := s.SweepFrame(Sweep{Frame: "f", ToLampM: [2]float64{6, 6}, ToSubjectM: [2]float64{4, 4}, EdgeM: 0.2})
	if err != nil || len(got) != 1 {
		t.Fatal(got, err)
	}
	near(t, "penumbra", got[0].PenumbraM, 0.8*0.3*0.2/3.8, 0.01)
}

// What is asked picks entries, and the brightest of them is the answer.
func TestSweepAsked(t *testing.T) {
	s := newScene(t, row(sweepHeader, "key,point,0,0,4,0,0,0,9000,60,,,,,,,", "f,frame,0,0,3,0,0,0,,,1.2,1.2,key,,,,full diffusion"), Options{})
	w := Sweep{Frame: "", ToLampM: [2]float64{0.5, 2}, ToSubjectM: [2]float64{1, 3}, HotSpotStops: 2, LossStops: 2.5, PenumbraM: 0.05}
	got, info, err := s.SweepFrame(w)
	if err != nil {
		t.Fatal(err)
	}
	best := 0.0
	for _, d := range got {
		want := *d.HotSpotStops <= 2 && d.LossStops <= 2.5 && d.PenumbraM >= 0.05
		if *d.Meets != want {
			t.Errorf("%+v", d)
		}
		if want {
			best = math.Max(best, d.Level)
		}
	}
	if info.Best == nil || info.Best.Level != best || len(info.Asked) != 3 || !info.Nominal {
		t.Errorf("%+v, want %v", info, best)
	}
	w.Level = 1e6
	if _, info, _ = s.SweepFrame(w); info.Best != nil {
		t.Errorf("out of reach: %+v", info.Best)
	}
}

func TestSweepRefuses(t *testing.T) {
	s := newScene(t, row(sweepHeader, "key,point,0,0,4,0,0,0,9000,60,,,,,,,", "f,frame,0,0,3,0,0,0,,,1.2,1.2,key,42,,,", "g,frame,0,0,2,0,0,0,,,1.2,1.2,f,42,,,"), Options{})
	good := [2]float64{1, 2}
	for says, w := range map[string]Sweep{
		"expected one of the frames f and g": {Frame: "h", ToLampM: good, ToSubjectM: good},
		"no lamp of its own stands behind":   {Frame: "g", ToLampM: good, ToSubjectM: good},
		"distances from 2 to 1 m":            {Frame: "f", ToLampM: [2]float64{2, 1}, ToSubjectM: good},
		"distances from 0 to 1 m":            {Frame: "f", ToLampM: good, ToSubjectM: [2]float64{0, 1}},
		"-1 steps":                           {Frame: "f", ToLampM: good, ToSubjectM: good, Steps: -1},
	} {
		if _, _, err := s.SweepFrame(w); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%v does not say %q", err, says)
		}
	}
	black := newScene(t, row(sweepHeader, "key,point,0,0,4,0,0,0,9000,60,,,,,,,", "f,frame,0,0,3,0,0,0,,,1.2,1.2,key,0,,,"), Options{})
	if _, _, err := black.SweepFrame(Sweep{Frame: "f", ToLampM: good, ToSubjectM: good}); err == nil || !strings.Contains(err.Error(), "no light of “key” reaches") {
		t.Errorf("a black frame: %v", err)
	}
	if _, _, err := newScene(t, row("name,kind,x,y,z,flux", "a,point,0,0,2,900"), Options{}).SweepFrame(Sweep{ToLampM: good, ToSubjectM: good}); err == nil {
		t.Error("no frame: no error")
	}
}

// A pair of readings makes the plan say those readings, and its other figures
// follow.
func TestCalibrate(t *testing.T) {
	s := newScene(t, row(sweepHeader, "key,point,0,0,4,0,0,0,9000,60,,,,,,,", "f,frame,0,0,3,0,0,0,,,1.2,1.2,key,,,,half diffusion"), Options{})
	mark := Mark{Label: "face", Z: 1}
	after, c, err := s.Calibrate("f", mark, 150, 600)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "with the diffusion", after.Mark(mark).Level, 150, 1e-6)
	near(t, "loss", c.LossStops, 2, 1e-12)
	// Without it: the lamp alone, whose figures are in the new table.
	bare := newScene(t, row(sweepHeader, fmt.Sprintf("key,point,0,0,4,0,0,0,%g,60,,,,,,,", after.rows[0].Flux.At)), Options{})
	near(t, "without", bare.Mark(mark).Level, 600, 1e-6)
	near(t, "lamp", c.LampPercent, 100*after.rows[0].Flux.At/9000, 1e-9)
	for _, pair := range [][2]float64{{600, 150}, {0, 100}, {599, 600}} {
		if _, _, err := s.Calibrate("f", mark, pair[0], pair[1]); err == nil {
			t.Errorf("%v: no error", pair)
		}
	}
	if math.Abs(photometry.Stops(600, 150)-2) > 1e-12 {
		t.Error("stops")
	}
}

// A long sweep is no more than its distances: each is what it is alone, however much was
// looked at for those before it.
func TestSweepOfManyDistances(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,lobe m,behind,transmission", "a,point,0,0,3,0,0,0,9000,60,,,,,", "f,frame,0,0,2,0,0,0,,,3,3,60,a,60"), Options{})
	sweep := func(from float64, steps int) []Diffusion {
		t.Helper()
		got, _, err := s.SweepFrame(Sweep{Frame: "f", ToLampM: [2]float64{1, 1}, ToSubjectM: [2]float64{from, 0.6}, Steps: steps})
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	all, last := sweep(0.3, 24), sweep(0.6, 1)
	if len(all) != 24 || !reflect.DeepEqual(all[23], last[0]) {
		t.Errorf("%d distances, the last %+v, alone %+v", len(all), all[len(all)-1], last)
	}
}
