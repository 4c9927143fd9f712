package plan

import (
	"math"
	"strings"
	"testing"

	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
)

func marksAt(marks ...Mark) func(*Scene) ([]Mark, error) {
	return func(*Scene) ([]Mark, error) { return marks, nil }
}

const bareHeader = "name,kind,x,y,z,intensity,dimmer"

// A bulb of 1000 cd 2 m from a mark that faces it gives 250 lx: a dimmer for
// 100 lx stands at 40 %, and a stand for 400 lx at √(1000/400) m.
func TestSolveAtMark(t *testing.T) {
	mark := Mark{Label: "puppet", X: 1, Y: 1}
	s := newScene(t, row(bareHeader, "a,point,1,1,2,1000,10..100"), Options{})
	after, moves, sol := solve(t, s, Goal{Marks: marksAt(mark), Level: 100})
	if len(moves) != 1 || moves[0].To != 40 || !moves[0].FromMiddle || moves[0].From != 55 || sol.ShortStops != 0 || math.Abs(*sol.OffStops) > 1e-9 {
		t.Errorf("%+v, %+v", moves, sol)
	}
	r := NewResult(after)
	r.Marks = []Mark{after.Mark(mark)}
	if !r.WantedAtMarks(100) || !AtLevel(r.Marks[0]) {
		t.Errorf("%+v", r.Marks)
	}
	near(t, "level", r.Marks[0].Level, 100, 1e-9)

	s = newScene(t, row(bareHeader, "a,point,1,1,2.5 (1..4),1000,"), Options{})
	_, moves, _ = solve(t, s, Goal{Marks: marksAt(mark), Level: 400})
	if math.Abs(moves[0].To-math.Sqrt(2.5)) > 0.005+1e-9 || moves[0].FromMiddle {
		t.Errorf("%+v, want %.3f m", moves, math.Sqrt(2.5))
	}

	// Out of reach: all of the lamp, and what is missing.
	s = newScene(t, row(bareHeader, "a,point,1,1,2,1000,10..100"), Options{})
	_, moves, sol = solve(t, s, Goal{Marks: marksAt(mark), Level: 1000})
	if moves[0].To != 100 || math.Abs(sol.ShortStops-2) > 1e-9 {
		t.Errorf("%+v, %+v", moves, sol)
	}
	// Two marks at 2 m and 4 m from a bulb, 250 and 62.5 lx square on: one level
	// for both is least missed where one is as far over as the other is under, at
	// a geometric mean of the level: 125·k = 50, k = 40 %.
	two := marksAt(Mark{X: 1, Y: 1}, Mark{X: 1, Y: 1, Z: -2})
	_, moves, sol = solve(t, s, Goal{Marks: two, Level: 50})
	if moves[0].To != 40 || math.Abs(math.Abs(*sol.OffStops)-1) > 1e-9 {
		t.Errorf("%+v, %+v", moves, sol)
	}
	// A mark without light.
	if _, _, _, err := s.Solve(t.Context(), Goal{Marks: marksAt(Mark{X: 1, Y: 1, Z: 3}), Level: 50}); err == nil || !strings.Contains(err.Error(), "some mark gets no light") {
		t.Errorf("%v", err)
	}
}

// Marks are judged against a level where nothing is free, over and under, and
// expose for what they get.
func TestWantedAtMarks(t *testing.T) {
	s := newScene(t, row(bareHeader, "a,point,1,1,2,1000,"), Options{})
	for _, c := range []struct {
		wanted, off float64
		has         bool
	}{{250, 0, true}, {1000, -2, false}, {125, 1, false}, {240, math.Log2(250. / 240), true}} {
		r := NewResult(s)
		r.Marks = []Mark{s.Mark(Mark{X: 1, Y: 1})}
		if has := r.WantedAtMarks(c.wanted); has != c.has || math.Abs(*r.Marks[0].OffStops-c.off) > 1e-9 || r.Solution.Wanted != c.wanted {
			t.Errorf("%g: %v, %g", c.wanted, has, *r.Marks[0].OffStops)
		}
	}
	// ISO 2720: N = √(E·S·t/C) = √(250·800/50/250) = 4.
	r := NewResult(s)
	r.Marks = []Mark{s.Mark(Mark{X: 1, Y: 1})}
	r.ExposeMarks(s, survey.Settings{ISO: 800, ShutterS: 1. / 50})
	near(t, "f-number", *r.Marks[0].Exposure.FNumber, 4, 1e-9)
	r.ExposeMarks(s, survey.Settings{})
}

// A mean over the level that is wanted does not have it, nor does one under it; and a
// prediction has no verdict, within its tolerance or not.
func TestWantedLevel(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,intensity,beam", "a,point,2,1,9,2,1,0,9000,90"), Options{Surface: box(4, 2)})
	r := NewResult(s)
	var within bool
	var err error
	if r.Surface, within, err = s.Judged(Surface{Extent: *box(4, 2), Settings: survey.Settings{Limits: tolerance.Limits{Stops: 0.5, Mired: 10, Duv: 0.003}}}); err != nil || !within {
		t.Fatalf("%v, %v", within, err)
	}
	if v := r.Surface.Verdict; v.Overall != Predicted || v.Evenness != Predicted || v.Color != "" {
		t.Errorf("%+v", v)
	}
	mean := r.Surface.Evenness.Mean
	for off, has := range map[float64]bool{0: true, 0.09: true, -0.09: true, 0.11: false, -0.11: false, 1: false, -1: false} {
		if got := r.WantedLevel(mean * math.Exp2(-off)); got != has || math.Abs(*r.Solution.OffStops-off) > 1e-9 || (r.Solution.ShortStops > 0) != (off < -0.1) {
			t.Errorf("%+g stop: %v, %+v", off, got, r.Solution)
		}
	}
}
