package plan

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
)

func solve(t *testing.T, s *Scene, g Goal) (*Scene, []Move, *Solution) {
	t.Helper()
	after, moves, sol, err := s.Solve(context.Background(), g)
	if err != nil {
		t.Fatal(err)
	}
	return after, moves, sol
}

// Two equal lamps that stand alike: the spread is least where both give the
// same. It is quasiconvex in the two outputs and the same with the two
// exchanged, so the symmetric answer is the optimum.
func TestSolveSymmetricDimmer(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,dimmer",
		"left,point,-1,1,3,2,1,0,9000,60,70", "right,point,5,1,3,2,1,0,9000,60,20..100"), Options{Surface: box(4, 2)})
	_, moves, sol := solve(t, s, Goal{On: Surface{Extent: *box(4, 2)}})
	if len(moves) != 1 || moves[0].Lamp != "right" || moves[0].Field != "dimmer" || moves[0].Unit != "%" || math.Abs(moves[0].To-70) > 1 || moves[0].From != 60 {
		t.Errorf("%+v, want 70 %%", moves)
	}
	if !(sol.SpreadStops < sol.SpreadBeforeStops) {
		t.Errorf("%+v", sol)
	}
}

// Two small lamps over a narrow strip, shining evenly in all directions: the
// level E(x) = Σ h/(h² + (x∓a)²)^1.5 is flattest in the middle where E″(0) = 0,
// at a = h/2, as between two coils a radius apart.
func TestSolveFlattestStrip(t *testing.T) {
	// The strip is short, so that the minimax answer is close to the flattest.
	strip := spatial.Box{X0: 1.8, X1: 2.2, Y0: 0.99, Y1: 1.01}
	s := newScene(t, row("name,kind,x,y,z,intensity", "left,point,0.5..1.9,1,2,1000", "right,point,2.1..3.5,1,2,1000"), Options{Surface: box(4, 2)})
	after, _, sol := solve(t, s, Goal{On: Surface{Extent: *box(4, 2), Area: &strip}, Starts: 8})
	apart := after.Fixtures[1].At.X - after.Fixtures[0].At.X
	if math.Abs(apart-2) > 0.06 {
		t.Errorf("%.3f m apart, want 2 m at a height of 2 m; spread %.5f", apart, sol.SpreadStops)
	}
}

// The answer of a search is as good as the best of a grid over all settings, by
// a computation of its own.
func TestSolveAgainstGrid(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam"
	best := math.Inf(1)
	for z := 1.5; z <= 4.001; z += 0.1 {
		for aim := 1.0; aim <= 3.501; aim += 0.1 {
			left, right := beam(vec{-1, 1, z}, vec{aim, 1, 0}, 9000, 60), beam(vec{5, 1, 2.5}, vec{2, 1, 0}, 11000, 60)
			low, high := math.Inf(1), 0.0
			for x := 0.0; x <= 4.001; x += 0.25 {
				for y := 0.0; y <= 2.001; y += 0.25 {
					v := lux([]element{left, right}, vec{x, y, 0}, vec{0, 0, 1})
					low, high = math.Min(low, v), math.Max(high, v)
				}
			}
			best = math.Min(best, math.Log2(high/low))
		}
	}
	s := newScene(t, row(header, "left,point,-1,1,1.5..4,1..3.5,1,0,9000,60", "right,point,5,1,2.5,2,1,0,11000,60"), Options{Surface: box(4, 2)})
	for seed := uint64(1); seed <= 3; seed++ {
		if _, _, sol := solve(t, s, Goal{On: Surface{Extent: *box(4, 2)}, Seed: seed}); sol.SpreadStops > best+0.02 {
			t.Errorf("seed %d: %.3f stop, a grid finds %.3f", seed, sol.SpreadStops, best)
		}
	}
}

// A level is reached where it can be; where not, the solution says by how much
// not, over or under, and no set-up in the range comes nearer.
func TestSolveLevel(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,intensity,beam,dimmer",
		"a,point,2,1,3..6,2,1,0,9000,90,10..100"), Options{Surface: box(4, 2)})
	on := Surface{Extent: *box(4, 2)}
	// Within a tenth of a stop, neither over nor under, though the most even set-up has
	// another level.
	for _, level := range []float64{50, 120, 300} {
		_, _, sol := solve(t, s, Goal{On: on, Level: level})
		if off := math.Log2(sol.Mean / level); math.Abs(off) > 0.1 || !sol.Reached() || sol.ShortStops != 0 || math.Abs(*sol.OffStops-off) > 1e-9 {
			t.Errorf("%g: %+v", level, sol)
		}
	}
	if _, moves, sol := solve(t, s, Goal{On: on, Level: 5}); sol.Reached() || !(*sol.OffStops > 0.1) || sol.ShortStops != 0 || !moves[0].AtEnd || !moves[1].AtEnd {
		t.Errorf("too much light: %+v", sol)
	}
	_, moves, sol := solve(t, s, Goal{On: on, Level: 5000})
	most := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,intensity,beam", "a,point,2,1,3,2,1,0,9000,90"), Options{Surface: box(4, 2)})
	o, err := newObjective(most, on, 0)
	if err != nil {
		t.Fatal(err)
	}
	_, mean := o.spread(most)
	near(t, "the most there is", sol.Mean, mean, 1e-6)
	near(t, "short by", sol.ShortStops, photometry.Stops(5000, mean), 1e-6)
	for _, m := range moves {
		if !m.AtEnd {
			t.Errorf("%+v is not at an end", m)
		}
	}
}

// The same seed gives the same answer.
func TestSolveRepeats(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam", "a,point,-1..1,1,2..4,1..3,0..2,0,9000,60", "b,point,5,1,2.5,2,1,0,9000,60"), Options{Surface: box(4, 2)})
	_, first, a := solve(t, s, Goal{On: Surface{Extent: *box(4, 2)}, Seed: 4})
	_, again, b := solve(t, s, Goal{On: Surface{Extent: *box(4, 2)}, Seed: 4})
	if fmt.Sprint(first) != fmt.Sprint(again) || a.SpreadStops != b.SpreadStops {
		t.Errorf("%v\n%v", first, again)
	}
	for _, m := range first {
		if math.Abs(m.To*100-math.Round(m.To*100)) > 1e-6 {
			t.Errorf("%s %s to %v: no one sets that", m.Lamp, m.Field, m.To)
		}
	}
}

// A set-up of very many lamps is tried with fewer values, and the answer says so.
func TestSolveOfVeryMany(t *testing.T) {
	before := mostTried
	defer func() { mostTried = before }()
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam", "a,point,-1..1,1,2..4,1..3,0..2,0,9000,60", "b,point,5,1,2.5,2,1,0,9000,60"), Options{Surface: box(4, 2)})
	for _, mostTried = range []int{before, 100} {
		_, _, found := solve(t, s, Goal{On: Surface{Extent: *box(4, 2)}, Starts: 2})
		if few := mostTried < before; found.Stopped != few || few && found.Evaluations > 2*(100/2)*3/2 {
			t.Errorf("%d rows: %d values tried, stopped: %t", mostTried, found.Evaluations, found.Stopped)
		}
	}
}

func TestSolveRefuses(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,intensity", "a,point,2,1,3,9000"), Options{Surface: box(4, 2)})
	if _, _, _, err := s.Solve(context.Background(), Goal{On: Surface{Extent: *box(4, 2)}}); !errors.Is(err, ErrNothingFree) {
		t.Errorf("nothing free: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	s = newScene(t, row("name,kind,x,y,z,intensity", "a,point,2,1,2..4,9000"), Options{Surface: box(4, 2)})
	if _, _, solution, err := s.Solve(ctx, Goal{On: Surface{Extent: *box(4, 2)}}); err != nil || !solution.Stopped {
		t.Errorf("canceled: %+v, %v, want the best until then", solution, err)
	}
	if _, _, _, err := s.Solve(context.Background(), Goal{}); err == nil {
		t.Error("no surface: no error")
	}
	// A lamp that never shines on the surface.
	s = newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam", "a,point,2,1,2..4,2,1,9,9000,60"), Options{Surface: box(4, 2)})
	if _, _, _, err := s.Solve(context.Background(), Goal{On: Surface{Extent: *box(4, 2)}}); err == nil {
		t.Error("dark: no error")
	}
}

// Progress comes, rises and ends at 1 at most.
func TestSolveProgress(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,intensity", "a,point,1..3,1,2..4,9000"), Options{Surface: box(4, 2)})
	last, calls := 0.0, 0
	solve(t, s, Goal{On: Surface{Extent: *box(4, 2)}, Progress: func(done, stops float64) {
		if done < last || done > 1 || !(stops >= 0) {
			t.Errorf("%v after %v, %v stops", done, last, stops)
		}
		last, calls = done, calls+1
	}})
	if calls == 0 {
		t.Error("no progress")
	}
}

// A free size, a free pan and a free stand height move what they say.
func TestSolveOtherCells(t *testing.T) {
	floor := -0.5
	s := newScene(t, row("name,kind,x,stand height,z,pan,tilt,intensity,width,height",
		"a,panel,2,1..3,2,-30..30,0,900,0.2..2,0.5"), Options{Surface: box(4, 2), FloorY: &floor})
	after, moves, _ := solve(t, s, Goal{On: Surface{Extent: *box(4, 2)}})
	for _, m := range moves {
		f := after.Fixtures[0]
		switch m.Field {
		case "stand height":
			near(t, m.Field, f.At.Y, floor+m.To, 1e-9)
		case "pan":
			pan, _ := panTilt(f.Aim)
			if math.Abs(pan-m.To) > 1e-9 {
				t.Errorf("pan %v, %v", pan, m.To)
			}
		case "source width":
			near(t, m.Field, f.w, m.To, 1e-9)
		default:
			t.Errorf("moved %s", m.Field)
		}
	}
	if len(moves) != 3 {
		t.Errorf("%+v", moves)
	}
}

// What is written reads back as the scene that was solved.
func TestSolvedTable(t *testing.T) {
	text := "# surface: cloth\n# light: continuous\n" + row("name,kind,x,y,z,aim x,aim y,aim z,pan,tilt,E (lx) at (m),beam,width,height,behind,transmission,CCT,Duv,dimmer,scrims,gel,note",
		"key,point,-1,1.5,2..3,0.5,1,1.4,,,1200 at 3,60,,,,,5600,0.001,100,single,,behind the frame",
		"f,frame,0.5,1,1.4,2,1,0,,,,,1,1,key,40,,,,,,\"cloth, old\"",
		"b,panel,5,1,2,2,1,0,,,900 @ 2,,0.5,0.5,,,3200,,50..100,,half straw,")
	s := newScene(t, text, Options{Surface: box(4, 2)})
	after, moves, _ := solve(t, s, Goal{On: Surface{Extent: *box(4, 2)}, Starts: 2})
	if len(moves) != 2 {
		t.Fatalf("%+v", moves)
	}
	var b strings.Builder
	if err := after.WriteTable(&b); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "..") || !strings.HasPrefix(b.String(), "# surface: cloth\n# light: continuous\nname,kind,") {
		t.Errorf("%s", b.String())
	}
	again := newScene(t, b.String(), Options{Surface: box(4, 2)})
	for x := 0.0; x <= 4; x += 0.5 {
		at := r3.Vec{X: x, Y: 1}
		near(t, "level", again.At(at, toCamera).Level, after.At(at, toCamera).Level, 1e-9)
	}
	for i := range after.rows {
		a, c := after.rows[i], again.rows[i]
		if a.Note != c.Note || a.Gel != c.Gel || a.Scrims != c.Scrims || a.CCT != c.CCT {
			t.Errorf("%+v\n%+v", a, c)
		}
	}
}

// A stand 10 cm off is a table with that stand 10 cm off.
func TestSensitivity(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam"
	s := newScene(t, row(header, "a,point,-1,1,3,2,1,0,9000,60", "b,point,5,1,3,2,1,0,9000,60"), Options{Surface: box(4, 2)})
	on := Surface{Extent: *box(4, 2)}
	got, _, err := s.Sensitivity(t.Context(), on, nil)
	if err != nil || len(got) != 4 {
		t.Fatalf("%+v %v", got, err)
	}
	worst := map[string]float64{}
	for _, moved := range []string{"-0.9,1,3", "-1.1,1,3", "-1,1.1,3", "-1,0.9,3", "-1,1,3.1", "-1,1,2.9"} {
		there := newScene(t, row(header, "a,point,"+moved+",2,1,0,9000,60", "b,point,5,1,3,2,1,0,9000,60"), Options{Surface: box(4, 2)})
		is, err := there.Survey(on)
		if err != nil {
			t.Fatal(err)
		}
		r, err := evenness.Analyze(is)
		if err != nil {
			t.Fatal(err)
		}
		worst["a"] = math.Max(worst["a"], r.Evenness.SpreadStops)
	}
	near(t, "10 cm", got[0].SpreadStops, worst["a"], 1e-6)
	// The two stand alike, so both are as sensitive.
	near(t, "the other", got[2].ChangeStops, got[0].ChangeStops, 1e-6)
	near(t, "the other, turned", got[3].ChangeStops, got[1].ChangeStops, 1e-6)
	if got[1].Off.Key != "turned_by" || got[0].Off.Values["distance"] != photometry.Length(0.1) {
		t.Errorf("%+v", got)
	}
}

// Sensitivity that is ended stops there, with nothing half known.
func TestSensitivityEnds(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam", "a,point,-1,1,3,2,1,0,9000,60", "b,point,5,1,3,2,1,0,9000,60", "c,point,2,1,3,2,1,0,9000,60"), Options{Surface: box(4, 2)})
	ctx, end := context.WithCancel(t.Context())
	var told []float64
	got, _, err := s.Sensitivity(ctx, Surface{Extent: *box(4, 2)}, func(done float64) {
		told = append(told, done)
		end()
	})
	if !errors.Is(err, context.Canceled) || len(got) != 0 || len(told) != 1 || told[0] != 1.0/3 {
		t.Errorf("%+v, %v after %v, expected an end after the first of three lamps", got, err, told)
	}
}

// What is looked at for one stand that is off ends as well where nobody waits for it, and
// leaves the set-up itself as it was.
func TestOneOffsetEnds(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam", "a,point,-1,1,3,2,1,0,9000,60", "b,point,5,1,3,2,1,0,9000,60"), Options{Surface: box(4, 2)})
	ctx, end := context.WithCancel(t.Context())
	watched, release := s.until(ctx)
	defer release()
	o := freeObjective(watched, 0)
	if err := o.setPlaces(Surface{Extent: *box(4, 2)}); err != nil {
		t.Fatal(err)
	}
	o.fixed, o.moving = make([]float64, len(o.places)), []bool{true, true}
	there, _ := watched.shifted(0, offsets[0])
	if spread, _ := o.spread(there); math.IsInf(spread, 1) || there.effort.over() {
		t.Fatalf("spread %v", spread)
	}
	end()
	for !watched.effort.ended.Load() {
		time.Sleep(time.Millisecond)
	}
	there, _ = watched.shifted(0, offsets[0])
	if o.spread(there); there.effort.spent.Load() > 0 {
		t.Errorf("%d looks after the end", there.effort.spent.Load())
	}
	if at := s.At(r3.Vec{X: 2, Y: 1}, toCamera); s.TooMuch() != nil || !(at.Level > 0) {
		t.Errorf("the set-up itself: %v, %v", at, s.TooMuch())
	}
}

// A stand that takes too many looks where it is off is named and has no figure, since the
// worst of its other ways to be off is not the worst; so have values that a search tries.
func TestTooMuchWhereItIsOff(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission"
	set := func(z string) *Scene {
		return newScene(t, row(header, "a,point,2,1,4,2,1,2,9000,120,,,,", "f,frame,2,1,"+z+",2,1,0,,,1,1,a,40", "c,point,5,1,3,2,1,0,9000,60,,,,"), Options{Surface: box(4, 2)})
	}
	on := Surface{Extent: *box(4, 2)}
	all, skipped, err := set("0.45").Sensitivity(t.Context(), on, nil)
	if err != nil || len(all) != 6 || len(skipped) != 0 {
		t.Fatalf("%+v, skipped %v, %v", all, skipped, err)
	}
	// Nearer to the surface the frame is looked at in smaller parts: 8,600 looks, and at
	// most 5,300 in any other way.
	defer func(most int64) { mostLooks = most }(mostLooks)
	mostLooks = 7000
	some, skipped, err := set("0.45").Sensitivity(t.Context(), on, nil)
	if err != nil || len(some) != 5 || !slices.Equal(skipped, []string{"f"}) {
		t.Errorf("%+v, skipped %v, %v", some, skipped, err)
	}
	for _, x := range some {
		if !slices.ContainsFunc(all, func(y Sensitivity) bool {
			return y.Lamp == x.Lamp && y.Direction == x.Direction && y.SpreadStops == x.SpreadStops
		}) {
			t.Errorf("%+v, without the limit %+v", x, all)
		}
	}

	s := set("0.3..0.6")
	after, _, solution, err := s.Solve(t.Context(), Goal{On: on, Starts: 1})
	if err != nil || !solution.Skipped || after.TooMuch() != nil {
		t.Errorf("%+v, %v, expected one with part of the range left out", solution, err)
	}
	if _, _, _, err = set("0.2..0.3").Solve(t.Context(), Goal{On: on, Starts: 1}); err == nil || !strings.Contains(err.Error(), "looks at parts of lights") {
		t.Errorf("found %v, expected that all of the range takes too many looks", err)
	}
	mostLooks = schema.MostLooks
	if _, _, solution, err = s.Solve(t.Context(), Goal{On: on, Starts: 1}); err != nil || solution.Skipped {
		t.Errorf("%+v, %v", solution, err)
	}
}

// Rebuilding a scene with a moved row is a new scene with that row.
func TestRebuild(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,reflectance"
	rows := []string{"a,point,-1,1.5,3,0.5,1,2,9000,60,,,,,", "f,frame,0.5,1,2,2,1,0,,,1,1,a,40,", "b,bounce,3,1,1.5,2,1,0.5,,,1,1,f,,80", "c,point,5,1,3,2,1,0,9000,60,,,,,", "k,flag,3.5,1,1.5,2,1,0,,,0.5,0.5,,,"}
	s := newScene(t, row(header, rows...), Options{Surface: box(4, 2)})
	for i := range rows {
		changed := make([]bool, len(rows))
		changed[i] = true
		moved := append([]setup.Lamp(nil), s.rows...)
		moved[i].Z = setup.Fixed(moved[i].Z.At + 0.2)
		quick, problems := s.rebuild(moved, changed)
		whole, more := build(moved, s.options, s.Quantity)
		if len(problems)+len(more) > 0 {
			t.Fatal(problems, more)
		}
		for x := 0.2; x < 4; x += 0.7 {
			at := r3.Vec{X: x, Y: 0.8}
			near(t, rows[i], quick.At(at, toCamera).Level, whole.At(at, toCamera).Level, 1e-12)
		}
	}
}

// A set-up of which too much was looked at has sheets that give no more light: one made of
// it that keeps them is refused as well, and so is what is solved.
func TestTooMuchIsKept(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission", "a,point,-1,1.5,3,0.5,1,2,9000,60,,,,", "f,frame,0.5,1,2,2,1,0,,,1,1,a,40", "c,point,5,1,2..3,2,1,0,9000,60,,,,"), Options{Surface: box(4, 2)})
	moved := slices.Clone(s.rows)
	moved[2].Z.At += 0.2
	for _, looks := range []int64{0, schema.MostLooks + 1} {
		s.effort.spent.Store(looks)
		quick, problems := s.rebuild(moved, []bool{false, false, true})
		if err := quick.TooMuch(); len(problems) > 0 || (err != nil) != (looks > 0) {
			t.Errorf("%d looks: %v %v", looks, err, problems)
		}
		_, _, _, err := s.Solve(t.Context(), Goal{On: Surface{Extent: *box(4, 2)}, Starts: 1})
		if (err != nil) != (looks > 0) || err != nil && !strings.Contains(err.Error(), "looks at parts of lights") {
			t.Errorf("%d looks: solved with %v", looks, err)
		}
	}
}
