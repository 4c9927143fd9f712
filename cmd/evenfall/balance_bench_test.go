package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"evenfall/falloff/balance"
)

// hundredThousand is a table of 100,000 rows, the yardstick of these benchmarks.
func hundredThousand() []byte {
	var text bytes.Buffer
	for i := range 100_000 {
		fmt.Fprintf(&text, "%.4f,%.4f,%.1f,%d,%.4f\n", float64(i%480)/100, float64(i%240)/100, 900+float64(i%97), 5600-i%50, 0.001)
	}
	return text.Bytes()
}

// 24 lamps over 2,000 places are balanced in no more time than a table of
// 100,000 rows is read ten times with the standard library.
func BenchmarkBalance(b *testing.B) {
	text := hundredThousand()
	e := balance.MinSpreadProblem{}
	for lamp := range 24 {
		center := float64(lamp) / 23
		level := make([]float64, 2000)
		for i := range level {
			x, y := float64(i%50)/50-center, float64(i/50)/40-0.5
			level[i] = 1000 / (0.1 + x*x + y*y) * (1 + 0.02*math.Sin(float64(31*lamp+17*i)))
		}
		e.Maps = append(e.Maps, level)
	}
	var ours, theirs time.Duration
	for b.Loop() {
		start := time.Now()
		if got, err := e.Solve(context.Background()); err != nil || !got.Optimal {
			b.Fatalf("%+v, %v", got, err)
		}
		ours += time.Since(start)
		for range 10 {
			theirs += csvPass(b, text, false)
		}
	}
	b.ReportMetric(ours.Seconds()/theirs.Seconds(), "times-floor")
}

// The same from a file to the screen: 48,000 readings read, looked through for
// slips, balanced, judged and shown, in no more than that time either.
func BenchmarkBalanceFile(b *testing.B) {
	text := hundredThousand()
	random := rand.New(rand.NewPCG(1, 2))
	var file bytes.Buffer
	file.WriteString("lamp,x (m),y (m),E (lx)\n")
	for lamp := range 24 {
		cx, cy := 5*random.Float64(), 4*random.Float64()
		for i := range 2000 {
			x, y := float64(i%50)/10, float64(i/50)/10
			fmt.Fprintf(&file, "lamp %d,%.1f,%.1f,%.1f\n", lamp, x, y, 20_000/(2+(x-cx)*(x-cx)+(y-cy)*(y-cy))*(1+0.02*random.NormFloat64()))
		}
	}
	path := filepath.Join(b.TempDir(), "lamps.csv")
	if err := os.WriteFile(path, file.Bytes(), 0o666); err != nil {
		b.Fatal(err)
	}
	var ours, theirs time.Duration
	for b.Loop() {
		a := app{stdin: os.Stdin, stdout: io.Discard, stderr: io.Discard}
		start := time.Now()
		if status := a.run([]string{"balance", path}); status == exitNothing {
			b.Fatal("nothing done")
		}
		ours += time.Since(start)
		for range 10 {
			theirs += csvPass(b, text, false)
		}
	}
	b.ReportMetric(ours.Seconds()/theirs.Seconds(), "times-floor")
}
