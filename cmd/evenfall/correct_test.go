package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"evenfall/photometry/colorimetry"
	"evenfall/plots/answers"
)

// correctJSON runs correct in an empty folder and returns its result for one
// light.
func correctJSON(t *testing.T, args ...string) answers.OneLight {
	t.Helper()
	t.Chdir(t.TempDir())
	out, status := runIn(t, "", append(append([]string{"correct"}, args...), "--json")...)
	var r answers.OneLight
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatalf("status %d: %v\n%s", status, err, out)
	}
	return r
}

// A light of 3,200 K that is green by 0.010 needs magenta and cooling, and each
// printed stack, hung before the model of that light, lands where it says.
func TestCorrectLandsWhereItSays(t *testing.T) {
	r := correctJSON(t, "--cct", "3200K", "--duv", "+0.010", "--to", "3200K")
	if r.Needs == nil || r.Needs.CCColor != "magenta" || !(r.Needs.Mired < -20) {
		t.Fatalf("needs %+v, want magenta and cooling", r.Needs)
	}
	m, err := colorimetry.ModelOf(colorimetry.CCT{Kelvin: 3200, Duv: 0.010})
	if err != nil {
		t.Fatal(err)
	}
	land := func(sheets ...*colorimetry.Filter) (colorimetry.CCT, float64) {
		t.Helper()
		through, err := colorimetry.Combine(sheets...).Through(m.Spectrum)
		if err != nil {
			t.Fatal(err)
		}
		light, err := through.XY.CCT()
		if err != nil {
			t.Fatal(err)
		}
		return light, through.LossStops
	}
	// The ideal pair lands on the target itself.
	light, _ := land(colorimetry.ConversionFilter(r.Needs.Mired), colorimetry.CCFilter(r.Needs.Filter()))
	if math.Abs(light.Kelvin-3200) > 0.01 || math.Abs(light.Duv) > 1e-6 {
		t.Errorf("the ideal filters land at %v", light)
	}
	if len(r.Stacks) < 3 || !r.Within || len(r.Stacks[0].Gels) != 2 {
		t.Fatalf("%+v", r.Stacks)
	}
	for _, s := range r.Stacks {
		var sheets []*colorimetry.Filter
		for _, name := range s.Gels {
			gel, ok := colorimetry.NominalGel(name)
			if !ok {
				t.Fatalf("gel %q is none of the nominal ones", name)
			}
			filter, err := gel.Filter()
			if err != nil {
				t.Fatal(err)
			}
			sheets = append(sheets, filter)
		}
		light, loss := land(sheets...)
		if miss := light.Mired() - colorimetry.Mired(3200); math.Abs(miss-s.MissMired) > 1e-6 || math.Abs(light.Duv-s.MissDuv) > 1e-9 || math.Abs(loss-s.LossStops) > 1e-9 {
			t.Errorf("%v lands %+.3f mired, %+.5f Duv off for %.3f stop; printed %+.3f, %+.5f, %.3f", s.Gels, miss, light.Duv, loss, s.MissMired, s.MissDuv, s.LossStops)
		}
	}
}

// The fields that tools rely on stand at the top for one light and in each lamp
// for a table.
func TestCorrectFieldsForTools(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("lamps.csv", []byte("lamp,CCT,Duv\na,5600,0.001\nb,3200,0.004\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	check := func(v map[string]any) {
		t.Helper()
		for _, name := range []string{"mired_shift", "duv_shift", "needs", "stacks"} {
			if _, ok := v[name]; !ok {
				t.Errorf("no field %s", name)
			}
		}
		needs := v["needs"].(map[string]any)
		for _, name := range []string{"mired", "cc"} {
			if _, ok := needs[name].(float64); !ok {
				t.Errorf("no number needs.%s", name)
			}
		}
		for _, s := range v["stacks"].([]any) {
			for _, name := range []string{"gels", "cct_k", "duv", "loss_stops", "miss_mired", "miss_duv"} {
				if _, ok := s.(map[string]any)[name]; !ok {
					t.Errorf("no field stacks[].%s", name)
				}
			}
		}
	}
	var one, many map[string]any
	out, _ := runIn(t, "", "correct", "--cct", "4300", "--duv", "0.006", "--to", "5600K", "--json")
	if err := json.Unmarshal([]byte(out), &one); err != nil {
		t.Fatal(err)
	}
	check(one)
	out, _ = runIn(t, "", "correct", "lamps.csv", "--to", "a", "--json")
	if err := json.Unmarshal([]byte(out), &many); err != nil {
		t.Fatal(err)
	}
	lamps := many["lamps"].([]any)
	if many["schema"] != "evenfall/correct/1" || len(lamps) != 2 {
		t.Fatalf("%v", many)
	}
	for _, l := range lamps {
		check(l.(map[string]any))
	}
}

// A workbook of lamps is a table like any other.
func TestCorrectReadsWorkbooks(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	book := excelize.NewFile()
	for cell, value := range map[string]any{"A1": "Lamp", "B1": "CCT (K)", "C1": "Duv", "D1": "Role",
		"A2": "key", "B2": 5600, "C2": 0.0008, "D2": "key", "A3": "side", "B3": 5560, "C3": 0.0062} {
		if err := book.SetCellValue("Sheet1", cell, value); err != nil {
			t.Fatal(err)
		}
	}
	if err := book.SaveAs(filepath.Join(folder, "lamps.xlsx")); err != nil {
		t.Fatal(err)
	}
	out, status := runIn(t, "", "correct", "lamps.xlsx", "--to", "key")
	if status != exitDone || !strings.Contains(out, "2 of 2 lamps within tolerance of 5600 K, Duv +0.0008") || !strings.Contains(out, "eighth minus green") {
		t.Errorf("status %d\n%s", status, out)
	}
	if err := book.SetCellValue("Sheet1", "B3", 150); err != nil {
		t.Fatal(err)
	}
	if err := book.SaveAs(filepath.Join(folder, "lamps.xlsx")); err != nil {
		t.Fatal(err)
	}
	out, status = runIn(t, "", "correct", "lamps.xlsx")
	if status != exitNothing || !strings.Contains(out, `lamps.xlsx[Sheet1]:3:2: found "150", expected a color temperature from 1,000 K to 25,000 K`) {
		t.Errorf("status %d\n%s", status, out)
	}
}

// Nothing is wider than the screen, down to the narrowest.
func TestCorrectFitsTheScreen(t *testing.T) {
	t.Chdir(demoFolder(t))
	if err := os.WriteFile("long.csv", []byte("name,mired,CC\na-sheet-of-gel-with-a-name-like-a-sentence,-60,\nandanother-one-just-as-long-as-the-first,,30M\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, width := range []string{"32", "40", "47", "48", "63", "64", "73", "74", "80", "120"} {
		for _, args := range [][]string{{"correct", "lamps.csv", "--to", "key", "--full"}, {"correct", "lamps.csv", "--to", "5000K", "--on", "lens"},
			{"correct", "--cct", "4300", "--duv", "0.02", "--to", "5600", "--gels", "nominal", "--full"}, {"correct", "--cct", "4300", "--duv", "0.02", "--to", "5600", "--gels", "long.csv"}} {
			var out, problems strings.Builder
			a := app{stdin: strings.NewReader(""), stdout: &out, stderr: &problems, env: []string{"COLUMNS=" + width, "NO_COLOR=1", "LANG=C.UTF-8"}}
			if a.run(args) == exitNothing {
				t.Fatal(problems.String())
			}
			limit := a.terminal().Width
			if args[len(args)-1] == "long.csv" && limit < 64 {
				continue // prose does not break words; a terminal does
			}
			for line := range strings.Lines(out.String()) {
				if n := len([]rune(strings.TrimRight(line, "\n"))); n > limit {
					t.Errorf("%s columns, %v: %d wide: %s", width, args, n, line)
				}
			}
		}
	}
}
