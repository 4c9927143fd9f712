package main

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
)

// placeTables are the tables of places in a report as one line of words: a place, then the
// figures that hold of it, "" for one that is not compared.
var placeTables = []struct {
	face    string
	pattern *regexp.Regexp
	figures []string
}{
	{"readings of the day", placeRow(`[0-9.]+ [0-9.]+ N S [0-9]{4} [+−]?0\.[0-9]{4}`), []string{"level", "stops"}},
	{"readings of the day before", placeRow(`[0-9.]+ [0-9.]+ [0-9.]+ N S [0-9]{4} [+−]?0\.[0-9]{4}`), []string{"before", "stops before"}},
	{"places of both days", placeRow(`N lx N lx S S`), []string{"before", "level", "change", "pattern"}},
}

// placeRow is a row with its place, N for a level and S for a figure in stops.
func placeRow(pattern string) *regexp.Regexp {
	return regexp.MustCompile(`\b([A-E][1-9]) ` + strings.NewReplacer("N", `([0-9]+(?:\.[0-9]+)?)`, "S", `([+−]?[0-9]\.[0-9]{2})`).Replace(pattern) + ` `)
}

// pointKeys are the fields of a point of two days with the quantities that they are of.
var pointKeys = map[string]string{"after_level": "level", "before_level": "before", "stops": "change", "pattern_stops": "pattern", "duv_shift": "Duv shift", "mired_shift": "mired shift"}

// placeFacts are the quantities of each place by JSON: the levels of two days, each in
// stops from its reference C5, and their change.
func placeFacts(r map[string]any) facts {
	f := facts{}
	match := r["surfaces"].([]any)[0].(map[string]any)["before"].(map[string]any)["match"].(map[string]any)
	for _, p := range match["points"].([]any) {
		p := p.(map[string]any)
		for key, quantity := range pointKeys {
			f[quantity+" at "+p["label"].(string)] = p[key].(float64)
		}
	}
	for _, p := range r["surfaces"].([]any)[0].(map[string]any)["readings"].([]any) { // of all places, compared or not
		if p := p.(map[string]any); p["again"] == nil {
			f["level at "+p["label"].(string)] = p["level"].(float64)
		}
	}
	for quantity, level := range f {
		if label, ok := strings.CutPrefix(quantity, "level at "); ok {
			f["stops at "+label] = math.Log2(level / f["level at C5"])
		} else if label, ok := strings.CutPrefix(quantity, "before at "); ok {
			f["stops before at "+label] = math.Log2(level / f["before at C5"])
		}
	}
	return f
}

// readPlaces are the figures of the tables of places in a report, and of the map on a
// terminal.
func readPlaces(report, terminal string) (out []shownFigure) {
	add := func(face, quantity, label, text string) {
		if value, place, ok := figureOf(text); ok {
			out = append(out, shownFigure{face, quantity + " at " + label, text, value, place})
		}
	}
	for _, table := range placeTables {
		for _, row := range table.pattern.FindAllStringSubmatch(report, -1) {
			for k, quantity := range table.figures {
				add(table.face, quantity, row[1], row[2+k])
			}
		}
	}
	for _, row := range regexp.MustCompile(`(?m)^([A-E])[ |] .*$`).FindAllStringSubmatch(terminal, -1) {
		for column, text := range regexp.MustCompile(`[+−]?[0-9]\.[0-9]`).FindAllString(row[0], -1) {
			add("map on the terminal", "stops", fmt.Sprint(row[1], column+1), text)
		}
	}
	return out
}

// differingPoints are the figures of places in the JSON of the commands surface and match
// that are others than the report's; it counts those that were compared.
func differingPoints(surface, match map[string]any, f facts) (out []string, compared int) {
	compare := func(face, quantity string, point, value any) {
		label := point.(map[string]any)["label"].(string)
		got, ok := value.(float64)
		if want, known := f[quantity+" at "+label]; !ok || !known || math.Abs(got-want) > 1e-6*math.Abs(want)+1e-9 {
			out = append(out, fmt.Sprintf("%s: %s at %s is %v, in the report %v", face, quantity, label, value, want))
		}
		compared++
	}
	for _, p := range append(match["points"].([]any), match["worst"]) {
		for key, value := range p.(map[string]any) {
			if quantity := pointKeys[key]; quantity != "" {
				compare("JSON, match", quantity, p, value)
			}
		}
	}
	for _, part := range []string{"evenness", "area"} {
		for _, extreme := range []string{"brightest", "darkest"} {
			p := surface[part].(map[string]any)[extreme]
			compare("JSON, surface", "level", p, p.(map[string]any)["level"])
		}
	}
	compare("JSON, surface", "level", surface["reference"], surface["reference"].(map[string]any)["level"])
	return out, compared
}

// comparePlaces holds the tables of places and the maps of the demo, and the JSON of two
// commands, to the JSON of its report.
func comparePlaces(t *testing.T, r, surface, match map[string]any, report, terminal, pictures string) {
	t.Helper()
	f := placeFacts(r)
	differing, compared := differingPoints(surface, match, f)
	if len(differing) > 0 || compared < 270 { // six figures of 45 places
		t.Errorf("%d figures of places compared: %q", compared, differing)
	}
	read := readPlaces(plainText(report), terminal)
	count := map[string]int{}
	for _, s := range read {
		count[s.face]++
	}
	for _, text := range disagreements(read, f) {
		t.Error(text)
	}
	for face, least := range map[string]int{"readings of the day": 90, "readings of the day before": 80, "places of both days": 170, "map on the terminal": 45} {
		if count[face] < least {
			t.Errorf("%s: %d figures read, expected %d", face, count[face], least)
		}
	}
	// A figure on the map has no place beside it: as many of each as places have it.
	level := ""
	for _, picture := range svgs.FindAllString(pictures, -1) { // of several the one with most figures
		if strings.Contains(picture, "level, 2026-03-05, as read<") && len(picture) > len(level) {
			level = picture
		}
	}
	var left []float64
	for quantity, stops := range f {
		if strings.HasPrefix(quantity, "stops at ") {
			left = append(left, stops)
		}
	}
	drawn := 0
	for _, found := range regexp.MustCompile(`>([+−]?[0-9]\.[0-9])<`).FindAllStringSubmatch(level, -1) {
		value, place, _ := figureOf(found[1])
		drawn++
		at := -1
		for i, stops := range left {
			if math.Abs(stops-value) <= 0.505*place && (at < 0 || math.Abs(stops-value) < math.Abs(left[at]-value)) {
				at = i
			}
		}
		if at < 0 {
			t.Errorf("%s stands on the map more often than at places", found[1])
			continue
		}
		left = append(left[:at], left[at+1:]...)
	}
	if drawn < 10 {
		t.Errorf("%d figures on the map of levels: %.200q", drawn, level)
	}
	f["stops at B8"] += 0.11
	f["before at B2"] += 2
	f["pattern at E9"] *= 1.001
	f["level at B8"] += 0.01                                         // the brightest in shot
	if got, _ := differingPoints(surface, match, f); len(got) != 4 { // B8 among the places too
		t.Errorf("changed values in JSON are found %d times: %q", len(got), got)
	}
	if got := disagreements(read, f); len(got) != 4 { // B8 in a table and on the map, B2 in two tables
		t.Errorf("changed levels are found %d times: %q", len(got), got)
	}
	t.Logf("%v figures of places, %d on the map", count, drawn)
}
