package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// zeroIsAFigure are the fields that may be exactly 0 in JSON, by the end of their path:
// counts, coordinates, the light's own zero, ends of intervals, and levels or differences
// that were read so. All others stand for figures that do not exist where they are 0.
var zeroIsAFigure = []string{
	".missing", ".paired_by.label", ".paired_by.position", ".paired_by.max_distance_m",
	".x_m", ".y_m", ".x0_m", ".y0_m", ".x1_m", ".y1_m",
	"interval_stops", ".color.mired_interval", ".color.duv_interval", ".intervals.ambient", ".intervals.inverse_square_from_m", ".intervals.source_radius_m",
	".ambient", ".offset_m", ".source_radius_m", ".inverse_square_from_m", // a point without ambient light
	".points.deviation_percent", ".points.deviation_stops", // equal readings of a meter
	".residual_stops", ".rms_stops", ".inverse_square_stops", // two readings that a law runs through
	".marks.areas.level", ".marks.fill", // a light that is off
	".marks.areas.stops", ".exposure.loss_stops", ".flicker.change_stops",
	".share_percent", ".pan_deg", ".tilt_deg", // a lamp that gives nothing itself, or looks straight on
	".trims.lamp.percent", ".trims.lamp.stops", ".bound_stops", // a lamp that is off, or as it is
	".offset_stops", ".pattern_stops", ".pattern_rms_stops", ".stops", // two days that agree
	".spread_stops", ".above_mean_stops", ".below_mean_stops", ".cv_percent", // equal readings
}

// No command says 0 in JSON for a figure that does not exist: over the demo, and over
// inputs that have next to nothing.
func TestNoFigureThatDoesNotExist(t *testing.T) {
	folder := demoFolder(t)
	for name, text := range map[string]string{
		"two.csv":    "lux\n500\n510\n",
		"fine.csv":   "lux\n500.123\n510.4567\n499.5\n",
		"same.csv":   "label,lux\nA1,500\nA2,500\nA3,500\n",
		"again.csv":  "label,lux\nA1,500\nA2,505\nA3,500\n",
		"unlit.csv":  "x (m),y (m),lux\n0,0,500\n1,0,510\n2,0,0\n",
		"kelvin.csv": "x (m),y (m),lux,CCT\n0,0,500,5600\n1,0,510,5600\n2,0,505,5600\n",
		"near.csv":   "distance (m),lux\n1,500\n2,125\n",
		"far.csv":    "distance (m),lux\n1,500\n2,125\n3,55\n",
		"off.csv":    "mark,light,lux\nA,key,500\nA,fill,0\n",
		"key.csv":    "mark,light,lux\nA,key,500\n",
		"pair.csv":   "lamp,x (m),y (m),lux\na,0,0,500\na,1,0,400\nb,0,0,300\nb,1,0,420\n",
		"drift.csv":  "# reference: A\nlabel,x (m),y (m),time (min),lux\nA,0,0,0,500\nB,1,0,2,505\nA,0,0,4,640\n",
		"stuck.csv":  "lux\n742\n742\n742\n742\n742\n742\n",
		"over.csv":   "label,lux\nA1,500\nA2,>2000\nA3,510\n",
	} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(folder)
	for _, line := range []string{
		"surface cloth.csv", "surface cloth-day2.csv", "balance cloth.csv cloth-lamps.csv", "match cloth.csv cloth-day2.csv --lamp cloth-lamps.csv", "ratio ratio.csv", "distance key-frame.csv",
		"surface two.csv", "surface fine.csv", "surface same.csv", "surface unlit.csv", "surface kelvin.csv", "surface drift.csv", "surface over.csv", "match same.csv again.csv", "match kelvin.csv unlit.csv",
		"distance near.csv", "distance far.csv", "ratio off.csv", "ratio key.csv", "balance pair.csv", "plan lamps.csv --size 4.8x2.4", "meter stuck.csv",
	} {
		text, status := runIn(t, "", append(strings.Fields(line), "--json")...)
		var v any
		if err := json.Unmarshal([]byte(text), &v); err != nil {
			t.Errorf("%s: status %d, %v:\n%s", line, status, err, text)
			continue
		}
		eachZero("", v, func(path string) {
			for _, end := range zeroIsAFigure {
				if strings.HasSuffix(path, end) {
					return
				}
			}
			t.Errorf("%s: %s is 0", line, path)
		})
	}
}

// eachZero calls f with the path of every number that is 0; any lamp of the trims is
// "lamp" there.
func eachZero(path string, v any, f func(path string)) {
	switch v := v.(type) {
	case map[string]any:
		for name, inner := range v {
			if strings.HasSuffix(path, ".trims") {
				name = "lamp"
			}
			eachZero(path+"."+name, inner, f)
		}
	case []any:
		for _, inner := range v {
			eachZero(path, inner, f)
		}
	case float64:
		if v == 0 {
			f(path)
		}
	}
}
