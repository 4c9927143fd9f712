package colorimetry

import (
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"evenfall/testdata"
)

// c2 of the reference from the exact constants h, c and k of the 2019 SI.
const referenceC2 = 6.62607015e-34 * 299792458 / 1.380649e-23

// referencePlanckian is (u, v) of Planck's law by plain summation at 1 nm.
func referencePlanckian(mired float64) (u, v float64) {
	var x, y, z float64
	for nm := 360; nm <= 830; nm++ {
		m := float64(nm) * 1e-9
		p := math.Pow(m*1e9/560, -5) / (math.Exp(referenceC2/m*mired*1e-6) - 1)
		f := ColorMatching(nm)
		x, y, z = x+p*f.X, y+p*f.Y, z+p*f.Z
	}
	d := x + 15*y + 3*z
	return 4 * x / d, 6 * y / d
}

// referenceCCT is the nearest point on the locus by golden-section search over
// mired.
func referenceCCT(c UV) CCT {
	distance := func(mired float64) float64 {
		u, v := referencePlanckian(mired)
		return (c.U-u)*(c.U-u) + (c.V-v)*(c.V-v)
	}
	// A coarse scan first, so that the search starts in the right valley.
	best, bestAt := math.Inf(1), 0.0
	for r := 38.0; r <= 1010; r += 12 {
		if d := distance(r); d < best {
			best, bestAt = d, r
		}
	}
	golden := (math.Sqrt(5) - 1) / 2
	a, b := bestAt-12, bestAt+12
	p, q := b-golden*(b-a), a+golden*(b-a)
	fp, fq := distance(p), distance(q)
	for b-a > 1e-7 {
		if fp < fq {
			b, q, fq = q, p, fp
			p = b - golden*(b-a)
			fp = distance(p)
		} else {
			a, p, fp = p, q, fq
			q = a + golden*(b-a)
			fq = distance(q)
		}
	}
	mired := (a + b) / 2
	u, v := referencePlanckian(mired)
	duv := math.Hypot(c.U-u, c.V-v)
	if c.V < v {
		duv = -duv
	}
	return CCT{1e6 / mired, duv}
}

// The nearest point is exact: 0.05 K below 7,000 K, 1 K to 25,000 K and 5e-6 in
// Duv are asked for, a hundredth of that is held.
func TestCCTIsTheNearestPoint(t *testing.T) {
	worstLow, worstHigh, worstDuv := 0.0, 0.0, 0.0
	for mired := 41.0; mired < 1000; mired += 31.7 {
		for duv := -0.049; duv < 0.05; duv += 0.0098 {
			c, err := CCT{Kelvin(mired), duv}.UV()
			if errors.Is(err, ErrNoSuchLight) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			got, err := c.CCT()
			if err != nil {
				t.Fatalf("%g mired, %g: %v", mired, duv, err)
			}
			want := referenceCCT(c)
			off := math.Abs(got.Kelvin - want.Kelvin)
			if want.Kelvin < 7000 {
				worstLow = math.Max(worstLow, off)
			} else {
				worstHigh = math.Max(worstHigh, off)
			}
			worstDuv = math.Max(worstDuv, math.Abs(got.Duv-want.Duv))
		}
	}
	t.Logf("largest deviation from the reference: %.2g K below 7,000 K, %.2g K above, %.2g in Duv", worstLow, worstHigh, worstDuv)
	if worstLow > 5e-4 || worstHigh > 1e-2 || worstDuv > 5e-8 {
		t.Errorf("deviations %g K, %g K, %g", worstLow, worstHigh, worstDuv)
	}
}

// Computed twice outside this package (1 nm, 360 nm to 830 nm, c2 as here), to
// 0.0001 K.
func TestCCTFigures(t *testing.T) {
	for _, f := range []struct {
		x, y, kelvin, duv float64
	}{
		{.44799, .40756, 2850.0421, .0000003},
		{.33014, .34591, 5600.1976, .0035026},
		{.24826, .26594, 20001.2050, .0100011},
	} {
		got, err := XY{f.x, f.y}.CCT()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Kelvin-f.kelvin) > 1e-4 || math.Abs(got.Duv-f.duv) > 1e-7 {
			t.Errorf("%g, %g: %.4f K, %.7f, want %.4f K, %.7f", f.x, f.y, got.Kelvin, got.Duv, f.kelvin, f.duv)
		}
	}
}

func TestPublishedColorTemperatures(t *testing.T) {
	for _, f := range testdata.ColorTemperatures() {
		got, err := XY{f.X, f.Y}.CCT()
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%.2f K, %+.6f against %g K, %g (%s)", got.Kelvin, got.Duv, f.CCT, f.Duv, f.Source)
		if math.Abs(got.Kelvin-f.CCT) > f.CCTTolerance {
			t.Errorf("%s: %.2f K, want %g", f.Source, got.Kelvin, f.CCT)
		}
		if f.HasDuv && math.Abs(got.Duv-f.Duv) > f.DuvTolerance {
			t.Errorf("%s: Duv %.6f, want %g", f.Source, got.Duv, f.Duv)
		}
	}
}

// anyCCT draws a color over the whole range, even in mired.
func anyCCT(t *rapid.T, label string) CCT {
	return rapid.Custom(func(t *rapid.T) CCT {
		return CCT{
			Kelvin: Kelvin(rapid.Float64Range(Mired(MaxKelvin), Mired(MinKelvin)).Draw(t, "mired")),
			Duv:    rapid.Float64Range(-MaxDuv, MaxDuv).Draw(t, "duv"),
		}
	}).Filter(func(c CCT) bool { return !errors.Is(c.Check(), ErrNoSuchLight) }).Draw(t, label)
}

func TestCCTRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyCCT(t, "light")
		c, err := want.XY()
		if err != nil {
			t.Fatal(err)
		}
		for _, back := range []func() (CCT, error){c.CCT, c.UV().CCT, c.UVPrime().CCT} {
			got, err := back()
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got.Mired()-want.Mired()) > 1e-7 || math.Abs(got.Duv-want.Duv) > 1e-10 {
				t.Fatalf("%v came back as %v", want, got)
			}
		}
	})
}

func TestCCTErrors(t *testing.T) {
	for _, f := range []struct {
		light CCT
		want  error
	}{
		{CCT{0, 0}, ErrKelvin}, {CCT{150, 0}, ErrKelvin}, {CCT{1e6, 0}, ErrKelvin}, {CCT{-5600, 0}, ErrKelvin},
		{CCT{999, 0}, ErrKelvin}, {CCT{25001, 0}, ErrKelvin},
		{CCT{5600, 3}, ErrOffWhite}, {CCT{5600, -0.0501}, ErrOffWhite},
		{CCT{math.NaN(), 0}, ErrNoSuchLight}, {CCT{5600, math.Inf(1)}, ErrNoSuchLight},
		{CCT{1200, 0.03}, ErrNoSuchLight}, // beyond the spectral locus
	} {
		if err := f.light.Check(); !errors.Is(err, f.want) {
			t.Errorf("%v: %v, want %v", f.light, err, f.want)
		}
	}
	for _, f := range []struct {
		c    XY
		want error
	}{
		{XY{0, 0}, ErrNoSuchLight}, {XY{1, 1}, ErrNoSuchLight}, {XY{0.2, 0.77}, nil}, {XY{0.2, 0.79}, ErrNoSuchLight},
		{XY{math.NaN(), 0.3}, ErrNoSuchLight}, {XY{0.3, math.Inf(-1)}, ErrNoSuchLight}, {XY{}, ErrNoSuchLight},
		{XY{0.05, 0.3}, nil}, {XY{0.25, 0.05}, nil}, {XY{0.3, 0.05}, ErrNoSuchLight}, {XY{0.74, 0.27}, ErrNoSuchLight},
		{XY{0.6, 0.5}, ErrNoSuchLight},
	} {
		if err := f.c.Check(); !errors.Is(err, f.want) {
			t.Errorf("%v: %v, want %v", f.c, err, f.want)
		}
	}
	for _, f := range []struct {
		c    XY
		want error
	}{
		{XY{0.2, 0.7}, ErrOffWhite}, {XY{0.15, 0.06}, ErrOffWhite}, // green, blue
		{XY{0.24, 0.235}, ErrKelvin}, // bluer than any black body
		{XY{0.68, 0.319}, ErrKelvin}, // redder than 1,000 K
	} {
		got, err := f.c.CCT()
		if !errors.Is(err, f.want) || got != (CCT{}) {
			t.Errorf("%v: %v, %v, want %v", f.c, got, err, f.want)
		}
	}
	// The ends of the range are inside it.
	for _, light := range []CCT{{MinKelvin, 0}, {MaxKelvin, 0}, {MaxKelvin, MaxDuv}, {5000, MaxDuv}, {5000, -MaxDuv}} {
		c, err := light.XY()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.CCT(); err != nil {
			t.Errorf("%v: %v", light, err)
		}
	}
}

// Every spectral light is on the edge, and any mixture of them inside.
func TestHorseshoe(t *testing.T) {
	edge := SpectralLocus()
	for i, c := range edge {
		if err := c.Check(); err != nil {
			t.Errorf("%d nm: %v", FirstNM+i, err)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		var sum XYZ
		for range rapid.IntRange(1, 5).Draw(t, "n") {
			c := edge[rapid.IntRange(0, len(edge)-1).Draw(t, "i")]
			sum = sum.Add(c.XYZ(rapid.Float64Range(0.001, 1).Draw(t, "level")))
		}
		c := sum.XY()
		if err := c.Check(); err != nil {
			t.Fatal(err)
		}
		// From white through the mixture and past every edge: outside.
		far := XY{1.0/3 + 20*(c.X-1.0/3), 1.0/3 + 20*(c.Y-1.0/3)}
		if math.Hypot(c.X-1.0/3, c.Y-1.0/3) > 0.1 && far.Check() == nil {
			t.Fatalf("%v is outside", far)
		}
	})
}

func TestCCTAllocatesNothing(t *testing.T) {
	c, light := XY{0.33014, 0.34591}, CCT{5600, 0.0035}
	if n := testing.AllocsPerRun(100, func() {
		if _, err := c.CCT(); err != nil {
			t.Fatal(err)
		}
		if _, err := light.XY(); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// whites are chromaticities all over the range of white light.
func whites(n int) []XY {
	random := rand.New(rand.NewPCG(1, 2))
	out := make([]XY, 0, n)
	for len(out) < n {
		if c, err := (CCT{Kelvin(40 + 460*random.Float64()), 0.04 * (random.Float64() - 0.5)}).XY(); err == nil {
			out = append(out, c)
		}
	}
	return out
}

func BenchmarkCCT(b *testing.B) {
	colors := whites(1024)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		if _, err := colors[i&1023].CCT(); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

// Three million chromaticities a second on two cores are asked for.
func BenchmarkCCTTwoCores(b *testing.B) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	colors := whites(1024)
	b.ReportAllocs()
	b.ResetTimer()
	var wg sync.WaitGroup
	for worker := range 2 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := worker; i < b.N; i += 2 {
				if _, err := colors[i&1023].CCT(); err != nil {
					b.Error(err)
					return
				}
			}
		}()
	}
	wg.Wait()
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "chromaticities/s")
}

func BenchmarkXYFromCCT(b *testing.B) {
	b.ReportAllocs()
	light := CCT{5600, 0.003}
	for b.Loop() {
		if _, err := light.XY(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBuildLocus(b *testing.B) {
	for b.Loop() {
		buildLocus()
	}
}
