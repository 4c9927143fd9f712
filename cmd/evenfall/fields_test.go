package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"evenfall/falloff"
	"evenfall/falloff/balance"
	"evenfall/falloff/plan"
	"evenfall/falloff/screen"
	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/match"
	"evenfall/photometry/ratio"
	"evenfall/plots/answers"
	"evenfall/plots/report"
)

// results are the structs that --json prints.
var results = []struct {
	command string
	value   any
}{
	{"surface", surfaceResult{}},
	{"convert", answers.Conversions{}},
	{"correct", answers.OneLight{}},
	{"correct table", answers.ManyLights{}},
	{"distance", falloff.Distance{}},
	{"meter", falloff.Meter{}},
	{"plan", plan.Result{}},
	{"balance", balance.Result{}},
	{"ratio", ratio.Result{}},
	{"match", match.Result{}},
	{"dimmer", dimmer.Result{}},
	{"screen", screen.Result{}},
	{"report", report.Report{}},
	{"selfcheck", answers.Selfcheck{}},
}

// units are told by the end of a field's name; the level fields are in the
// result's own unit.
var units = []struct{ ending, unit string }{
	{"_stops_per_m", "stop/m"}, {"stops_per_minute", "stop/min"}, {"_stops", "stop"}, {"stops", "stop"}, {"gap", "stop"}, {"percent", "%"},
	{"_cd", "cd"}, {"_cd_s", "cd·s"}, {"deg", "deg"},
	{"_hz", "Hz"}, {"cct_k", "K"}, {"_k", "K"}, {"mired", "mired"}, {"mired_shift", "mired"}, {"mired_interval", "mired"}, {"mired_to_right", "mired"}, {"mired_to_top", "mired"},
	{"_m", "m"}, {"_s", "s"}, {"lx", "lx"}, {"fc", "fc"}, {"lx_s", "lx·s"}, {"cd_per_m2", "cd/m²"},
}

var levelFields = []string{"min", "max", "mean", "median", "level", "before_level", "after_level", "today_level", "mark_level", "fitted", "ambient", "ambient_interval", "expected", "linearity_from", "linearity_to"}

var ratioLevels = []string{"key", "fill", "key_plus_fill", "level", "alone", "from_level", "to_level"}

func unitOf(path string) string {
	name := strings.TrimSuffix(path[strings.LastIndex(path, ".")+1:], "[]")
	command, _, _ := strings.Cut(path, ".")
	if slices.Contains([]string{"surface", "distance", "meter", "match", "report", "dimmer"}, command) && slices.Contains(levelFields, name) ||
		command == "ratio" && slices.Contains(ratioLevels, name) {
		return "in unit"
	}
	if name == "lx_s" {
		return "lx·s"
	}
	for _, u := range units {
		if name == u.ending || strings.HasSuffix(name, u.ending) {
			return u.unit
		}
	}
	return ""
}

// TestJSONFields holds every field that --json may print, with its type and
// unit, to a list that tools can rely on. A changed line there is a change to
// the outside.
func TestJSONFields(t *testing.T) {
	var lines []string
	for _, r := range results {
		describe(r.command, reflect.TypeOf(r.value), &lines)
	}
	got := strings.Join(lines, "\n") + "\n"
	golden := filepath.Join("testdata", "fields.txt")
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("fields changed; run with -update where that is meant:\n%s", got)
	}
}

// describe lists the fields of a type by path.
func describe(path string, t reflect.Type, lines *[]string) { describeField(path, t, "", lines) }

// unknown are the fields that a type leaves out of its JSON where they are not known.
var unknown = map[reflect.Type][]string{
	reflect.TypeFor[colorimetry.CCT]():   {"duv"},
	reflect.TypeFor[colorimetry.Stack](): {"duv", "miss_duv"},
}

func describeField(path string, t reflect.Type, absent string, lines *[]string) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t == reflect.TypeFor[falloff.Interval]() { // two ends, null where open
		describeField(path+"[]", reflect.TypeFor[float64](), absent, lines)
		return
	}
	if t == reflect.TypeFor[photometry.Remark]() { // its text alone
		t = reflect.TypeFor[string]()
	}
	if whole := wholeResult(t); whole != "" && (strings.HasPrefix(path, "report.") || strings.HasPrefix(path, whole+".")) {
		*lines = append(*lines, path+"  object, as "+whole+absent)
		return
	}
	switch t.Kind() {
	case reflect.Struct:
		if absent != "" {
			*lines = append(*lines, path+"  object"+absent)
		}
		for i := range t.NumField() {
			f := t.Field(i)
			name, rest, _ := strings.Cut(f.Tag.Get("json"), ",")
			if name == "-" || !f.IsExported() {
				continue
			}
			if f.Anonymous && name == "" {
				from := len(*lines)
				describe(path, f.Type, lines)
				for i := from; f.Type.Kind() == reflect.Pointer && i < len(*lines); i++ { // all of it or nothing
					(*lines)[i] = strings.TrimSuffix((*lines)[i], " (may be absent)") + " (may be absent)"
				}
				continue
			}
			optional := ""
			if strings.Contains(rest, "omit") || slices.Contains(unknown[t], name) {
				optional = " (may be absent)"
			}
			describeField(path+"."+name, f.Type, optional, lines)
		}
	case reflect.Slice, reflect.Array:
		describeField(path+"[]", t.Elem(), absent, lines)
	case reflect.Map:
		describeField(path+".NAME", t.Elem(), absent, lines)
	default:
		kind := map[reflect.Kind]string{reflect.String: "text", reflect.Bool: "true or false"}[t.Kind()]
		if kind == "" {
			kind = "number"
		}
		line := path + "  " + kind
		if unit := unitOf(path); unit != "" && kind == "number" {
			line += ", " + unit
		}
		*lines = append(*lines, line+absent)
	}
}

// wholeResult is the command whose result a type is, where it stands in another
// result too.
func wholeResult(t reflect.Type) string {
	for _, r := range results {
		if reflect.TypeOf(r.value) == t {
			return r.command
		}
	}
	return ""
}

// TestJSONHasOnlyListedFields runs the program and looks for fields that the
// list does not have.
func TestJSONHasOnlyListedFields(t *testing.T) {
	list, err := os.ReadFile(filepath.Join("testdata", "fields.txt"))
	if err != nil {
		t.Fatal(err)
	}
	known, as := map[string]bool{}, map[string]string{}
	for line := range strings.Lines(string(list)) {
		path, kind, _ := strings.Cut(strings.TrimSpace(line), "  ")
		path = strings.ReplaceAll(path, "[]", "")
		known[path] = true
		if _, whole, ok := strings.Cut(kind, ", as "); ok {
			as[path], _, _ = strings.Cut(whole, " (")
		}
	}
	folder := demoFolder(t)
	for command, args := range map[string][]string{
		"surface": {"surface", filepath.Join(folder, "cloth.csv"), "--json"},
		"convert": {"convert", "116fc", "f/8", "xy:0.31,0.33", "--json"},
		"correct": {"correct", "--cct", "3200", "--duv", "0.01", "--to", "5600", "--json"},
		"correct table": {"correct", filepath.Join(folder, "lamps.csv"), "--on", "lens", "--to", "5000K",
			"--camera", "A", "--cameras", filepath.Join(folder, "cameras.csv"), "--json"},
		"ratio":     {"ratio", filepath.Join(folder, "ratio.csv"), "--t-stop", "T4", "--transmittance", "80%", "--nd", "0.3", "--json"},
		"distance":  {"distance", filepath.Join(folder, "key-frame.csv"), "--mark", "1.2", "--level", "500lx", "--json"},
		"meter":     {"meter", filepath.Join(folder, "meter.csv"), "--json"},
		"match":     {"match", filepath.Join(folder, "cloth.csv"), filepath.Join(folder, "cloth-day2.csv"), "--lamp", filepath.Join(folder, "cloth-lamps.csv"), "--json"},
		"report":    {"report", folder, "--json"},
		"selfcheck": {"selfcheck", "--json"},
	} {
		out, _ := runIn(t, "", args...)
		var value any
		if err := json.Unmarshal([]byte(out), &value); err != nil {
			t.Fatalf("%s: %v\n%s", command, err, out)
		}
		walkFields(command, value, func(path string) {
			for part, whole := range as {
				if rest, ok := strings.CutPrefix(path, part+"."); ok {
					path = whole + "." + rest
				}
			}
			// A key of a map stands in the list as NAME.
			parts := strings.Split(path, ".")
			for i := range parts {
				named := slices.Clone(parts)
				named[i] = "NAME"
				if known[path] || known[strings.Join(named, ".")] {
					return
				}
			}
			t.Errorf("%s is not in the list", path)
		})
	}
}

func walkFields(path string, value any, leaf func(string)) {
	switch v := value.(type) {
	case map[string]any:
		for name, inner := range v {
			walkFields(path+"."+name, inner, leaf)
		}
	case []any:
		for _, inner := range v {
			walkFields(path, inner, leaf)
		}
	default:
		leaf(path)
	}
}

// runIn runs the program with some standard input and returns what it prints.
func runIn(t *testing.T, input string, args ...string) (string, int) {
	t.Helper()
	var out, problems strings.Builder
	a := app{stdin: strings.NewReader(input), stdout: &out, stderr: &problems, env: []string{"COLUMNS=80", "NO_COLOR=1", "LANG=C.UTF-8"}}
	status := a.run(args)
	if status == exitNothing {
		return fmt.Sprint(out.String(), problems.String()), status
	}
	return out.String(), status
}
