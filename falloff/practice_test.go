package falloff

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Five invented series that a practitioner meets. The readings come from the
// sources of this package placed in space, or from the law of the trade, with a
// meter's scatter; the answers must be such as one would act on.

func scatter(rng *rand.Rand, v, share float64) float64 { return v * (1 + share*rng.NormFloat64()) }

// A small lamp of 1800 cd between two pale side walls 5 m apart that it lights
// to about 20 cd/m²; the meter faces the lamp. The walls fill a good part of what
// the meter sees at every distance, nearly the same everywhere.
func TestWallBounceRoom(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 1))
	lamp := Beam{Axis: r3.Vec{Z: 1}, PeakIntensity: 1800, Exponent: 1}
	var walls []Source
	for _, side := range []float64{-1, 1} {
		walls = append(walls, mustRectangle(t, r3.Vec{X: 2.5 * side}, r3.Vec{X: -side}, r3.Vec{Y: 1}, 30, 3, 20))
	}
	var readings []Reading
	var bounce []float64
	for _, d := range []float64{0.8, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 7} {
		at, n := r3.Vec{Z: d}, r3.Vec{Z: -1}
		e := lamp.Illuminance(at, n)
		var b float64
		for _, w := range walls {
			b += w.Illuminance(at, n)
		}
		bounce = append(bounce, b)
		readings = append(readings, Reading{DistanceM: d, Level: scatter(rng, e+b, 0.02)})
	}
	least, most := bounce[len(bounce)-1], bounce[0]
	d := fitOrFail(t, readings, Options{MarkM: 3, Repeatability: 0.02})
	t.Logf("bounce %.2f to %.2f lx; %+v, settles %+v\n%v\n%v", least, most, d.Law(), d.Settles, d.Causes, d.Advice)
	if !d.Settles.Intensity || !d.Settles.Depth {
		t.Fatalf("settles %+v: %v", d.Settles, d.Warnings)
	}
	if !code(d.Causes, "ambient") || !code(d.Advice, "read_ambient") {
		t.Errorf("bounce is not named: %v %v", d.Causes, d.Advice)
	}
	if !d.IntensityIntervalCD.Contains(1800) {
		t.Errorf("intensity %v", d.IntensityIntervalCD)
	}
	if iv := d.Intervals.Ambient; iv.Lo > most || iv.Hi < least {
		t.Errorf("ambient %v, bounce %g to %g lx", iv, least, most)
	}
	// At 7 m bounce is a large part: less is lost than the inverse square says.
	if !(d.Lost.Stops < d.Lost.InverseSquareStops-0.1) {
		t.Errorf("lost %g stops, inverse square %g", d.Lost.Stops, d.Lost.InverseSquareStops)
	}
	if d.Exponent < -2 || d.Exponent > -1.5 {
		t.Errorf("exponent %g", d.Exponent)
	}
}

// A lamp with a lens: its light comes from a virtual source 0.6 m behind the
// front from which the tape is laid.
func TestFocusingLamp(t *testing.T) {
	rng := rand.New(rand.NewPCG(42, 1))
	virtual := Beam{Place: r3.Vec{Z: -0.6}, Axis: r3.Vec{Z: 1}, PeakIntensity: 12000, Exponent: 20}
	var readings []Reading
	for _, d := range []float64{0.5, 0.7, 1, 1.4, 2, 2.8, 4, 5.6} {
		readings = append(readings, Reading{DistanceM: d, Level: scatter(rng, virtual.Illuminance(r3.Vec{Z: d}, r3.Vec{Z: -1}), 0.02)})
	}
	d := fitOrFail(t, readings, Options{MarkM: 2, WantedLevel: 3000, Repeatability: 0.02})
	t.Logf("%+v, settles %+v\n%v\n%v", d.Law(), d.Settles, d.Causes, d.Advice)
	if !d.Settles.Depth {
		t.Fatalf("settles %+v: %v", d.Settles, d.Warnings)
	}
	if !d.Intervals.OffsetM.Contains(0.6) || !d.IntensityIntervalCD.Contains(12000) {
		t.Errorf("offset %v, intensity %v", d.Intervals.OffsetM, d.IntensityIntervalCD)
	}
	if !code(d.Causes, "origin_behind") || !code(d.Advice, "check_tape") {
		t.Errorf("%v %v", d.Causes, d.Advice)
	}
	// 3000 lx stand at √(12000/3000) − 0.6 = 1.4 m.
	if !d.Wanted.IntervalM.Contains(1.4) {
		t.Errorf("3000 lx at %v", d.Wanted.IntervalM)
	}
	// One doubling from 2 m loses 2·log2(4.6/2.6) stops, less than two.
	law := d.Law()
	if got, want := math.Log2(law.Level(2)/law.Level(4)), 2*math.Log2(4.6/2.6); math.Abs(got-want) > 0.05 {
		t.Errorf("from 2 to 4 m %g stops, want %g", got, want)
	}
}

// A diffusion frame of 2 by 2 m at 500 cd/m², read from half a meter on: square,
// yet to a meter it looks like the disc of the same area.
func TestLargeFrame(t *testing.T) {
	rng := rand.New(rand.NewPCG(43, 1))
	frame := mustRectangle(t, r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 2, 2, 500)
	level := func(d float64) float64 { return frame.Illuminance(r3.Vec{Z: d}, r3.Vec{Z: -1}) }
	var readings []Reading
	for _, d := range []float64{0.5, 0.75, 1, 1.5, 2, 3, 4, 6, 8} {
		readings = append(readings, Reading{DistanceM: d, Level: scatter(rng, level(d), 0.015)})
	}
	d := fitOrFail(t, readings, Options{MarkM: 2, Repeatability: 0.015})
	t.Logf("%+v, settles %+v, from %g m\n%v\n%v", d.Law(), d.Settles, d.InverseSquareFromM, d.Causes, d.Advice)
	if !d.Settled {
		t.Fatalf("settles %+v: %v", d.Settles, d.Warnings)
	}
	if !code(d.Causes, "source_size") {
		t.Errorf("causes %v", d.Causes)
	}
	within(t, "radius of the same area", d.SourceRadiusM, math.Sqrt(4/math.Pi), 0.03)
	within(t, "intensity L·A", *d.IntensityCD, 2000, 0.02)
	// Where the frame itself comes within 1 % of L·A/d², by bisection.
	lo, hi := 1.0, 50.0
	for range 60 {
		mid := (lo + hi) / 2
		if frame.Intensity()/(mid*mid)/level(mid) > 1.01 {
			lo = mid
		} else {
			hi = mid
		}
	}
	within(t, "inverse square from", d.InverseSquareFromM, lo, 0.05)
	// The zone about the mark against the frame itself.
	for _, end := range []struct{ at, stops float64 }{{d.Depth.NearM, 1.0 / 3}, {*d.Depth.FarM, -1.0 / 3}} {
		if got := math.Log2(level(end.at) / level(2)); math.Abs(got-end.stops) > 0.03 {
			t.Errorf("at %g m the frame is %g stop off the mark, want %g", end.at, got, end.stops)
		}
	}
	if near := d.Points[0].LocalExponent; near < -0.5 {
		t.Errorf("half a meter from the frame the exponent is %g", near)
	}
}

// A flash read as f-numbers in tenths of a stop at ISO 100, 2.5·N² lx·s a
// reading (C = 250), so the display's step is the larger part of the error.
func TestFlashSeries(t *testing.T) {
	law := Law{Intensity: 640, SourceRadiusM: 0.15}
	var readings []Reading
	for _, d := range []float64{0.7, 1, 1.4, 2, 2.8, 4, 5.6, 8} {
		tenths := math.Round(10 * math.Log2(law.Level(d)/2.5))
		readings = append(readings, Reading{DistanceM: d, Level: 2.5 * math.Exp2(tenths/10)})
	}
	// f/8 at ISO 100 is 2.5·64 = 160 lx·s.
	d := fitOrFail(t, readings, Options{Unit: UnitLuxSecond, MarkM: 2, WantedLevel: 160, Repeatability: 0.01, ResolutionStops: 0.1})
	t.Logf("%+v, settles %+v\n%v\n%v", d.Law(), d.Settles, d.Causes, d.Advice)
	if !d.Settles.Intensity {
		t.Fatalf("unsettled: %v", d.Warnings)
	}
	if d.IntensityCD != nil || d.IntensityCDS == nil {
		t.Fatal("a flash has an intensity in cd·s, not in cd")
	}
	if !d.Intervals.Intensity().Contains(640) {
		t.Errorf("%g cd·s, %v", *d.IntensityCDS, d.Intervals.Intensity())
	}
	// f/8 stands at √(640/160 − 0.15²) = 1.99 m.
	if !d.Wanted.IntervalM.Contains(math.Sqrt(4 - 0.15*0.15)) {
		t.Errorf("f/8 at %v", d.Wanted.IntervalM)
	}
}

// Levels that rise with distance: the tape was laid from the wrong end. It is
// fitted, and it says so.
func TestRisingLevels(t *testing.T) {
	rng := rand.New(rand.NewPCG(44, 1))
	var readings []Reading
	for _, d := range []float64{1, 1.5, 2, 3, 4} {
		readings = append(readings, Reading{DistanceM: d, Level: scatter(rng, 900/((6-d)*(6-d)), 0.02)})
	}
	d := fitOrFail(t, readings, Options{Repeatability: 0.02})
	t.Logf("%v", d.Warnings)
	if d.Settled || !code(d.Warnings, "rising") || !code(d.Warnings, "no_model_fits") {
		t.Errorf("settled %v, %v", d.Settled, d.Warnings)
	}
	if d.Exponent <= 0 {
		t.Errorf("exponent %g of levels that rise", d.Exponent)
	}
	if d.Depth != nil {
		t.Errorf("a zone %+v in light that rises", d.Depth)
	}
	// The rival: a level that is flat but for scatter does not rise.
	for i := range readings {
		readings[i].Level = scatter(rng, 100, 0.02)
	}
	if d := fitOrFail(t, readings, Options{Repeatability: 0.02}); code(d.Warnings, "rising") {
		t.Errorf("scatter rises: %v", d.Warnings)
	}
}

// More ambient light than lamp: fitted, and said.
func TestAmbientLargerThanSignal(t *testing.T) {
	rng := rand.New(rand.NewPCG(45, 1))
	l := Law{Intensity: 100, Ambient: 60}
	d := fitOrFail(t, ladder(l, 0.7, 6, 9, 0.01, rng), Options{MarkM: 3, WantedLevel: 50, Repeatability: 0.01})
	if !code(d.Warnings, "ambient_dominates") || !code(d.Warnings, "level_out_of_reach") {
		t.Errorf("%v", d.Warnings)
	}
	if d.Wanted.DistanceM != nil {
		t.Errorf("a level below ambient stands at %g m", *d.Wanted.DistanceM)
	}
	within(t, "ambient", d.Ambient, 60, 0.03)
	within(t, "intensity", *d.IntensityCD, 100, 0.05)
	if d.Depth.FarM != nil || !code(d.Warnings, "no_far_end") {
		t.Errorf("a zone held up by ambient light ends at %v: %v", d.Depth.FarM, d.Warnings)
	}
}

// A dome facing the light is read, with a word of warning.
func TestDomeFacing(t *testing.T) {
	d := fitOrFail(t, ladder(trueLaws["point"], 1, 8, 6, 0, nil), Options{Receptor: ReceptorDome})
	if !code(d.Warnings, "dome") || !d.Settles.Intensity {
		t.Errorf("settles %+v, %v", d.Settles, d.Warnings)
	}
}

// Among many steps of a light that does not change, one series in a hundred is said to rise:
// of 200 at most 2 and three standard errors. At 3 standard deviations whatever their number
// it would be two in five.
func TestRisesByChance(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 3))
	rises := 0
	for range 200 {
		var readings []Reading
		for i := range 400 {
			readings = append(readings, Reading{DistanceM: 2 + 0.0001*float64(i), Level: 500 * math.Exp(0.01*random.NormFloat64())})
		}
		a := &answers{Distance: &Distance{}, s: newSeries(readings, Options{Repeatability: 0.01})}
		if a.rising(); a.rises {
			rises++
		}
	}
	if rises > 6 {
		t.Errorf("%d of 200 rise", rises)
	}
}
