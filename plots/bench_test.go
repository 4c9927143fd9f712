package plots

import (
	"bytes"
	"io"
	"math/rand"
	"testing"
)

// BenchmarkSurfacePNG45 is a whole level map of 45 readings, from the survey
// to the bytes of a PNG.
func BenchmarkSurfacePNG45(b *testing.B) {
	_, r := scene()
	b.ReportAllocs()
	for b.Loop() {
		p, err := Surface(r, SurfaceOptions{})
		if err != nil {
			b.Fatal(err)
		}
		if err := p.Write(io.Discard, "png"); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSurfacePNGMillion is the same of 1,000,000 scattered readings.
func BenchmarkSurfacePNGMillion(b *testing.B) {
	rng := rand.New(rand.NewSource(1))
	const n = 1_000_000
	x, y, level := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range x {
		x[i], y[i] = 4.8*rng.Float64(), 2.4*rng.Float64()
		level[i] = 900 + 60*x[i] - 40*y[i] + 20*rng.NormFloat64()
	}
	s := scattered(x, y, level)
	r := resultOf(s)
	b.ReportAllocs()
	for b.Loop() {
		p, err := Surface(r, SurfaceOptions{})
		if err != nil {
			b.Fatal(err)
		}
		if err := p.Write(io.Discard, "png"); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSurfaceSVG45 is the level map of 45 readings as SVG.
func BenchmarkSurfaceSVG45(b *testing.B) {
	_, r := scene()
	p, err := Surface(r, SurfaceOptions{})
	if err != nil {
		b.Fatal(err)
	}
	var out bytes.Buffer
	b.ReportAllocs()
	for b.Loop() {
		out.Reset()
		if err := p.Write(&out, "svg"); err != nil {
			b.Fatal(err)
		}
	}
	b.SetBytes(int64(out.Len()))
}

// BenchmarkChromaticityPNG45 is the u', v' plot of 45 readings.
func BenchmarkChromaticityPNG45(b *testing.B) {
	s, r := scene()
	chromatic(s, r, 5580, 0.0012)
	b.ReportAllocs()
	for b.Loop() {
		p, err := Chromaticity(r, false, false)
		if err != nil {
			b.Fatal(err)
		}
		if err := p.Write(io.Discard, "png"); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkTerminal45 is the terminal map of 45 readings in color.
func BenchmarkTerminal45(b *testing.B) {
	_, r := scene()
	b.ReportAllocs()
	for b.Loop() {
		Terminal(r, TerminalOptions{Color: TrueColor, Unicode: true})
	}
}
