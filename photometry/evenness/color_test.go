package evenness

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/uncertainty"
)

// colored is a row of nine readings of a color each.
func colored(notes, header string, cells func(i int) string) string {
	var b strings.Builder
	b.WriteString(notes + "label,x (m),y (m),lux," + header + "\n")
	for i := range 9 {
		fmt.Fprintf(&b, "P%d,%d,%d,1000,%s\n", i, i%3, i/3, cells(i))
	}
	return b.String()
}

// Every way to write a color gives the same figures: CIE 15 and Ohno (2014)
// stand behind colorimetry, whose own tests hold it to them.
func TestColorColumnsAgree(t *testing.T) {
	light := func(i int) colorimetry.CCT {
		return colorimetry.CCT{Kelvin: 5600 - 40*float64(i), Duv: 0.0005 * float64(i)}
	}
	want := judged(t, strings.NewReader(colored("# reference: P0\n", "CCT (K),Duv", func(i int) string {
		return fmt.Sprintf("%v,%v", light(i).Kelvin, light(i).Duv)
	}))).Color
	if math.Abs(*want.MaxMiredShift-(1e6/5280-1e6/5600)) > 1e-6 || math.Abs(*want.MaxDuvShift-0.004) > 1e-9 || want.Worst.Label != "P8" {
		t.Fatalf("color %+v", want)
	}
	for header, cells := range map[string]func(colorimetry.CCT) string{
		"mired,Duv": func(l colorimetry.CCT) string { return fmt.Sprintf("%v,%v", l.Mired(), l.Duv) },
		"cie x,cie y": func(l colorimetry.CCT) string {
			xy, _ := l.XY()
			return fmt.Sprintf("%v,%v", xy.X, xy.Y)
		},
		"u',v'": func(l colorimetry.CCT) string {
			uv, _ := l.UV()
			return fmt.Sprintf("%v,%v", uv.UVPrime().U, uv.UVPrime().V)
		},
	} {
		got := judged(t, strings.NewReader(colored("# reference: P0\n", header, func(i int) string { return cells(light(i)) }))).Color
		if math.Abs(*got.MaxMiredShift-*want.MaxMiredShift) > 1e-3 || math.Abs(*got.MaxDuvShift-*want.MaxDuvShift) > 1e-7 || math.Abs(got.MaxDeltaUV-want.MaxDeltaUV) > 1e-9 {
			t.Errorf("%s: %v mired, %v Duv, %v", header, *got.MaxMiredShift, *got.MaxDuvShift, got.MaxDeltaUV)
		}
	}
}

func TestColorVerdicts(t *testing.T) {
	for name, c := range map[string]struct {
		notes        string
		kelvin, duv  float64 // at the last place
		mired, green string
	}{
		"both inside":   {"", 5480, 0.001, uncertainty.Pass, uncertainty.Pass},
		"too warm":      {"", 5000, 0.001, uncertainty.Fail, uncertainty.Pass},
		"too green":     {"", 5500, 0.007, uncertainty.Pass, uncertainty.Fail},
		"near both":     {"", 5400, 0.002, uncertainty.Unsure, uncertainty.Unsure},
		"wider by kind": {"# for: screen\n", 5400, 0.001, uncertainty.Pass, uncertainty.Pass},
		"wider by note": {"# color tolerance: 30 mired, 0.006 Duv\n", 5000, 0.004, uncertainty.Pass, uncertainty.Pass},
	} {
		r := judged(t, strings.NewReader(colored("# reference: P0\n"+c.notes, "CCT (K),Duv", func(i int) string {
			if i == 8 {
				return fmt.Sprintf("%v,%v", c.kelvin, c.duv)
			}
			return "5600,0"
		})))
		if r.Color.VerdictMired != c.mired || r.Color.VerdictDuv != c.green || r.Verdict.Color != uncertainty.WorstVerdict(c.mired, c.green) {
			t.Errorf("%s: mired %s, Duv %s, color %s", name, r.Color.VerdictMired, r.Color.VerdictDuv, r.Verdict.Color)
		}
	}
}

// A color temperature alone judges mired and says nothing of green.
func TestKelvinsAlone(t *testing.T) {
	r := judged(t, strings.NewReader(colored("", "K", func(i int) string { return fmt.Sprintf("%d", 5600-5*i) })))
	if r.Color.VerdictMired != uncertainty.Pass || r.Color.VerdictDuv != "" || r.Color.MaxDuvShift != nil {
		t.Errorf("color %+v", r.Color)
	}
}

// Without a reference the color is that of all light mixed, never a mean of
// kelvins: 3000 K and 6000 K in equal parts mix to about 4000 K.
func TestMixedReference(t *testing.T) {
	r := judged(t, strings.NewReader("x (m),y (m),lux,K\n0,0,100,3000\n1,0,100,6000\n"))
	a, _ := colorimetry.CCT{Kelvin: 3000}.XY()
	b, _ := colorimetry.CCT{Kelvin: 6000}.XY()
	mixed, _ := colorimetry.Mix(colorimetry.Light{Level: 100, XY: a}, colorimetry.Light{Level: 100, XY: b})
	want, err := mixed.XY.CCT()
	if err != nil || math.Abs(*r.Color.Reference.CCT-want.Kelvin) > 1e-6 || *r.Color.Reference.CCT > 4300 {
		t.Errorf("reference %v K, mixed %v, %v", *r.Color.Reference.CCT, want, err)
	}
}

// Repeats of a color give an interval; its scatter by hand from two readings a
// place.
func TestColorInterval(t *testing.T) {
	var b strings.Builder
	b.WriteString("label,x (m),y (m),lux,mired,Duv\n")
	for i := range 6 {
		for k := range 2 {
			fmt.Fprintf(&b, "P%d,%d,0,1000,%v,0.001\n", i, i, 180+float64(k)+0.2*float64(i))
		}
	}
	r := judged(t, strings.NewReader("# reference: P0\n"+b.String()))
	// Each pair differs by one mired: s = √½. Means are known to s/√2.
	s := math.Sqrt(0.5)
	f := uncertainty.FactorsFor(6, 6)
	want := 1 + f.Z*s
	if r.Color.MiredInterval == nil || math.Abs(r.Color.MiredInterval[1]-want) > 1e-4 {
		t.Errorf("interval %v, want up to %v", r.Color.MiredInterval, want)
	}
}

// A lamp whose color is off is named where its readings alone show that the
// surface follows its share, and only then.
func TestLampBehindColor(t *testing.T) {
	surface := func(alone bool, offset float64) string {
		var b strings.Builder
		b.WriteString("lamp,label,x (m),y (m),lux,CCT (K),Duv\n")
		left, right := colorimetry.CCT{Kelvin: 5600}, colorimetry.CCT{Kelvin: 5600, Duv: offset}
		for i := range 9 {
			x := float64(i)
			l, r := 100*(9-x), 100*(x+1)
			a, _ := left.XY()
			c, _ := right.XY()
			mixed, _ := colorimetry.Mix(colorimetry.Light{Level: l, XY: a}, colorimetry.Light{Level: r, XY: c})
			all, _ := mixed.XY.CCT()
			fmt.Fprintf(&b, "all,P%d,%d,%d,%v,%v,%v\n", i, i, i%2, l+r, all.Kelvin, all.Duv)
			if alone {
				fmt.Fprintf(&b, "left,P%d,%d,%d,%v,5600,0\nright,P%d,%d,%d,%v,5600,%v\nfill,P%d,%d,%d,1,5600,0\n", i, i, i%2, l, i, i, i%2, r, offset, i, i, i%2)
			}
		}
		return b.String()
	}
	codes := func(sheet string) (out []string, lamps []string) {
		for _, c := range judged(t, strings.NewReader(sheet)).Causes {
			out = append(out, c.Code)
			if c.Code == CauseLampColor {
				lamps = append(lamps, fmt.Sprintf("%s %+.4f", c.Values["lamp"], c.Values["offset"]))
			}
		}
		return out, lamps
	}
	if got, lamps := codes(surface(true, 0.008)); !slices.Equal(lamps, []string{"right +0.0080"}) {
		t.Errorf("a green lamp: %v %v", got, lamps)
	}
	if got, text := codes(surface(false, 0.008)); slices.Contains(got, CauseLampColor) || !slices.Contains(got, CauseGreenerSide) {
		t.Errorf("without readings of each lamp: %v %s", got, text)
	}
	if got, text := codes(surface(true, 0)); slices.Contains(got, CauseLampColor) || slices.Contains(got, CauseGreenerSide) {
		t.Errorf("lamps of one color: %v %s", got, text)
	}
}
