package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"
)

// million writes a file of 1,000,000 scattered readings, with color or without.
func million(b *testing.B, color bool) (path string, content []byte) {
	b.Helper()
	random := rand.New(rand.NewPCG(1, 1))
	var text bytes.Buffer
	header := "x (m),y (m),E (lx)"
	if color {
		header += ",CCT (K),Duv"
	}
	fmt.Fprintln(&text, header)
	for range 1_000_000 {
		x, y := 4.8*random.Float64(), 2.4*random.Float64()
		level := 1000 * math.Exp2(0.1*x-0.05*(y-1)*(y-1)) * (1 + 0.02*random.NormFloat64())
		fmt.Fprintf(&text, "%.4f,%.4f,%.1f", x, y, level)
		if color {
			fmt.Fprintf(&text, ",%.0f,%.4f", 5600-30*x+10*random.NormFloat64(), 0.001*x+0.0003*random.NormFloat64())
		}
		text.WriteByte('\n')
	}
	path = filepath.Join(b.TempDir(), "million.csv")
	if err := os.WriteFile(path, text.Bytes(), 0o666); err != nil {
		b.Fatal(err)
	}
	return path, text.Bytes()
}

// csvPass reads a table with the standard library and keeps nothing; parse
// turns every cell into a number as well. It is the yardstick of these
// benchmarks, so that they hold on any machine.
func csvPass(b *testing.B, content []byte, parse bool) time.Duration {
	b.Helper()
	start := time.Now()
	r := csv.NewReader(bytes.NewReader(content))
	r.ReuseRecord = true
	r.Read()
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			return time.Since(start)
		}
		if err != nil {
			b.Fatal(err)
		}
		for _, cell := range record {
			if parse {
				if _, err := strconv.ParseFloat(cell, 64); err != nil {
					b.Fatal(err)
				}
			}
		}
	}
}

// surfaceAgainst runs surface with a picture and reports its time as a multiple
// of the yardstick's.
func surfaceAgainst(b *testing.B, path string, yardstick func() time.Duration, flags ...string) {
	b.Helper()
	out := b.TempDir()
	var ours, theirs time.Duration
	for b.Loop() {
		a := app{stdin: os.Stdin, stdout: io.Discard, stderr: io.Discard}
		start := time.Now()
		if status := a.run(append([]string{"surface", path, "--out", out}, flags...)); status == exitNothing {
			b.Fatal("nothing done")
		}
		ours += time.Since(start)
		theirs += yardstick()
	}
	b.ReportMetric(ours.Seconds()/theirs.Seconds(), "times-floor")
}

// The whole command on a million readings with a picture: at most 4 times the
// time of reading the five-column table with encoding/csv and strconv.
func BenchmarkSurfaceMillion(b *testing.B) {
	path, _ := million(b, false)
	_, content := million(b, true)
	surfaceAgainst(b, path, func() time.Duration { return csvPass(b, content, true) })
}

// The same with a part in shot and a slip in it, whose absence is judged too.
func BenchmarkSurfaceMillionInShot(b *testing.B) {
	path, content := million(b, false)
	_, yardstick := million(b, true)
	if err := os.WriteFile(path, append(content, "2.4,1.2,96.0\n"...), 0o666); err != nil {
		b.Fatal(err)
	}
	surfaceAgainst(b, path, func() time.Duration { return csvPass(b, yardstick, true) }, "--area", "0.6,0.3,4.2,2.2")
}

// The same with color columns and their maps: at most 8 times.
func BenchmarkSurfaceMillionColor(b *testing.B) {
	path, content := million(b, true)
	surfaceAgainst(b, path, func() time.Duration { return csvPass(b, content, true) })
}

// The whole command on 45 readings with a picture: at most 0.55 times a bare
// encoding/csv pass of a million rows.
func BenchmarkSurface45(b *testing.B) {
	_, content := million(b, true)
	path := filepath.Join(b.TempDir(), "cloth.csv")
	var text bytes.Buffer
	fmt.Fprintln(&text, "# width: 4.8\n# height: 2.4\nlabel,E (lx)")
	for r := range 5 {
		for c := range 9 {
			fmt.Fprintf(&text, "%c%d,%d\n", 'A'+r, c+1, 1000+10*c+5*r*r)
		}
	}
	if err := os.WriteFile(path, text.Bytes(), 0o666); err != nil {
		b.Fatal(err)
	}
	surfaceAgainst(b, path, func() time.Duration { return csvPass(b, content, false) })
}
