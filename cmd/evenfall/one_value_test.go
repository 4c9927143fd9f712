package main

import (
	"encoding/json"
	"fmt"
	"html"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// shownFigure is a figure as a face shows it.
type shownFigure struct {
	face, quantity, text string
	value                float64
	place                float64 // of its last digit
}

// agrees reports whether a value rounds to the figure; a whole one that ends in zeros may
// have three digits.
func (s shownFigure) agrees(value float64) bool {
	place := s.place
	for place >= 1 && s.value >= 1000*place && math.Mod(s.value, 10*place) == 0 {
		place *= 10
	}
	return math.Abs(value-s.value) <= 0.505*place+1e-9
}

// figureOf reads a figure: 1,630, −0.26, 4.0, ≈448.
func figureOf(text string) (value, place float64, ok bool) {
	text = strings.TrimLeft(strings.NewReplacer(",", "", "\u2212", "-", "≈", "", "+", "").Replace(text), "±")
	value, err := strconv.ParseFloat(text, 64)
	_, decimals, _ := strings.Cut(text, ".")
	return value, math.Pow10(-len(decimals)), err == nil
}

// facts are the quantities of the demo with their values in JSON.
type facts map[string]float64

// number is a figure in a pattern.
const number = `([≈+\-−]?[0-9][0-9,]*(?:\.[0-9]+)?)`

// labelled are the quantities that faces name, as they name them. A first group that is
// named is part of the quantity's name.
var labelled = []struct {
	quantity string // %s is what the groups before the figure say
	pattern  *regexp.Regexp
}{
	{"spread in shot", regexp.MustCompile(`(?:in shot:? spread|FAIL Spread|Out of tolerance: spread) ` + number)},
	{"spread in shot", regexp.MustCompile(`Now fail, spread ` + number)},
	{"spread the day before", regexp.MustCompile(`\): fail, spread ` + number)},
	{"spread with the edge", regexp.MustCompile(`spread ` + number + ` stops with the edge`)},
	{"spread with the edge", regexp.MustCompile(`allowed, ` + number + ` with the edge`)},
	{"spread after the list", regexp.MustCompile(`(?:Spread then about|After the list) ` + number)},
	{"mean in shot", regexp.MustCompile(`in shot ` + number + ` lx`)},
	{"mean in shot", regexp.MustCompile(`Now fail, spread [0-9.]+ stop, mean ` + number)},
	{"mean the day before", regexp.MustCompile(`spread 0\.87 stop, mean ` + number)},
	{"brightest", regexp.MustCompile(`(?:▲ brightest|Brightest B8 at 4\.00, 1\.68 m:|brightest: B8, \+0\.74 stop,) ` + number + ` lx`)},
	{"darkest", regexp.MustCompile(`(?:▼ darkest|Darkest D2 at 0\.80, 0\.72 m:|darkest: D2, −0\.47 stop,) ` + number + ` lx`)},
	{"brightest, stops", regexp.MustCompile(`(?:▲ B8,|brightest: B8,|B8 at 4\.00, 1\.68 m: 1630 lx,) ` + number + ` stop`)},
	{"darkest, stops", regexp.MustCompile(`(?:▼ D2,|darkest: D2,|D2 at 0\.80, 0\.72 m: 708 lx,) ` + number + ` stop`)},
	{"reference", regexp.MustCompile(`stops (?:from|to) reference C5, ` + number + ` lx`)},
	{"within tolerance", regexp.MustCompile(`2026-03-05, as read; ` + number + ` % of the shot`)},
	{"within tolerance", regexp.MustCompile(`2026-03-05, as read ` + number + ` % of the shot`)},
	{"color, mired", regexp.MustCompile(`off by up to ` + number + ` mired`)},
	{"color, mired", regexp.MustCompile(`Color even: ` + number + ` mired`)},
	{"color, Duv", regexp.MustCompile(`Color even: [0-9]+ mired, ` + number + ` Duv`)},
	{"day before, whole", regexp.MustCompile(`(?:level with 2026-03-04,|Day before:) ` + number + ` stop`)},
	{"day before, whole", regexp.MustCompile(number + ` stop on the whole`)},
	{"day before, pattern", regexp.MustCompile(number + ` (?:stop from place to place|between places)`)},
	{"most gained", regexp.MustCompile(`(?:▲ D8,|most gained: D8,) ` + number + ` stop`)},
	{"most lost", regexp.MustCompile(`(?:▼ A2,|most lost: A2,) ` + number + ` stop`)},
	{"day before, Duv", regexp.MustCompile(`Day before: ` + number + ` Duv toward magenta`)},
	{"cloth left alone", regexp.MustCompile(`Read cloth left alone at B2: about ` + number)},
	{"cloth left alone", regexp.MustCompile(`625 lx at B2 5130 K −0\.0012 (?:today )?` + number + ` lx`)},
	{"cloth left alone", regexp.MustCompile(`cloth left alone, the others off, at B2: set it to 625 lx; today it gives about ` + number)},
	{"cloth right alone", regexp.MustCompile(`(?:401 lx at B8; today it gives about|B8: set it to 1222 lx; today it gives about|1222 lx at B8 5580 K \+0\.0061) ` + number)},
	{"cloth right to", regexp.MustCompile(`the others off, to ` + number + ` lx at B8`)},
	{"cloth %s, percent", regexp.MustCompile(`cloth (left|right) ` + number + ` % [0-9]+[–-][0-9]+`)},
	{"key, %s", regexp.MustCompile(`stage (center|left|right) ` + number + ` lx [0-9.]+ lx [0-9.]+:1`)},
	{"key, %s", regexp.MustCompile(`stage (center|left|right): key ` + number + ` lx`)},
	{"fill, %s", regexp.MustCompile(`stage (center|left|right) [0-9]+ lx ` + number + ` lx [0-9.]+:1`)},
	{"key to fill, %s", regexp.MustCompile(`stage (center|left|right) [0-9]+ lx [0-9.]+ lx ` + number + `:1`)},
	{"key to fill, left", regexp.MustCompile(`stage left, ratios: key to fill ` + number)},
	{"key to fill in stops, %s", regexp.MustCompile(`stage (center|left|right) [0-9]+ lx [0-9.]+ lx [0-9.]+:1 ` + number)},
	{"lighting ratio, %s", regexp.MustCompile(`stage (center|left|right) [0-9]+ lx [0-9.]+ lx [0-9.]+:1 [0-9.]+ ` + number + `:1`)},
	{"exposure, %s", regexp.MustCompile(`stage (center|left|right) [0-9]+ lx [0-9.]+ lx [0-9.]+:1 [0-9.]+ [0-9.]+:1 f/` + number)},
	{"exposure, %s", regexp.MustCompile(`stage (center|left|right), key plus fill (?:[0-9]+ lx: |[0-9]+ )f/` + number)},
	{"key plus fill, %s", regexp.MustCompile(`stage (center|left|right), key plus fill ` + number)},
	{"back, %s", regexp.MustCompile(`stage (center|left|right): back ` + number)},
	{"screen, %s", regexp.MustCompile(`stage (center|left|right): back [+−0-9.]+,(?: background [+−0-9.]+,)? screen ` + number)},
	{"spill, %s", regexp.MustCompile(`stage (center|left|right): back [+−0-9.]+,(?: background [+−0-9.]+,)? screen [+−0-9.]+, spill ` + number)},
	{"cloth %s by the plan", regexp.MustCompile(`cloth (left|right): ` + number + ` % of its plan`)},
	{"cloth %s by the plan", regexp.MustCompile(`Cloth (left|right) \(point\) .{0,190} read at ` + number + ` % of this plan`)},
	{"plan, rms", regexp.MustCompile(`readings within ` + number + ` stop rms`)},
	{"inverse square from", regexp.MustCompile(`Inverse square only from ` + number + ` m`)},
	{"intensity", regexp.MustCompile(`Intensity ` + number + ` cd`)},
	{"meter, f2", regexp.MustCompile(`f2 ` + number + ` % to 77°`)},
	{"meter, repeatability", regexp.MustCompile(`one reading repeats to ` + number + ` %; f2`)},
}

// readFigures are the labelled figures of a text.
func readFigures(face, text string) (out []shownFigure) {
	for _, l := range labelled {
		for _, found := range l.pattern.FindAllStringSubmatch(text, -1) {
			quantity := l.quantity
			if strings.Contains(quantity, "%s") {
				quantity = fmt.Sprintf(quantity, found[1])
			}
			value, place, ok := figureOf(found[len(found)-1])
			if !ok {
				continue
			}
			out = append(out, shownFigure{face, quantity, found[0], value, place})
		}
	}
	return out
}

// demoFacts are the quantities by their names, from the JSON of the report.
func demoFacts(r map[string]any) facts {
	at := func(path ...any) float64 {
		var v any = r
		for _, key := range path {
			switch key := key.(type) {
			case string:
				v = v.(map[string]any)[key]
			case int:
				v = v.([]any)[key]
			}
		}
		return v.(float64)
	}
	surface := func(path ...any) float64 { return at(append([]any{"surfaces", 0, "result"}, path...)...) }
	match := func(path ...any) float64 {
		return at(append([]any{"surfaces", 0, "before", "match"}, path...)...)
	}
	f := facts{
		"spread in shot": surface("area", "spread_stops"), "spread with the edge": surface("to_edge", "spread_stops"), "mean in shot": surface("area", "mean"),
		"brightest": surface("area", "brightest", "level"), "darkest": surface("area", "darkest", "level"), "reference": surface("reference", "level"),
		"within tolerance": surface("area", "within_percent"), "color, mired": surface("color", "max_mired_shift"), "color, Duv": surface("color", "max_duv_shift"),
		"spread after the list": at("to_do", "steps", 0, "after", "spread_stops"), "mean the day before": at("surfaces", 0, "before", "mean"), "spread the day before": at("surfaces", 0, "before", "spread_stops"),
		"cloth right alone": at("to_do", "steps", 0, "check", "today"), "cloth right to": at("to_do", "steps", 0, "check", "level"), "cloth left alone": at("to_do", "steps", 1, "check", "level"),
		"day before, whole": match("offset_stops"), "day before, pattern": match("pattern_stops"), "day before, Duv": -match("color", "worst_duv", "duv_shift"), "most lost": match("worst", "stops"),
		"plan, rms": at("plan", "score", "rms_stops"), "inverse square from": at("distances", 0, "result", "inverse_square_from_m"), "intensity": at("distances", 0, "result", "intensity_cd"),
		"meter, f2": at("meters", 0, "result", "f2_percent"), "meter, repeatability": at("meters", 0, "result", "repeatability_percent"),
		"cloth left, percent": match("lamps", "cloth left", "percent"), "cloth right, percent": match("lamps", "cloth right", "percent"),
		"cloth left by the plan": at("plan", "score", "lamps", 0, "percent"), "cloth right by the plan": at("plan", "score", "lamps", 1, "percent"),
	}
	f["brightest, stops"], f["darkest, stops"] = math.Log2(f["brightest"]/f["reference"]), math.Log2(f["darkest"]/f["reference"])
	for _, p := range r["surfaces"].([]any)[0].(map[string]any)["before"].(map[string]any)["match"].(map[string]any)["points"].([]any) {
		if p := p.(map[string]any); p["label"] == "D8" {
			f["most gained"] = p["stops"].(float64)
		}
	}
	for i, name := range []string{"center", "left", "right"} {
		mark := func(path ...any) float64 {
			return at(append([]any{"ratios", "result", "marks", i}, path...)...)
		}
		for quantity, key := range map[string]string{"key": "key", "fill": "fill", "key plus fill": "key_plus_fill", "key to fill": "key_to_fill", "key to fill in stops": "key_to_fill_stops",
			"lighting ratio": "lighting_ratio", "back": "back_stops", "screen": "screen_stops", "spill": "spill_stops"} {
			f[quantity+", "+name] = mark(key)
		}
		f["exposure, "+name] = mark("exposure", "f_number")
	}
	return f
}

// disagreements are the figures that say something else than the facts. An f-number is
// rounded in stops.
func disagreements(all []shownFigure, f facts) (out []string) {
	for _, s := range all {
		want, known := f[s.quantity]
		switch {
		case !known:
			out = append(out, fmt.Sprintf("%s: %q names %s, which JSON has not", s.face, s.text, s.quantity))
		case strings.HasPrefix(s.quantity, "exposure") && math.Abs(2*math.Log2(s.value/want)) < 0.06:
		case !s.agrees(want):
			out = append(out, fmt.Sprintf("%s: %q, where JSON has %.5g as %s", s.face, s.text, want, s.quantity))
		}
	}
	return out
}

var (
	tags   = regexp.MustCompile(`<(?:style|script)[^>]*>[\s\S]*?</(?:style|script)>|<[^>]*>`)
	svgs   = regexp.MustCompile(`<svg[\s\S]*?</svg>`)
	spaces = regexp.MustCompile(`[\s\x{a0}]+`)
)

// plainText is markup as one line of words.
func plainText(markup string) string {
	return strings.NewReplacer("\u2060", "", "\u2011", "-").Replace(spaces.ReplaceAllString(html.UnescapeString(tags.ReplaceAllString(markup, " ")), " "))
}

// TestOneValueOneFigure reads every quantity that has a name off each face of the demo,
// the terminal, the report, its pictures, the sheet on paper and the JSON of other
// commands, and holds them to each other.
func TestOneValueOneFigure(t *testing.T) {
	folder := demoFolder(t)
	of := func(name string) string { return filepath.Join(folder, name) }
	run := func(args ...string) string {
		out, status := runIn(t, "", args...)
		if status == exitNothing {
			t.Fatalf("%v: %s", args, out)
		}
		return out
	}
	var r map[string]any
	if err := json.Unmarshal([]byte(run("report", folder, "--json")), &r); err != nil {
		t.Fatal(err)
	}
	f := demoFacts(r)
	faces := map[string]string{
		"terminal, surface": run("surface", of("cloth-day2.csv"), "--full"), "terminal, ratio": run("ratio", of("ratio.csv"), "--full"),
		"terminal, match": run("match", of("cloth.csv"), of("cloth-day2.csv"), "--lamp", of("cloth-lamps.csv"), "--full"), "terminal, report": run("report", folder, "--out", of("report.html"), "--force"),
		"terminal, plan": run("plan", of("lamps.csv"), "--against", of("cloth-day2.csv")), "terminal, distance": run("distance", of("key-frame.csv")), "terminal, meter": run("meter", of("meter.csv")),
	}
	run("report", folder, "--sheet", "--out", of("sheet.svg"))
	for face, name := range map[string]string{"report": "report.html", "sheet on paper": "sheet.svg"} {
		content, err := os.ReadFile(of(name))
		if err != nil {
			t.Fatal(err)
		}
		faces["pictures of "+name] = strings.Join(svgs.FindAllString(string(content), -1), " ")
		if face == "report" {
			faces[face] = svgs.ReplaceAllString(string(content), " ")
		}
	}
	// The same quantities in the JSON of their own commands.
	own := map[string]map[string]any{}
	for face, command := range map[string]struct {
		args   []string
		values map[string][]string
	}{
		"JSON, surface": {[]string{"surface", of("cloth-day2.csv")}, map[string][]string{"spread in shot": {"area", "spread_stops"}, "mean in shot": {"area", "mean"}, "color, mired": {"color", "max_mired_shift"}, "reference": {"reference", "level"}}},
		"JSON, match":   {[]string{"match", of("cloth.csv"), of("cloth-day2.csv"), "--lamp", of("cloth-lamps.csv")}, map[string][]string{"day before, whole": {"offset_stops"}, "day before, pattern": {"pattern_stops"}, "most lost": {"worst", "stops"}}},
		"JSON, plan":    {[]string{"plan", of("lamps.csv"), "--against", of("cloth-day2.csv")}, map[string][]string{"plan, rms": {"score", "rms_stops"}}},
	} {
		var values map[string]any
		if err := json.Unmarshal([]byte(run(append(command.args, "--json")...)), &values); err != nil {
			t.Fatal(err)
		}
		own[face] = values
		for quantity, path := range command.values {
			var v any = values
			for _, key := range path {
				v = v.(map[string]any)[key]
			}
			if got := v.(float64); math.Abs(got-f[quantity]) > 1e-6*math.Abs(got) {
				t.Errorf("%s: %s is %v, in the report %v", face, quantity, got, f[quantity])
			}
		}
	}
	var all []shownFigure
	seen := map[string]map[string]bool{}
	for face, text := range faces {
		for _, s := range readFigures(face, plainText(text)) {
			all = append(all, s)
			if seen[s.quantity] == nil {
				seen[s.quantity] = map[string]bool{}
			}
			seen[s.quantity][face] = true
		}
	}
	for _, text := range disagreements(all, f) {
		t.Error(text)
	}
	var unseen []string
	several := 0
	for quantity := range f {
		if len(seen[quantity]) == 0 {
			unseen = append(unseen, quantity)
		} else if len(seen[quantity]) > 1 {
			several++
		}
	}
	if slices.Sort(unseen); len(unseen) > 0 {
		t.Errorf("no face names %v: does the test still read what is said?", unseen)
	}
	t.Logf("%d figures of %d quantities, %d of them on several faces", len(all), len(f), several)
	if len(all) < 150 || several < 40 {
		t.Errorf("%d figures, %d quantities on several faces", len(all), several)
	}
	comparePlaces(t, r, own["JSON, surface"], own["JSON, match"], faces["report"], faces["terminal, surface"], faces["pictures of report.html"])
	// A value that one face has otherwise is found.
	f["spread in shot"] += 0.02
	if got := disagreements(all, f); len(got) < 3 {
		t.Errorf("a changed spread is found %d times", len(got))
	}
}
