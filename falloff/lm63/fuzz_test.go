package lm63

import (
	"errors"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"
)

// FuzzRead: any bytes give either errors that name the file, or a distribution
// that keeps its promises and that reads back the same when it is written out.
func FuzzRead(f *testing.F) {
	f.Add([]byte(small))
	f.Add([]byte(strings.ReplaceAll(small, "\n", "\r")))
	f.Add([]byte("TILT=INCLUDE\n1 2\n0 90\n1 .8\n1,-1,1,3,1,1,1,-1,0,0\n1 1 0\n0 45 90\n0\n9 8 7\n\x1a"))
	f.Add([]byte("IES:LM-63-2019\nTILT=t.tlt\n1 -1 1 2 2 3 2 0 0 0 1 1.1 9\n-9 9\n0 9\n9 8 7 6"))
	f.Add([]byte("\x14\n\nTILT='"))
	f.Add([]byte("\ufeffIESNA91\r\n[MORE] x\r\n[A]\r\n[MORE] y\r\nTILT=NONE 1 0 1 2 2 1 2 0 0 0 1 1 -1 0 9 0 90 1 -.001 1 1 end"))
	for _, s := range gridCases() {
		f.Add([]byte(s.text()))
	}
	files := fstest.MapFS{"t.tlt": {Data: []byte("2 1\n0\n1")}}
	f.Fuzz(func(t *testing.T, raw []byte) {
		d, err := Read(strings.NewReader(string(raw)), "lamp.ies", Options{Files: files, MostBytes: 1 << 20})
		if err != nil {
			var all Errors
			if d != nil || !errors.As(err, &all) || len(all) == 0 || len(all) > maxErrors {
				t.Fatalf("%v, %T", d, err)
			}
			for _, e := range all {
				if e.File == "" || e.Found == "" || e.Expected == "" || e.Line < 0 || e.Column < 0 {
					t.Fatalf("%+v", e)
				}
			}
			return
		}
		peak := d.Peak().IntensityCD
		if !(peak > 0) || math.IsInf(peak, 0) || !(d.Flux() >= 0 && d.Flux() <= 4*math.Pi*peak*(1+1e-9)) {
			t.Fatalf("peak %v, flux %v", peak, d.Flux())
		}
		for _, v := range []r3.Vec{{Z: 1}, {Z: -1}, {X: 1}, {Y: -1}, {X: 1, Y: 2, Z: 3}, {X: -2, Y: 1, Z: -1}} {
			if i := d.Intensity(v); !(i >= 0 && i <= peak*(1+1e-9)) {
				t.Fatalf("intensity %v, peak %v", i, peak)
			}
		}
		for _, w := range []Width{d.Beam(), d.Field()} {
			if m, ok := w.Mean(); ok && !(m >= 0 && m <= 360) {
				t.Fatalf("width %v", m)
			}
		}
		if peak > maxMagnitude {
			return // the factors have taken it beyond what a file may hold
		}
		nv := len(d.VerticalDeg)
		again := plain(d.VerticalDeg, d.HorizontalDeg, nil)
		at := 0 // written in the order of the grid
		again.candela = func(_, _ float64) float64 { at++; return d.grid.cd[at-1] }
		again.kind = d.Type
		text := again.text()
		if at != nv*len(d.HorizontalDeg) {
			t.Fatalf("wrote %d values", at)
		}
		back, err := Read(strings.NewReader(text), "again.ies", Options{})
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(d.grid, back.grid, cmp.AllowUnexported(grid{}, axis{})); diff != "" {
			t.Fatal(diff)
		}
	})
}
