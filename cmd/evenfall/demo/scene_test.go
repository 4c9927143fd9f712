package demo

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
)

// What is wrong in the demo on purpose, for the tools to find. Everything else
// follows from the tables of lamps and places.
const (
	entryError = "D3"         // of the first day's walk, typed in footcandles
	wrongAim   = "stage left" // where key+fill was read toward the key, not the camera
	tilted     = 2.0          // deg by which the angles of the meter's check were laid wrong
	coldStops  = -0.15        // of the lamps at the start of the first day's walk
	warming    = 0.009        // stops a minute from then on
)

// What the meter of the demo does to a reading: cosine response, and standard
// deviations of level, CCT and Duv.
const (
	cosinePower   = 1.06
	repeatability = 0.012
	kelvinScatter = 12
	duvScatter    = 0.0002
)

// floorY is where the cloth hangs over the floor, by setup.csv.
const floorY = -0.6

// clothReflectance and moonReflectance are of the cloth and the painted moon.
const (
	clothReflectance = 0.2
	moonReflectance  = 0.088
)

var camera = r3.Vec{Z: 1}

// clothLamps are the lamps that stay on where spill is read.
var clothLamps = []string{"cloth left", "cloth right"}

// predicted is a table of lamps as package plan sees it.
func predicted(t *testing.T, file string) *plan.Scene {
	t.Helper()
	content, err := scene.ReadFile("scene/" + file)
	if err != nil {
		t.Fatal(err)
	}
	lamps, err := setup.ReadLamps(bytes.NewReader(content), file)
	if err != nil {
		t.Fatal(err)
	}
	floor := floorY
	s, err := plan.NewScene(lamps, plan.Options{FloorY: &floor})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Warnings) > 0 {
		t.Errorf("%s: %v", file, s.Warnings)
	}
	return s
}

// from is what some lights of a scene give together, all of them where none is
// named.
func from(s *plan.Scene, at, normal r3.Vec, names ...string) float64 {
	m := s.Mark(plan.Mark{X: at.X, Y: at.Y, Z: at.Z, Facing: [3]float64{normal.X, normal.Y, normal.Z}})
	if len(names) == 0 {
		return m.Level
	}
	sum := 0.0
	for _, share := range m.From {
		for _, name := range names {
			if share.Lamp == name {
				sum += m.Level * share.Percent / 100
			}
		}
	}
	return sum
}

// row is one row of a file of the demo by the names of its columns.
type row map[string]string

func (r row) number(t *testing.T, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("%v: %s: %v", r, column, err)
	}
	return v
}

// fileNamed is a file of the demo: its notes and its rows.
func fileNamed(t *testing.T, name string) (notes map[string]string, rows []row) {
	t.Helper()
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if f.Name != name {
			continue
		}
		notes = map[string]string{}
		for line := range strings.Lines(string(f.Content)) {
			if key, value, ok := strings.Cut(strings.TrimPrefix(line, "#"), ":"); ok && strings.HasPrefix(line, "#") {
				notes[strings.TrimSpace(key)] = strings.TrimSpace(value)
			}
		}
		reader := csv.NewReader(bytes.NewReader(f.Content))
		reader.Comment = '#'
		cells, err := reader.ReadAll()
		if err != nil {
			t.Fatal(name, err)
		}
		for _, line := range cells[1:] {
			r := row{}
			for i, cell := range line {
				r[cells[0][i]] = cell
			}
			rows = append(rows, r)
		}
		return notes, rows
	}
	t.Fatalf("the demo has no %s", name)
	return nil, nil
}

// held holds readings to predictions, each within four standard deviations and
// half a step of the display, all together within what their number allows.
type held struct {
	t       *testing.T
	n       int
	squares float64
}

func (h *held) level(what, shown string, want float64) {
	h.t.Helper()
	got, err := strconv.ParseFloat(shown, 64)
	if err != nil {
		h.t.Errorf("%s: %v", what, err)
		return
	}
	step := math.Pow10(-len(strings.TrimPrefix(shown[strings.IndexByte(shown+".", '.'):], ".")))
	off := math.Max(0, math.Abs(got-want)-step/2) / (repeatability * want)
	if off > 4 {
		h.t.Errorf("%s: %s, the lamps give %.4g: %.1f standard deviations", what, shown, want, off)
	}
	h.n++
	h.squares += off * off
}

func (h *held) color(what string, r row, want colorimetry.CCT) {
	h.t.Helper()
	if k := r.number(h.t, "CCT (K)"); math.Abs(k-want.Kelvin) > 4*kelvinScatter+5 {
		h.t.Errorf("%s: %g K, the lamps give %.0f", what, k, want.Kelvin)
	}
	if d := r.number(h.t, "Duv"); math.Abs(d-want.Duv) > 4*duvScatter+0.00005 {
		h.t.Errorf("%s: Duv %g, the lamps give %.4f", what, d, want.Duv)
	}
}

// scatters checks that the readings scatter as the meter does, no more and no
// less: the chi-square of n readings within four of its standard deviations.
func (h *held) scatters(file string) {
	h.t.Helper()
	if n := float64(h.n); math.Abs(h.squares-n) > 4*math.Sqrt(2*n) {
		h.t.Errorf("%s: chi-square %.1f of %d readings", file, h.squares, h.n)
	}
}

// Each reading of both walks over the cloth, and of each lamp alone there,
// follows from the day's lamps.
func TestClothFollowsFromTheLamps(t *testing.T) {
	for _, day := range []struct {
		file, lamps   string
		cold, warming float64
		entryError    string
	}{{"cloth.csv", "lamps.csv", coldStops, warming, entryError}, {"cloth-day2.csv", "lamps-day2.csv", 0, 0, ""}} {
		s, h := predicted(t, day.lamps), &held{t: t}
		_, rows := fileNamed(t, day.file)
		for i, r := range rows {
			what := fmt.Sprintf("%s %s", day.file, r["label"])
			light := s.At(r3.Vec{X: r.number(t, "x (m)"), Y: r.number(t, "y (m)")}, camera)
			level := light.Level * math.Exp2(day.cold+day.warming*float64(i)/3) // three readings a minute
			if r["label"] == day.entryError {
				level = photometry.Footcandles(level)
			}
			h.level(what, r["E (lx)"], level)
			h.color(what, r, *light.Color)
		}
		h.scatters(day.file)
	}
	s, h := predicted(t, "lamps.csv"), &held{t: t}
	_, rows := fileNamed(t, "cloth-lamps.csv")
	read := map[string]int{}
	for _, r := range rows {
		what := fmt.Sprintf("%s alone at %s", r["lamp"], r["label"])
		h.level(what, r["E (lx)"], from(s, r3.Vec{X: r.number(t, "x (m)"), Y: r.number(t, "y (m)")}, camera, r["lamp"]))
		h.color(what, r, colorsOf(t)[r["lamp"]])
		read[r["lamp"]]++
	}
	h.scatters("cloth-lamps.csv")
	if len(read) != 4 || read["cloth left"] != 6 || read["back light"] != 0 {
		t.Errorf("read alone: %v", read)
	}
}

// colorsOf are the colors of the first day's lamps; a frame's is its lamp's.
func colorsOf(t *testing.T) map[string]colorimetry.CCT {
	t.Helper()
	_, rows := fileNamed(t, "lamps.csv")
	out := map[string]colorimetry.CCT{}
	for _, r := range rows {
		if r["CCT (K)"] != "" {
			out[r["name"]] = colorimetry.CCT{Kelvin: r.number(t, "CCT (K)"), Duv: r.number(t, "Duv")}
		}
	}
	out["key frame"] = out["key"]
	return out
}

// marksOf are the places of the marks, as the table of their lights notes them.
func marksOf(t *testing.T) map[string]r3.Vec {
	t.Helper()
	places := map[string]r3.Vec{}
	_, rows := fileNamed(t, "ratio.csv")
	for _, r := range rows {
		if _, at, ok := strings.Cut(r["note"], "mark at "); ok {
			var v r3.Vec
			if _, err := fmt.Sscanf(at, "%g,%g,%g", &v.X, &v.Y, &v.Z); err != nil {
				t.Fatal(r, err)
			}
			places[r["mark"]] = v
		}
	}
	return places
}

// Each reading on the puppets follows from the first day's lamps and the places
// that the table names, with the meter faced as it says; the screen behind is the
// level that the walk over the cloth gives there.
func TestStageFollowsFromTheLamps(t *testing.T) {
	s, h := predicted(t, "lamps.csv"), &held{t: t}
	places := marksOf(t)
	for _, f := range s.Fixtures {
		places[f.Name] = f.At
	}
	_, rows := fileNamed(t, "ratio.csv")
	moon := r3.Vec{X: 2.65, Y: 1.5, Z: 2.6}
	for _, r := range rows {
		what := r["mark"] + " " + r["role"]
		mark := places[r["mark"]]
		toward := func(lamp string) r3.Vec { return r3.Unit(r3.Sub(places[lamp], mark)) }
		behind := r3.Vec{X: mark.X, Y: mark.Y}
		aim, want := "camera", 0.0
		switch r["role"] {
		case "key", "fill":
			want = from(s, mark, camera, r["lamp"])
		case "back":
			aim, want = "lamp", from(s, mark, toward(r["lamp"]), r["lamp"])
		case "key+fill":
			normal := camera
			if r["mark"] == wrongAim {
				aim, normal = "key", toward("key frame")
			}
			want = from(s, mark, normal, "key frame", "fill panel")
		case "screen":
			want = from(s, behind, camera)
		case "spill":
			aim, want = "screen", thrownBack(s, mark)
		case "background":
			h.level(what, r["L (cd/m²)"], from(s, moon, camera)*moonReflectance/math.Pi)
		}
		if want > 0 {
			h.level(what, r["E (lx)"], want)
		}
		if r["aim"] != aim {
			t.Errorf("%s: aimed at the %s, want %s", what, r["aim"], aim)
		}
		if r["lamp"] != "" {
			h.color(what, r, colorsOf(t)[r["lamp"]])
			if d := r3.Norm(r3.Sub(places[r["lamp"]], mark)); math.Abs(r.number(t, "distance (m)")-d) > 0.0051 {
				t.Errorf("%s: at %s m, it stands %.3f m away", what, r["distance (m)"], d)
			}
		}
		if walked := walkedAt(t, behind); r["role"] == "screen" && math.Abs(photometry.Stops(r.number(t, "E (lx)"), walked)) > 0.1 {
			t.Errorf("%s: %s lx, the walk over the cloth gives %.0f there", what, r["E (lx)"], walked)
		}
	}
	h.scatters("ratio.csv")
}

// walkedAt is the level of the first day's walk at a place of the cloth, warm: the
// mean of the readings within 45 cm.
func walkedAt(t *testing.T, at r3.Vec) float64 {
	t.Helper()
	_, rows := fileNamed(t, "cloth.csv")
	n, sum := 0.0, 0.0
	for i, r := range rows {
		if r["label"] != entryError && math.Hypot(r.number(t, "x (m)")-at.X, r.number(t, "y (m)")-at.Y) < 0.45 {
			n++
			sum += r.number(t, "E (lx)") / math.Exp2(coldStops+warming*float64(i)/3)
		}
	}
	return sum / n
}

// thrownBack is what the cloth throws onto a mark from the light of its own lamps,
// with what these give there past their flags: small Lambertian pieces of cloth,
// dE = L·cosθ₁·cosθ₂·dA/d², L = ρE/π.
func thrownBack(s *plan.Scene, mark r3.Vec) float64 {
	const columns, rows, width, height = 48, 24, 4.8, 2.4
	sum := from(s, mark, r3.Vec{Z: -1}, clothLamps...)
	for i := range columns {
		for j := range rows {
			at := r3.Vec{X: (float64(i) + 0.5) * width / columns, Y: (float64(j) + 0.5) * height / rows}
			d := r3.Norm(r3.Sub(mark, at))
			cosine := mark.Z / d
			sum += from(s, at, camera, clothLamps...) * clothReflectance / math.Pi * cosine * cosine * width * height / (columns * rows) / (d * d)
		}
	}
	return sum
}

// onAxis is what a lamp gives alone on its axis at a distance, facing it.
func onAxis(t *testing.T, s *plan.Scene, lamp string, meters float64) float64 {
	t.Helper()
	for _, f := range s.Fixtures {
		if f.Name == lamp {
			return from(s, r3.Add(f.At, r3.Scale(meters, f.Aim)), r3.Scale(-1, f.Aim), lamp)
		}
	}
	t.Fatalf("no lamp %q", lamp)
	return 0
}

// The distance series and the check of the meter follow from the lamps that they
// name, read on the axis; the meter was turned by the angles and its own cosine
// response.
func TestSeriesFollowFromTheLamps(t *testing.T) {
	s, h := predicted(t, "lamps.csv"), &held{t: t}
	notes, rows := fileNamed(t, "key-frame.csv")
	for _, r := range rows {
		h.level("key frame at "+r["distance (m)"], r["E (lx)"], onAxis(t, s, notes["lamp"], r.number(t, "distance (m)")))
	}
	notes, rows = fileNamed(t, "meter.csv")
	facing := onAxis(t, s, notes["lamp"], 2.5)
	for _, r := range rows {
		want := facing
		if r["angle (deg)"] != "" {
			want *= math.Pow(math.Cos((r.number(t, "angle (deg)")-tilted)*math.Pi/180), cosinePower)
		}
		if r["ND"] != "" {
			want *= math.Exp2(-r.number(t, "ND") / 0.3)
		}
		h.level("meter "+r["label"]+" "+r["angle (deg)"]+r["ND"], r["E (lx)"], want)
	}
	h.scatters("key-frame.csv and meter.csv")
}

// Each gel on a lamp is in the bag under the same name; the one that the second
// day lacks colored its lamp and took its light as the bag says.
func TestGelsAreInTheBag(t *testing.T) {
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	bag := map[string]colorimetry.Gel{}
	for _, f := range files {
		if f.Name == "gels.csv" {
			gels, err := setup.ReadGels(bytes.NewReader(f.Content), f.Name)
			if err != nil {
				t.Fatal(err)
			}
			for _, g := range gels.Gels {
				bag[g.Name] = g
			}
		}
	}
	read := func(file string) []setup.Lamp {
		content, err := scene.ReadFile("scene/" + file)
		if err != nil {
			t.Fatal(err)
		}
		lamps, err := setup.ReadLamps(bytes.NewReader(content), file)
		if err != nil {
			t.Fatal(err)
		}
		return lamps.Rows
	}
	first, second := read("lamps.csv"), read("lamps-day2.csv")
	lost := 0
	for i, l := range first {
		gel, ok := bag[l.Gel]
		if l.Gel != "" && !ok {
			t.Errorf("%s carries %q, which is not in the bag", l.Name, l.Gel)
		}
		bare := second[i]
		if bare.Name != l.Name || bare.Gel == l.Gel {
			continue
		}
		lost++
		if *gel.Transmittance != 0.84 || math.Abs(l.Flux.At/bare.Flux.At / *gel.Transmittance - 1) > 0.005 {
			t.Errorf("%s: %g lm with the gel, %g without, it passes %g", l.Name, l.Flux.At, bare.Flux.At, *gel.Transmittance)
		}
		model, err := colorimetry.ModelOf(colorimetry.CCT{Kelvin: float64(bare.CCT), Duv: *bare.Duv})
		if err != nil {
			t.Fatal(err)
		}
		filter, err := gel.Filter()
		if err != nil {
			t.Fatal(err)
		}
		through, err := filter.Through(model.Spectrum)
		if err != nil {
			t.Fatal(err)
		}
		got, err := through.XY.CCT()
		if err != nil || math.Abs(got.Kelvin-float64(l.CCT)) > 5 || math.Abs(got.Duv-*l.Duv) > 0.0001 {
			t.Errorf("%s: bare light through the gel is %v (%v), the table has %g K, Duv %+.4f", l.Name, got, err, float64(l.CCT), *l.Duv)
		}
	}
	if lost != 1 {
		t.Errorf("%d gels lost by the second day, want one", lost)
	}
}

// Dates are those of the readings: all of the first day but the second walk.
func TestDates(t *testing.T) {
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	const first, second = "2026-03-04", "2026-03-05"
	dated := 0
	for _, f := range files {
		want := first
		if f.Name == "cloth-day2.csv" {
			want = second
		}
		for line := range strings.Lines(string(f.Content)) {
			if _, date, ok := strings.Cut(strings.Replace(line, "date,", "# date: ", 1), "# date: "); ok {
				dated++
				if !strings.HasPrefix(date, want) {
					t.Errorf("%s: %s, want %s", f.Name, strings.TrimSpace(line), want)
				}
			}
		}
	}
	if dated != 9 {
		t.Errorf("%d files are dated", dated)
	}
}

// The ratio table teaches: one mark off its target, and one sum off its parts
// because the meter faced another way.
func TestOneMarkIsOff(t *testing.T) {
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if f.Name != "ratio.csv" {
			continue
		}
		read, err := setup.RatioOptions{}.Read(bytes.NewReader(f.Content), f.Name)
		if err != nil || len(read.Warnings) > 0 {
			t.Fatal(err, read)
		}
		result, err := ratio.Analyze(read.Input)
		if err != nil {
			t.Fatal(err)
		}
		verdicts, off := "", ""
		for _, m := range result.Marks {
			verdicts += m.Verdict + " "
			for _, s := range m.Sums {
				if !*s.OK {
					off += m.Label
				}
			}
		}
		if verdicts != "pass fail pass " || off != wrongAim {
			t.Errorf("%s, sum off at %q", verdicts, off)
		}
	}
}
