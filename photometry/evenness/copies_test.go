package evenness

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// nine are nine readings whose spread of 0.44 stops is not settled at 2 % for each.
var nine = [][]any{{"label", "x (m)", "y (m)", "lux", "note"},
	{"A1", 0, 0, 500, "bright"}, {"A2", 1.5, 0, 520}, {"A3", 3, 0, 540}, {"B1", 0, 1, 560}, {"B2", 1.5, 1, 580},
	{"B3", 3, 1, 600}, {"C1", 0, 2, 610}, {"C2", 1.5, 2, 640}, {"C3", 3, 2, 678}}

// text writes rows as text with a delimiter and a decimal sign.
func text(rows [][]any, delimiter, decimal string) string {
	var b strings.Builder
	for _, row := range rows {
		for i, cell := range row {
			if i > 0 {
				b.WriteString(delimiter)
			}
			b.WriteString(strings.Replace(fmt.Sprint(cell), ".", decimal, 1))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// inFootcandles writes rows with footcandles of so many decimals in place of lux.
func inFootcandles(rows [][]any, decimals int) string {
	out := [][]any{{"label", "x (m)", "y (m)", "E (fc)"}}
	for _, row := range rows[1:] {
		out = append(out, append(slices.Clone(row[:3]), strconv.FormatFloat(float64(row[3].(int))/photometry.LuxPerFootcandle, 'f', decimals, 64)))
	}
	return text(out, ",", ".")
}

// pastedInFootcandles writes rows in footcandles of one decimal with their unit in the
// cell, as a block that is converted has it.
func pastedInFootcandles(rows [][]any) string {
	var out [][]any
	for _, row := range rows {
		fc := strconv.FormatFloat(float64(row[3].(int))/photometry.LuxPerFootcandle, 'f', 1, 64) + " fc"
		out = append(out, append(slices.Clone(row[:3]), fc))
	}
	return text(out, ",", ".")
}

func workbook(t *testing.T, rows [][]any) string {
	f := excelize.NewFile()
	for i, row := range rows {
		at, _ := excelize.CoordinatesToCellName(1, i+1)
		if err := f.SetSheetRow("Sheet1", at, &row); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func inUTF16(text string) string {
	out := []byte{0xff, 0xfe}
	for _, c := range utf16.Encode([]rune(text)) {
		out = append(out, byte(c), byte(c>>8))
	}
	return string(out)
}

// readAll judges files; each is a name and its content in turn.
func readAll(t *testing.T, files ...string) *Result {
	t.Helper()
	var inputs []survey.Input
	for i := 0; i < len(files); i += 2 {
		inputs = append(inputs, survey.Input{Name: files[i], Reader: strings.NewReader(files[i+1])})
	}
	s, err := survey.Read(inputs, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func finds(r *Result, code string) bool {
	return slices.ContainsFunc(r.Warnings, func(f photometry.Finding) bool { return f.Code == code })
}

// A copy of the readings, in whatever form, makes no verdict surer: what one file
// leaves unsure stays so.
func TestCopiesSettleNothing(t *testing.T) {
	plain := text(nine, ",", ".")
	alone := readAll(t, "cloth.csv", plain)
	if alone.Verdict.Evenness != uncertainty.Unsure {
		t.Fatalf("the file alone is %s, want unsure: the copies would prove nothing", alone.Verdict.Evenness)
	}
	body := text(nine[1:], ",", ".")
	var inLux []string
	for _, row := range nine[1:] {
		inLux = append(inLux, fmt.Sprintf(",%d", row[3]), fmt.Sprintf(",%d lx", row[3]))
	}
	backward := slices.Clone(nine[1:])
	slices.Reverse(backward)
	for name, files := range map[string][]string{
		"saved twice":      {"cloth.csv", plain, "cloth (1).csv", plain},
		"thrice":           {"cloth.csv", plain, "cloth (1).csv", plain, "cloth (2).csv", plain},
		"other delimiter":  {"cloth.csv", plain, "cloth2.csv", text(nine, ";", ",")},
		"other encoding":   {"cloth.csv", plain, "cloth2.csv", inUTF16(text(nine, "\t", "."))},
		"other line ends":  {"cloth.csv", plain, "cloth2.csv", "\ufeff" + strings.ReplaceAll(plain, "\n", "\r\n")},
		"workbook":         {"cloth.csv", plain, "cloth.xlsx", workbook(t, nine)},
		"another order":    {"cloth.csv", plain, "cloth2.csv", text(append(slices.Clone(nine[:1]), backward...), ",", ".")},
		"pasted again":     {"cloth.csv", plain + body},
		"pasted twice":     {"cloth.csv", plain + body + body},
		"pasted shuffled":  {"cloth.csv", plain + text([][]any{nine[4], nine[9], nine[1], nine[7], nine[2], nine[6], nine[3], nine[8], nine[5]}, ",", ".")},
		"five pasted":      {"cloth.csv", plain + text(nine[3:8], ",", ".")},
		"in footcandles":   {"cloth.csv", plain, "cloth fc.csv", inFootcandles(nine, 1)},
		"pasted in fc":     {"cloth.csv", plain + pastedInFootcandles(nine[1:])},
		"six in fc first":  {"cloth.csv", text(nine[:1], ",", ".") + pastedInFootcandles(nine[2:8]) + body},
		"each in its unit": {"cloth.csv", strings.Replace(text(nine[:1], ",", "."), "lux", "E", 1) + strings.NewReplacer(inLux...).Replace(body) + pastedInFootcandles(nine[2:8])},
		"to the fc, first": {"cloth.csv", plain, "cloth fc.csv", inFootcandles(nine[:8], 2)},
		"five of a backup": {"cloth.csv", plain, "backup.csv", text(append(slices.Clone(nine[:1]), nine[2:7]...), ",", ".")},
	} {
		r := readAll(t, files...)
		if r.Verdict.Evenness != alone.Verdict.Evenness || *r.Evenness.SpreadInterval != *alone.Evenness.SpreadInterval || r.Survey.ReadingCount != alone.Survey.ReadingCount {
			t.Errorf("%s: %s, %d readings, %v; want %s, %d, %v", name, r.Verdict.Evenness, r.Survey.ReadingCount, r.Evenness.SpreadInterval,
				alone.Verdict.Evenness, alone.Survey.ReadingCount, alone.Evenness.SpreadInterval)
		}
		if !finds(r, "copied_file") && !finds(r, "copied_rows") && !finds(r, "copied_in_unit") {
			t.Errorf("%s: said nothing of it: %v", name, r.Warnings)
		}
	}
}

// Readings taken again count: others, at other times, with remarks of their own, or
// few that a coarse display shows alike.
func TestReadingsTakenAgainCount(t *testing.T) {
	plain := text(nine, ",", ".")
	times := slices.Clone(nine)
	for i := range times {
		times[i] = append(slices.Clone(times[i][:4]), fmt.Sprintf("10:%02d", i))
	}
	times[0][4] = "time"
	later := strings.ReplaceAll(text(times[1:], ",", "."), "10:", "11:")
	walks := slices.Clone(nine)
	for i := range walks {
		walks[i] = append(slices.Clone(walks[i][:4]), "first walk")
	}
	walks[0][4] = "remark"
	for name, files := range map[string][]string{
		"in fc again":  {"cloth.csv", plain, "again.csv", strings.Replace(inFootcandles(nine, 1), "53.9", "54.2", 1)},
		"four in fc":   {"cloth.csv", plain, "again.csv", inFootcandles(nine[:5], 1)},
		"walked in fc": {"cloth.csv", plain + strings.Replace(pastedInFootcandles(nine[1:7]), "53.9", "54.2", 1)},
		"four fc":      {"cloth.csv", plain + pastedInFootcandles(nine[1:5])},
		"others":       {"cloth.csv", plain, "again.csv", strings.Replace(plain, "580", "582", 1) + "C3,3,2,679\n"},
		"other times":  {"cloth.csv", text(times, ",", ".") + later},
		"remarks":      {"cloth.csv", text(walks, ",", ".") + strings.ReplaceAll(text(walks[1:], ",", "."), "first", "second")},
		"four alike":   {"cloth.csv", plain + text(nine[1:5], ",", ".")},
	} {
		r := readAll(t, files...)
		if r.Survey.ReadingCount == 9 || finds(r, "copied_in_unit") || finds(r, "copied_file") || finds(r, "copied_rows") && name != "others" {
			t.Errorf("%s: %d readings, %v", name, r.Survey.ReadingCount, r.Warnings)
		}
	}
}

// However well readings repeat, they are known no better than the display shows them:
// the interval of a pair at a step q is at least that of rounding, q/√12 each.
func TestRepeatsNoBetterThanTheDisplay(t *testing.T) {
	for _, c := range []struct {
		header string
		levels []string
		step   float64 // stops at the darkest reading
	}{
		{"lux", []string{"20", "21", "22", "24", "25"}, math.Log2(21.0 / 20)},
		{"lux", []string{"2000", "2100", "2200", "2400", "2501"}, math.Log2(2001.0 / 2000)},
		{"E (fc)", []string{"2.0", "2.1", "2.2", "2.4", "2.5"}, math.Log2(2.1 / 2)},
		{"EV", []string{"8.0", "8.3", "8.5", "8.1", "8.2"}, 0.1},
		{"EV", []string{"8 1/3", "8", "8 2/3", "8 1/3", "8"}, 1.0 / 3},
	} {
		var b strings.Builder
		fmt.Fprintf(&b, "x (m),y (m),%s,time\n", c.header)
		for again := range 4 {
			for i, level := range c.levels {
				if again == 3 && i == 0 {
					level = c.levels[1] // agreement to the digit alone would not be believed
				}
				fmt.Fprintf(&b, "%d,0,%s,1%d:0%d\n", i, level, again, i)
			}
		}
		r := readAll(t, "cloth.csv", b.String())
		least := c.step / math.Sqrt(12)
		if r.Survey.ReadingCount != 20 || r.Noise.Stops < least*(1-1e-9) {
			t.Errorf("%s %v: %.5f stops by %d readings, want at least %.5f by 20", c.header, c.levels, r.Noise.Stops, r.Survey.ReadingCount, least)
		}
	}
}
