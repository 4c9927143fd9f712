package evenness

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// drawnCloth is any surface of a few rows and columns.
func drawnCloth(t *rapid.T) (x, y, level []float64) {
	columns, rows := rapid.IntRange(3, 7).Draw(t, "columns"), rapid.IntRange(3, 6).Draw(t, "rows")
	tilt := rapid.Float64Range(-0.3, 0.3).Draw(t, "tilt")
	bow := rapid.Float64Range(-0.2, 0.2).Draw(t, "bow")
	for r := range rows {
		for c := range columns {
			px, py := 0.5*(float64(c)+0.5), 0.4*(float64(r)+0.5)
			noise := rapid.Float64Range(-0.02, 0.02).Draw(t, "noise")
			x, y = append(x, px), append(y, py)
			level = append(level, 1000*math.Exp2(tilt*px+bow*(px-1)*(px-1)+0.1*py+noise))
		}
	}
	return x, y, level
}

func sheetOf(x, y, level []float64, unit string, order []int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "x (m),y (m),E (%s)\n", unit)
	for k := range x {
		i := k
		if order != nil {
			i = order[k]
		}
		fmt.Fprintf(&b, "%v,%v,%v\n", x[i], y[i], level[i])
	}
	return b.String()
}

func analyzed(t *rapid.T, sheet string) map[string]any {
	s, err := survey.Read([]survey.Input{{Name: "sheet", Reader: strings.NewReader(sheet)}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Judge(s)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

var close = cmp.Comparer(func(a, b float64) bool {
	return math.Abs(a-b) <= 1e-7*math.Max(1, math.Max(math.Abs(a), math.Abs(b)))
})

func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y, level := drawnCloth(t)
		order := rapid.Permutation(indices(len(x))).Draw(t, "order")
		a, b := analyzed(t, sheetOf(x, y, level, "lx", nil)), analyzed(t, sheetOf(x, y, level, "lx", order))
		for _, r := range []map[string]any{a, b} {
			dropLines(r)
			// A size that lies on the edge of two roundings may print either way.
			for _, field := range []string{"causes", "advice", "warnings"} {
				for _, f := range r[field].([]any) {
					delete(f.(map[string]any), "text")
					delete(f.(map[string]any), "evidence")
				}
			}
		}
		if diff := cmp.Diff(a, b, close); diff != "" {
			t.Fatalf("another order of rows:\n%s", diff)
		}
	})
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// Scaling all levels changes levels and nothing in stops or shares.
func TestScalingChangesOnlyLevels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y, level := drawnCloth(t)
		k := rapid.Float64Range(0.1, 10).Draw(t, "factor")
		scaled := make([]float64, len(level))
		for i, v := range level {
			scaled[i] = k * v
		}
		a, b := analyzed(t, sheetOf(x, y, level, "lx", nil)), analyzed(t, sheetOf(x, y, scaled, "lx", nil))
		for _, field := range []string{"spread_stops", "min_over_mean", "min_over_max", "cv_percent", "within_percent", "spread_interval_stops"} {
			if diff := cmp.Diff(a["evenness"].(map[string]any)[field], b["evenness"].(map[string]any)[field], close); diff != "" {
				t.Fatalf("%s: %s", field, diff)
			}
		}
		for _, field := range []string{"trend", "verdict", "sampling"} {
			if diff := cmp.Diff(a[field], b[field], close); diff != "" {
				t.Fatalf("%s: %s", field, diff)
			}
		}
		for _, field := range []string{"min", "max", "mean", "median"} {
			was, is := a["evenness"].(map[string]any)[field].(float64), b["evenness"].(map[string]any)[field].(float64)
			if math.Abs(is/was/k-1) > 1e-9 {
				t.Fatalf("%s: %v times %v is not %v", field, was, k, is)
			}
		}
	})
}

// A mirrored surface has a mirrored tilt, a turned one its tilts exchanged.
func TestMirrorAndTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y, level := drawnCloth(t)
		box, _ := spatial.BoxOf(x, y)
		mirrored := make([]float64, len(x))
		for i, v := range x {
			mirrored[i] = box.X0 + box.X1 - v
		}
		trend := func(x, y []float64) *spatial.Trend { return spatial.NewPlaces(x, y).Trend(level, nil) }
		a, m, q := trend(x, y), trend(mirrored, y), trend(y, mirrored)
		same := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-6 {
				t.Fatalf("%s: %v, want %v", what, got, want)
			}
		}
		same("mirrored tilt in x", *m.TiltX, -*a.TiltX)
		same("mirrored tilt in y", *m.TiltY, *a.TiltY)
		same("turned tilt in x", *q.TiltX, *a.TiltY)
		same("turned tilt in y", *q.TiltY, -*a.TiltX)
		same("mirrored bow", *m.Curvature, *a.Curvature)
		same("turned bow", *q.Curvature, *a.Curvature)
		same("steepest", q.Steepest, a.Steepest)
	})
}

// An exact quadratic comes back exactly, with a data-entry error on it too.
func TestTrendOfAQuadratic(t *testing.T) {
	var x, y, level []float64
	for r := range 5 {
		for c := range 9 {
			px, py := 0.5*float64(c), 0.5*float64(r)
			x, y = append(x, px), append(y, py)
			level = append(level, 500*math.Exp2(0.2*px-0.05*py+0.03*px*px-0.06*py*py+0.01*px*py))
		}
	}
	for _, slip := range []int{-1, 20} {
		if slip >= 0 {
			level[slip] /= 10.764
		}
		tr := spatial.NewPlaces(x, y).Trend(level, nil)
		// At the middle of the box (2, 1): derivatives of the exponent.
		for _, c := range []struct {
			what      string
			got, want float64
		}{{"tilt x", *tr.TiltX, 0.2 + 2*0.03*2 + 0.01}, {"tilt y", *tr.TiltY, -0.05 - 2*0.06 + 0.02}, {"bow", *tr.Curvature, -(0.03*4 - 0.06) / 2}} {
			if math.Abs(c.got-c.want) > 1e-6 {
				t.Errorf("slip %d: %s %.8f, want %.8f", slip, c.what, c.got, c.want)
			}
		}
	}
}
