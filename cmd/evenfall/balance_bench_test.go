package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"evenfall/falloff/plan"
)

// 24 lamps over 2,000 places are balanced in no more time than a table of
// 100,000 rows is read ten times with the standard library.
func BenchmarkBalance(b *testing.B) {
	var text bytes.Buffer
	for i := range 100_000 {
		fmt.Fprintf(&text, "%.4f,%.4f,%.1f,%d,%.4f\n", float64(i%480)/100, float64(i%240)/100, 900+float64(i%97), 5600-i%50, 0.001)
	}
	e := plan.Evening{}
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
			theirs += csvPass(b, text.Bytes(), false)
		}
	}
	b.ReportMetric(ours.Seconds()/theirs.Seconds(), "times-floor")
}
