package evenness

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// plannedSheet is a sheet of a grid on a surface of 4 by 2 m, without the levels that are
// zero.
func plannedSheet(notes string, columns, rows int, levels []float64) *strings.Reader {
	var b strings.Builder
	b.WriteString("# width: 4\n# height: 2\n" + notes + "label,lux\n")
	for i, v := range levels {
		text := ""
		if v > 0 {
			text = fmt.Sprintf("%.6f", v)
		}
		fmt.Fprintf(&b, "%s,%s\n", spatial.GridLabel(i%columns, i/columns), text)
	}
	return strings.NewReader(b.String())
}

// Nothing passes before all planned places in shot are read; without a plan it takes
// five places that span both directions, or a surface that is a line.
func TestCoverage(t *testing.T) {
	even := func(n, read int) []float64 {
		levels := make([]float64, n)
		for i := range read {
			levels[i] = 801 + float64(i%3)
		}
		return levels
	}
	points := func(notes string, at ...[2]float64) *strings.Reader {
		text := notes + "x (m),y (m),lux\n"
		for i, p := range at {
			text += fmt.Sprintf("%v,%v,%d\n", p[0], p[1], 801+i%3)
		}
		return strings.NewReader(text)
	}
	for name, c := range map[string]struct {
		sheet         *strings.Reader
		want          string
		read, planned int
	}{
		"all":                     {plannedSheet("", 3, 3, even(9, 9)), uncertainty.Pass, 0, 0},
		"all of a noted grid":     {plannedSheet("# grid: 3x3\n", 3, 3, even(9, 9)), uncertainty.Pass, 9, 9},
		"two of a noted 45":       {plannedSheet("# grid: 9x5\n", 9, 1, even(2, 2)), uncertainty.Unsure, 2, 45},
		"rows left empty":         {plannedSheet("", 3, 3, even(9, 8)), uncertainty.Unsure, 8, 9},
		"the rest is out of shot": {plannedSheet("# area: 0,0.7,4,2\n", 3, 3, even(9, 6)), uncertainty.Pass, 6, 6},
		"four without a plan":     {points("", [2]float64{0, 0}, [2]float64{1, 0}, [2]float64{0, 1}, [2]float64{1, 1}), uncertainty.Unsure, 0, 0},
		"five without a plan":     {points("", [2]float64{0, 0}, [2]float64{1, 0}, [2]float64{0, 1}, [2]float64{1, 1}, [2]float64{0.5, 0.5}), uncertainty.Pass, 0, 0},
		"five in a line":          {points("", [2]float64{0, 0}, [2]float64{1, 1}, [2]float64{2, 2}, [2]float64{3, 3}, [2]float64{4, 4}), uncertainty.Unsure, 0, 0},
		"five of a line":          {points("# width: 4\n", [2]float64{0, 0}, [2]float64{1, 0}, [2]float64{2, 0}, [2]float64{3, 0}, [2]float64{4, 0}), uncertainty.Pass, 0, 0},
	} {
		r := judged(t, c.sheet)
		got := Progress{}
		if r.Progress != nil {
			got = *r.Progress
		}
		if r.Verdict.Evenness != c.want || got != (Progress{c.read, c.planned}) {
			t.Errorf("%s: %s, %+v; want %s, %d of %d", name, r.Verdict.Evenness, got, c.want, c.read, c.planned)
		}
		if asks := advises(r, "read_rest") || advises(r, "read_five"); asks != (c.want == uncertainty.Unsure) {
			t.Errorf("%s: %v", name, r.Advice)
		}
	}
	// Nor does it pass without a suspect: B1 reads a tenth of the rest, C3 was not read.
	partly := even(9, 8)
	partly[3] /= 10
	if r := judged(t, plannedSheet("", 3, 3, partly)); r.Without == nil || r.Without.Verdict != uncertainty.Unsure || r.Verdict.Evenness == uncertainty.Pass {
		t.Errorf("a suspect and a place not read: %+v, without it %+v", r.Verdict, r.Without)
	}
	// A fail need not wait.
	levels := even(9, 3)
	levels[1] = 300
	if r := judged(t, plannedSheet("", 3, 3, levels)); r.Verdict.Evenness != uncertainty.Fail {
		t.Errorf("a fail of three of nine: %s", r.Verdict.Evenness)
	}
}

// The spread with the edge is nearer to the truth than the one of the places read, and
// within its error in 95 % of smooth surfaces.
func TestSpreadToTheEdge(t *testing.T) {
	const runs = 60
	for _, grid := range [][2]int{{9, 5}, {6, 3}, {5, 4}} {
		columns, rows := grid[0], grid[1]
		random := rand.New(rand.NewPCG(41, 42))
		told, within, nearer := 0, 0, 0
		for range runs {
			a, b, c, d := random.NormFloat64()*0.4, random.NormFloat64()*0.4, random.NormFloat64()*0.4, random.NormFloat64()*0.3
			x0, y0, hot := random.Float64()*4, random.Float64()*2, random.NormFloat64()*0.3
			truth := func(x, y float64) float64 {
				u, v := x/2-1, y-1
				return a*u + b*v - math.Abs(c)*u*u - math.Abs(d)*v*v + hot*math.Exp(-((x-x0)*(x-x0)+(y-y0)*(y-y0))/2)
			}
			levels, low, high := make([]float64, columns*rows), math.Inf(1), math.Inf(-1)
			for i := range levels {
				levels[i] = 800 * math.Exp2(truth(4*(float64(i%columns)+0.5)/float64(columns), 2*(float64(rows-1-i/columns)+0.5)/float64(rows))+assumed*random.NormFloat64())
			}
			for i := range 41 * 21 {
				v := truth(float64(i%41)/10, float64(i/41)/10)
				low, high = min(low, v), max(high, v)
			}
			r := judged(t, plannedSheet("", columns, rows, levels))
			if r.ToEdge == nil {
				continue
			}
			told++
			off := math.Abs(r.ToEdge.SpreadStops - (high - low))
			if off <= r.ToEdge.ErrorStops {
				within++
			}
			if off < math.Abs(r.Evenness.SpreadStops-(high-low)) {
				nearer++
			}
		}
		t.Logf("%d × %d: told %d of %d, within its error %d, nearer than the places read %d", columns, rows, told, runs, within, nearer)
		if told < runs/4 || float64(within) < 0.95*float64(told)-3*math.Sqrt(0.0475*float64(told)) || nearer < told*9/10 {
			t.Errorf("%d × %d: told %d of %d, within its error %d, nearer than the places read %d", columns, rows, told, runs, within, nearer)
		}
	}
}

// A suspect counts in no zero and no exposure, and both spreads are given; where it
// decides, the verdict is unsure: with one misplaced decimal point or pair of
// transposed digits among 45 readings, wrong verdicts stay as rare as without.
func TestVerdictsWithASuspect(t *testing.T) {
	const runs = 25
	random := rand.New(rand.NewPCG(51, 52))
	wrongPass, wrongFail, suspected := 0, 0, 0
	for range runs {
		tilt, levels, low, high := 0.2+0.6*random.Float64(), make([]float64, 45), math.Inf(1), 0.0
		for i := range levels {
			v := 800 * math.Exp2(tilt*(float64(i%9)/8-0.5)-0.1*float64(i/9)/4)
			low, high = min(low, v), max(high, v)
			levels[i] = math.Round(v * math.Exp2(assumed*random.NormFloat64()))
		}
		at := random.IntN(45)
		right := levels[at]
		if random.IntN(2) == 0 {
			levels[at] /= 10
		} else {
			levels[at] *= 10
		}
		r := judged(t, plannedSheet("", 9, 5, levels))
		if len(r.Suspects) == 1 && r.Suspects[0].Point == at {
			suspected++
			levels[at] = 0
			// The places around have a little more of the surface to themselves.
			others := judged(t, plannedSheet("", 9, 5, levels))
			if math.Abs(r.Reference.Level/others.Reference.Level-1) > 0.01 || math.Abs(*r.Exposure.EV100-*others.Exposure.EV100) > 0.015 ||
				r.Without == nil || math.Abs(r.Without.SpreadStops-others.Evenness.SpreadStops) > 1e-9 || r.Evenness.SpreadStops < 2 {
				t.Fatalf("a suspect of %v in place of %v counts: zero %v, without it %v; %+v", levels[at], right, r.Reference.Level, others.Reference.Level, r.Without)
			}
		}
		spread := math.Log2(high / low)
		if r.Verdict.Evenness == uncertainty.Pass && spread > 0.5 {
			wrongPass++
		}
		if r.Verdict.Evenness == uncertainty.Fail && spread <= 0.5 {
			wrongFail++
		}
	}
	t.Logf("%d of %d found, %d wrong passes, %d wrong fails", suspected, runs, wrongPass, wrongFail)
	if most := 0.025*runs + 3*math.Sqrt(0.025*0.975*runs); suspected < runs*9/10 || float64(wrongPass) > most || float64(wrongFail) > most {
		t.Errorf("%d of %d found, %d wrong passes, %d wrong fails", suspected, runs, wrongPass, wrongFail)
	}
}

// Kelvins alone may fail and pass nothing; an empty column of Duv is none; a dome on a
// surface leaves it unsettled.
func TestKelvinsAloneAndDome(t *testing.T) {
	colored := func(header, far, rest string) *strings.Reader {
		text := fine + "# grid: 2x3\nx (m),y (m),lux," + header + "\n"
		for i := range 6 {
			color := rest
			if i == 5 {
				color = far
			}
			text += fmt.Sprintf("%d,%d,%d,%s\n", i%2, i/2, 801+i%3, color)
		}
		return strings.NewReader(text)
	}
	for name, c := range map[string]struct {
		sheet *strings.Reader
		want  string
	}{
		"kelvins within":            {colored("CCT (K)", "5050", "5000"), uncertainty.Unsure},
		"kelvins out":               {colored("CCT (K)", "5500", "5000"), uncertainty.Fail},
		"beside an empty Duv":       {colored("CCT (K),Duv", "5500,", "5000,"), uncertainty.Fail},
		"within, beside empty ones": {colored("CCT (K),Duv,CC", "5050,,", "5000,,"), uncertainty.Unsure},
		"with Duv":                  {colored("CCT (K),Duv", "5050,0.001", "5000,0"), uncertainty.Pass},
		"green":                     {colored("CCT (K),Duv", "5050,0.006", "5000,0"), uncertainty.Fail},
	} {
		if r := judged(t, c.sheet); r.Verdict.Color != c.want || r.Verdict.Overall != c.want || (c.want == uncertainty.Unsure) != advises(r, "read_duv") {
			t.Errorf("%s: %+v, %v; want %s", name, r.Verdict, r.Advice, c.want)
		}
	}
	for receptor, want := range map[string]string{"flat": uncertainty.Pass, "dome": uncertainty.Unsure} {
		r := judged(t, plannedSheet("# receptor: "+receptor+"\n", 3, 2, []float64{801, 802, 803, 802, 803, 801}))
		if r.Verdict.Evenness != want || advises(r, "dome_on_surface") != (want == uncertainty.Unsure) {
			t.Errorf("%s: %+v", receptor, r.Verdict)
		}
	}
}
