package lm63

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// benchFiles are a round spot, a full type C luminaire in steps of 2.5° by 5°,
// one with uneven angles, and a type B floodlight.
func benchFiles() map[string]sample {
	b := plain(steps(-90, 90, 2.5), steps(-90, 90, 2.5), uneven)
	b.kind = TypeB
	return map[string]sample{
		"axial":    plain(steps(0, 90, 1), []float64{0}, power(1000, 20)),
		"full C":   plain(steps(0, 180, 2.5), steps(0, 360, 5), uneven),
		"uneven C": plain([]float64{0, 1, 3, 6, 10, 15, 22, 30, 45, 60, 90}, []float64{0, 5, 20, 45, 80, 90}, uneven),
		"full B":   b,
	}
}

func BenchmarkIntensity(b *testing.B) {
	var toward [256]r3.Vec
	for i := range toward {
		z, phi := 1-2*(float64(i)+0.5)/256, 2.4*float64(i)
		r := math.Sqrt(1 - z*z)
		toward[i] = r3.Vec{X: r * math.Cos(phi), Y: r * math.Sin(phi), Z: z}
	}
	for name, s := range benchFiles() {
		d := s.read(b)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			sum, i := 0.0, 0
			for b.Loop() {
				sum += d.Intensity(toward[i&255])
				i++
			}
			if sum < 0 {
				b.Fatal("dark")
			}
		})
	}
}

func BenchmarkRead(b *testing.B) {
	for name, s := range benchFiles() {
		text := s.text()
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				if _, err := Read(strings.NewReader(text), "x", Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkBeam(b *testing.B) {
	d := benchFiles()["full C"].read(b)
	for b.Loop() {
		d.Beam()
	}
}

// The hot path does not allocate.
func TestIntensityAllocates(t *testing.T) {
	for name, s := range gridCases() {
		d := s.read(t)
		v := r3.Vec{X: 0.3, Y: -0.2, Z: 0.9}
		if n := testing.AllocsPerRun(100, func() { v.X = -v.X; d.Intensity(v) }); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}
