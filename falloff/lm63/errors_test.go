package lm63

import (
	"errors"
	"strings"
	"testing"
)

func TestErrors(t *testing.T) {
	change := func(old, new string) string {
		if !strings.Contains(small, old) {
			t.Fatalf("no %q to change", old)
		}
		return strings.Replace(small, old, new, 1)
	}
	counts := "a whole number from 1 to 10000"
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "lamp.ies: found an empty file, expected a file of the LM-63 standard"},
		{"blank", " \r\n\n", "lamp.ies: found an empty file, expected a file of the LM-63 standard"},
		{"table", "x,y,E (lx)\n0,0,100\n", "lamp.ies: found a table, such as CSV, expected a file of the LM-63 standard"},
		{"semicolons", "x;y;E\n0;0;100\n", "lamp.ies: found a table, such as CSV, expected a file of the LM-63 standard"},
		{"web page", "<!DOCTYPE html><p tilt=\"3\">", "lamp.ies: found a web page, expected a file of the LM-63 standard"},
		{"XML", "<?xml version=\"1.0\"?><a tilt=\"3\"/>", "lamp.ies: found an XML file, expected a file of the LM-63 standard"},
		{"JSON", "{\"tilt\": 3}", "lamp.ies: found a JSON file, expected a file of the LM-63 standard"},
		{"PDF", "%PDF-1.7\n", "lamp.ies: found a PDF document, expected a file of the LM-63 standard"},
		{"zip", "PK\x03\x04\x00\x00", "lamp.ies: found a zip archive or a workbook, expected a file of the LM-63 standard"},
		{"binary", "ab\x00\x01\x02", "lamp.ies: found binary data, expected a file of the LM-63 standard"},
		{"words", "a lamp\nof some kind\n", "lamp.ies: found text without a line TILT=, expected a file of the LM-63 standard"},
		{"header only", "IESNA:LM-63-2002\n[TEST] 1\n", "lamp.ies: found a header of LM-63 without a line TILT=, expected a file of the LM-63 standard"},
		{"EULUMDAT", "nobody\n1\n0\n24\n15\n" + strings.Repeat("5\n", 30), "lamp.ies: found a EULUMDAT file, the other format of luminaires, expected a file of the LM-63 standard"},
		{"nothing behind TILT", "IESNA91\nTILT=", `lamp.ies:2: found the end of the file, expected NONE, INCLUDE or the name of a tilt file behind TILT=`},
		{"quotes behind TILT", "TILT=''\n", `lamp.ies:1:6: found "''", expected NONE, INCLUDE or the name of a tilt file behind TILT=`},
		{"number behind TILT", change("NONE", ""), `lamp.ies:8:1: found "2", expected NONE, INCLUDE or the name of a tilt file behind TILT=`},
		{"word for a number", change("2 500 2 3", "2 five 2 3"), `lamp.ies:8:3: found "five", expected lumens per lamp, or -1 for absolute photometry`},
		{"infinite", change("2 500 2 3", "2 inf 2 3"), `lamp.ies:8:3: found "inf", expected lumens per lamp, or -1 for absolute photometry`},
		{"too large", change("100 80", "1e13 80"), `lamp.ies:12:1: found "1e13", expected a number, one of 6 candela values (3 vertical × 2 horizontal angles)`},
		{"negative lumens", change("2 500 2 3", "2 -2 2 3"), `lamp.ies:8:3: found "-2", expected lumens per lamp, or -1 for absolute photometry`},
		{"no lamps", change("2 500 2 3", "0 500 2 3"), `lamp.ies:8:1: found "0", expected the number of lamps, a whole number from 1`},
		{"multiplier", change("2 500 2 3", "2 500 0 3"), `lamp.ies:8:7: found "0", expected the multiplier, above 0`},
		{"ballast factor", change("0.9 1 35", "-0.9 1 35"), `lamp.ies:9:1: found "-0.9", expected the ballast factor, above 0`},
		{"ballast-lamp factor", change("0.9 1 35", "0.9 0 35"), `lamp.ies:9:5: found "0", expected the ballast-lamp photometric factor, above 0`},
		{"half an angle", change("2 3 2 1 2", "2 3.5 2 1 2"), `lamp.ies:8:9: found "3.5", expected the number of vertical angles, ` + counts},
		{"too many angles", change("2 3 2 1 2", "2 3 200000 1 2"), `lamp.ies:8:11: found "200000", expected the number of horizontal angles, ` + counts},
		{"too many values", change("2 3 2 1 2", "2 5000 5000 1 2"), `lamp.ies:8: found 5000 × 5000 angles, expected at most 4000000 intensities`},
		{"type", change("2 3 2 1 2", "2 3 2 4 2"), `lamp.ies:8:13: found "4", expected the photometric type, 1 (C), 2 (B) or 3 (A)`},
		{"unit", change("2 3 2 1 2", "2 3 2 1 3"), `lamp.ies:8:15: found "3", expected the unit, 1 (feet) or 2 (meters)`},
		{"one vertical angle", "TILT=NONE\n1 -1 1 1 1 1 2 0 0 0 1 1 0\n0\n0\n5\n", `lamp.ies:2: found one vertical angle, expected at least two`},
		{"vertical angles", change("0 45 90", "0 90 45"), `lamp.ies:10:6: found "45", expected a vertical angle above 90, as they ascend`},
		{"angle twice", change("0 45 90", "0 45 45"), `lamp.ies:10:6: found "45", expected a vertical angle above 45, as they ascend`},
		{"horizontal angles", change("\n0 90\n", "\n90 0\n"), `lamp.ies:11:4: found "0", expected a horizontal angle above 90, as they ascend`},
		{"beyond straight back", change("0 45 90", "0 45 181"), `lamp.ies:10:6: found "181", expected a last vertical angle up to 180 for type C`},
		{"before the aim", change("0 45 90", "-5 45 90"), `lamp.ies:10:1: found "-5", expected a first vertical angle from 0 to 90 for type C`},
		{"no symmetry", change("\n0 90\n", "\n0 70\n"), `lamp.ies:11: found horizontal angles from 0 to 70, expected 0 only, 0 to 90, 0 to 180, 90 to 270 or 0 to 360 for type C`},
		{"planes missing", change("\n0 90\n", "\n0 181\n"), `lamp.ies:11: found horizontal angles from 0 to 181, expected 0 only, 0 to 90, 0 to 180, 90 to 270 or 0 to 360 for type C`},
		{"type A, the same angles", change("2 3 2 1 2", "2 3 2 3 2"), ``},
		{"type B too wide", strings.Replace(change("2 3 2 1 2", "2 3 2 2 2"), "\n0 90\n", "\n-95 95\n", 1), `lamp.ies:11:1: found "-95", expected a horizontal angle from -90 for type B`},
		{"type A too high", strings.Replace(change("2 3 2 1 2", "2 3 2 3 2"), "0 45 90", "0 45 95", 1), `lamp.ies:10:6: found "95", expected a vertical angle up to 90 for type A`},
		{"type A, one plane", "TILT=NONE\n1 -1 1 2 1 3 2 0 0 0 1 1 0\n0 9\n0\n5 5\n", `lamp.ies:4: found one horizontal angle, expected at least two for type A`},
		{"too few values", change("100 60 0", "100 60"), "lamp.ies:14: found the end of the file after 5 candela values (3 vertical × 2 horizontal angles), expected 6 of them"},
		{"too few angles", "TILT=NONE\n1 -1 1 3 1 1 2 0 0 0 1 1 0\n0 9", "lamp.ies:3: found the end of the file after 2 vertical angles, expected 3 of them"},
		{"too few fields", "TILT=NONE\n1 -1 1 3 1 1 2 0 0", "lamp.ies:2: found the end of the file, expected the height of the luminous opening"},
		{"too many values", small + "7 7\n", `lamp.ies:14:1: found "7", expected the end of the file after 6 candela values (3 vertical × 2 horizontal angles); 2 more follow`},
		{"decimal commas", strings.Replace(small, "100 60 0", "100,5 60,2 0,1", 1), `lamp.ies:13:10: found "2", expected the end of the file after 6 candela values (3 vertical × 2 horizontal angles); 3 more follow (a comma separates numbers in this format, it is no decimal comma)`},
		{"negative", change("100 80 10", "100 -80 10"), `lamp.ies:12:5: found "-80", expected an intensity, zero or more (up to 1 % of the peak below it is taken for noise)`},
		{"dark", strings.NewReplacer("100 80 10", "0 0 0", "100 60 0", "0 0 0").Replace(small), `lamp.ies:13: found no candela value above 0, expected a luminaire that gives light`},
		{"several", strings.NewReplacer("2 500 2 3 2 1 2", "2 x -2 3 2 1 7", "80 10", "8O 1O").Replace(small), `lamp.ies:8:3: found "x", expected lumens per lamp, or -1 for absolute photometry
lamp.ies:8:5: found "-2", expected the multiplier, above 0
lamp.ies:8:14: found "7", expected the unit, 1 (feet) or 2 (meters)
lamp.ies:12:5: found "8O", expected a number, one of 6 candela values (3 vertical × 2 horizontal angles)
lamp.ies:12:8: found "1O", expected a number, one of 6 candela values (3 vertical × 2 horizontal angles)`},
	} {
		_, err := Read(strings.NewReader(c.text), "lamp.ies", Options{})
		if c.want == "" {
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		if err == nil || err.Error() != c.want {
			t.Errorf("%s:\n got %v\nwant %s", c.name, err, c.want)
			continue
		}
		var one *Error
		if !errors.As(err, &one) || one.File != "lamp.ies" || one.Found == "" || one.Expected == "" {
			t.Errorf("%s: fields %+v", c.name, one)
		}
	}
}

// A column counts characters, not bytes.
func TestErrorColumn(t *testing.T) {
	_, err := Read(strings.NewReader("Größe\nTILT=NONE\n1 -1\u00a0\u00a0x"), "f", Options{})
	var all Errors
	if !errors.As(err, &all) || all[len(all)-1].Line != 3 || all[len(all)-1].Column != 7 {
		t.Errorf("got %v", err)
	}
}

func TestWarnings(t *testing.T) {
	even := func(_, _ float64) float64 { return 100 }
	s := func(v, h []float64, kind Type, f func(h, v float64) float64) string {
		s := plain(v, h, f)
		s.kind = kind
		return s.text()
	}
	c := []float64{0, 90}
	for name, w := range map[string]struct {
		text string
		want []string
	}{
		"trailing words":     {small + "END of file 7\n", []string{"trailing_text"}},
		"trailing end mark":  {small + "\x1a\x00\x00", []string{"trailing_text"}},
		"noise":              {strings.Replace(small, "100 60 0", "100 60 -0.9", 1), []string{"negative_candela"}},
		"TILT inside":        {strings.Replace(small, "TILT=NONE", "[LAMP] x TILT=NONE", 1), []string{"tilt_inline"}},
		"no lumens":          {strings.Replace(small, "2 500 2", "2 0 2", 1), []string{"no_lamp_lumens"}},
		"more than its lamp": {strings.Replace(small, "2 500 2", "2 50 2", 1), []string{"over_lamp_lumens"}},
		"watts":              {strings.Replace(small, "0.9 1 35", "0.9 1 -35", 1), []string{"no_watts"}},
		"opening":            {strings.Replace(small, "0.1 0.4 0\n", "0.1 0.4 -1\n", 1), []string{"opening"}},
		"plane at 45":        {s(c, []float64{45}, TypeC, even), []string{"axial_plane"}},
		"open planes":        {s(c, steps(0, 350, 10), TypeC, even), []string{"planes_joined"}},
		"planes from −180":   {s(c, steps(-180, 180, 10), TypeC, even), []string{"odd_angles"}},
		"negative half":      {s([]float64{-90, 90}, []float64{-90, 0}, TypeB, even), []string{"odd_angles"}},
		"seam":               {s([]float64{90, 135, 170}, steps(0, 360, 90), TypeC, func(h, _ float64) float64 { return 100 - h/60 }), []string{"seam", "cut_off"}},
		"pole":               {s([]float64{0, 90}, steps(0, 90, 45), TypeC, func(h, _ float64) float64 { return 100 - h/10 }), []string{"pole"}},
		"cut off":            {s([]float64{0, 20, 40}, []float64{0}, TypeC, even), []string{"cut_off"}},
		"cut off all round":  {s([]float64{-20, 20}, []float64{-10, 20}, TypeA, even), []string{"cut_off", "cut_off", "cut_off", "cut_off"}},
		"not cut off":        {s([]float64{0, 20, 40}, []float64{0}, TypeC, func(_, v float64) float64 { return 40 - v }), nil},
	} {
		d, err := Read(strings.NewReader(w.text), "lamp.ies", Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		t.Run(name, func(t *testing.T) { wantWarnings(t, d, w.want...) })
		for _, one := range d.Warnings {
			if one.File != "lamp.ies" || !strings.HasPrefix(one.String(), "lamp.ies:") || one.Text == "" {
				t.Errorf("%s: %+v", name, one)
			}
		}
	}
	if d := readString(t, strings.Replace(small, "100 60 0", "100 60 -0.9", 1)); d.grid.cd[5] != 0 {
		t.Errorf("noise became %v", d.grid.cd[5])
	}
}
