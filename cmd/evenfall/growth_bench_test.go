//go:build unix

package main

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// growth are inputs of n rows, each with the command that reads it.
var growth = []struct {
	name, command string
	sizes         []int
	row           func(b *strings.Builder, i, n int, random *rand.Rand)
	head          string
}{
	{"surface", "surface in.csv", grows, func(b *strings.Builder, i, n int, r *rand.Rand) {
		x, y := at(i, n)
		fmt.Fprintf(b, "p%d,%.2f,%.2f,%.1f\n", i, x, y, 1000+20*r.NormFloat64())
	}, "label,x (m),y (m),E (lx)\n"},
	{"surface, timed, reference every ten", "surface in.csv", grows, func(b *strings.Builder, i, n int, r *rand.Rand) {
		k, s := i, 36000+i*40000/n
		if i%10 == 0 {
			k = 0
		}
		x, y := at(k, n)
		fmt.Fprintf(b, "p%d,%.2f,%.2f,%02d:%02d:%02d,%.1f\n", k, x, y, s/3600, s/60%60, s%60, 1000+20*r.NormFloat64())
	}, "# reference: p0\nlabel,x (m),y (m),time,E (lx)\n"},
	{"surface, as typed", "surface in.csv", []int{100, 1000, 10_000, table.MostTypedRows - 2}, func(b *strings.Builder, i, n int, r *rand.Rand) {
		fmt.Fprintf(b, "p%d,%.0f\n", i+1, 1000+20*r.NormFloat64())
	}, "My cloth\nSpot,Lux reading\n"},
	{"surface, bad cells", "surface in.csv", grows, func(b *strings.Builder, i, n int, _ *rand.Rand) { fmt.Fprintf(b, "p%d,1,2,abc\n", i) }, "label,x (m),y (m),E (lx)\n"},
	{"distance", "distance in.csv", grows, func(b *strings.Builder, i, n int, r *rand.Rand) {
		d := 0.5 + 3*float64(i)/float64(n)
		fmt.Fprintf(b, "%.5f,%.2f\n", d, 1000/d/d*math.Exp(0.01*r.NormFloat64()))
	}, "distance (m),E (lx)\n"},
	{"meter", "meter in.csv", grows, func(b *strings.Builder, i, n int, _ *rand.Rand) {
		a := -80 + 160*float64(i)/float64(n)
		fmt.Fprintf(b, "%.4f,%.2f\n", a, 1000*math.Cos(a*math.Pi/180))
	}, "angle (deg),E (lx)\n"},
	{"ratio, marks", "ratio in.csv", []int{100, 1000, schema.MostRows(schema.RatioFile) / 2}, func(b *strings.Builder, i, n int, r *rand.Rand) {
		fmt.Fprintf(b, "m%d,key,%.0f\nm%d,fill,%.0f\n", i, 800+40*r.NormFloat64(), i, 200+10*r.NormFloat64())
	}, "# target: 4:1 key to fill\nmark,role,E (lx)\n"},
	{"match", "match in.csv day2.csv", grows, func(b *strings.Builder, i, n int, r *rand.Rand) {
		x, y := at(i, n)
		fmt.Fprintf(b, "p%d,%.2f,%.2f,%.1f\n", i, x, y, 1000+20*r.NormFloat64())
	}, "label,x (m),y (m),E (lx)\n"},
	{"balance, places of three lamps", "balance in.csv", grows, func(b *strings.Builder, i, n int, r *rand.Rand) {
		x, y := at(i/3, n/3)
		fmt.Fprintf(b, "p%d,%.2f,%.2f,L%d,%.1f\n", i/3, x, y, i%3, 100+50*r.Float64())
	}, "label,x (m),y (m),lamp,E (lx)\n"},
	{"balance, lamps at 45 places", "balance in.csv", []int{10, 30, 100, schema.MostLamps}, lampRow, "label,x (m),y (m),lamp,E (lx)\n"},
	{"balance, the same in half steps", "balance in.csv --half-steps", []int{10, 30, 100, schema.MostLamps}, lampRow, "label,x (m),y (m),lamp,E (lx)\n"},
	{"correct, gels", "correct 5000K --to 5600K --gels in.csv", []int{100, 1000, schema.MostRows(schema.GelsFile)}, func(b *strings.Builder, i, n int, _ *rand.Rand) {
		fmt.Fprintf(b, "g%d,CTB,%.3f,%d\n", i, -200+399.9*float64(i)/float64(n), 50+i%40)
	}, "name,kind,mired,transmission (%)\n"},
	{"correct, lamps", "correct in.csv --to 5600K", []int{100, schema.MostRows(schema.LampsFile)}, func(b *strings.Builder, i, n int, r *rand.Rand) {
		fmt.Fprintf(b, "l%d,%.0f,%.4f\n", i, 5400+300*r.NormFloat64(), 0.002*r.NormFloat64())
	}, "name,CCT (K),Duv\n"},
	{"dimmer, lamps at four settings", "dimmer in.csv", []int{25, 250, schema.MostRows(schema.DimmersFile) / 4}, func(b *strings.Builder, i, n int, r *rand.Rand) {
		for _, percent := range []float64{25, 50, 75, 100} {
			fmt.Fprintf(b, "l%d,%.0f,%.0f\n", i, percent, 8*percent+r.NormFloat64())
		}
	}, "lamp,dimmer (%),E (lx)\n"},
	{"plan, lamps", "plan in.csv --size 4.8x2.4", []int{10, 100, 1000}, func(b *strings.Builder, i, n int, r *rand.Rand) {
		fmt.Fprintf(b, "l%d,point,%.2f,2,%.2f,2,1,0,20000,60\n", i, 10*r.Float64()-3, 3+r.Float64())
	}, "name,kind,x (m),y (m),z (m),aim x (m),aim y (m),aim z (m),flux (lm),beam (deg)\n"},
}

var grows = []int{100, 1000, 10_000, 100_000}

// at is place i of n on a square grid, in meters.
func at(i, n int) (x, y float64) {
	side := max(1, int(math.Sqrt(float64(n))))
	return 0.1 * float64(i%side), 0.1 * float64(i/side)
}

// lampRow is lamp i alone at 45 places.
func lampRow(b *strings.Builder, i, n int, r *rand.Rand) {
	for k := range 45 {
		off := float64(k%9)/9 - float64(i)/float64(n)
		fmt.Fprintf(b, "p%d,%.2f,%.2f,L%d,%.1f\n", k, 0.5*float64(k%9), 0.5*float64(k/9), i, 20+5*r.Float64()+100*math.Exp(-4*off*off))
	}
}

// BenchmarkGrowth is how the processors' time of each command grows with its input, up to
// 100,000 rows or what a file may hold:
//
//	go test ./cmd/evenfall -run '^$' -bench Growth -benchtime 1x
func BenchmarkGrowth(b *testing.B) {
	for _, g := range growth {
		for _, n := range g.sizes {
			b.Run(fmt.Sprintf("%s/%d", g.name, n), func(b *testing.B) {
				folder := b.TempDir()
				b.Chdir(folder)
				for seed, name := range []string{"in.csv", "day2.csv"} {
					var text strings.Builder
					text.WriteString(g.head)
					random := rand.New(rand.NewPCG(1, uint64(seed)))
					for i := range n {
						g.row(&text, i, n, random)
					}
					if err := os.WriteFile(filepath.Join(folder, name), []byte(text.String()), 0o600); err != nil {
						b.Fatal(err)
					}
				}
				b.ResetTimer()
				before := processorTime()
				for range b.N {
					a := app{stdin: strings.NewReader(""), stdout: io.Discard, stderr: io.Discard, env: []string{"COLUMNS=80"}}
					a.run(strings.Fields(g.command))
				}
				b.ReportMetric((processorTime()-before).Seconds()/float64(b.N), "cpu-s/op")
			})
		}
	}
}

// processorTime is what all threads of this process have used.
func processorTime() time.Duration {
	var used syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &used)
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
