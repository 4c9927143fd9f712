package evenness

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// cloth is a surface for tests: 9 × 5 levels in lx with a hot right side, a
// patch of spill at the upper right and one reading typed in footcandles.
type cloth struct {
	columns, rows int
	width, height float64
	level         func(column, rowFromTop int) float64
}

func greenCloth() cloth {
	return cloth{9, 5, 4.5, 2.5, func(c, r int) float64 {
		x, y := 4.5*(float64(c)+0.5)/9, 2.5*(4.5-float64(r))/5
		e := 1200 * math.Exp2(0.1*(x-2.25)-0.04*(x-2.25)*(x-2.25)+0.02*y)
		e += 500 * math.Exp(-((x-3.75)*(x-3.75)+(y-1.75)*(y-1.75))/0.35)
		e *= 1 + 0.008*math.Sin(float64(17*r+29*c))
		if r == 3 && c == 2 {
			e /= photometry.LuxPerFootcandle
		}
		// Levels in steps that print exactly both in lx and, below, in fc.
		return math.Round(e*4) / 4
	}}
}

const clothNotes = "# surface: cloth\n# for: screen\n# width: 4.5\n# height: 2.5\n# reference: C5\n# area: 0.5,0.5,4,2\n"

func (c cloth) place(column, row int) (x, y float64) {
	return spatial.GridPosition(column, row, c.columns, c.rows, c.width, c.height, false)
}

func (c cloth) each(f func(column, row int, label string, x, y, level float64)) {
	for r := range c.rows {
		for col := range c.columns {
			x, y := c.place(col, r)
			f(col, r, spatial.GridLabel(col, r), x, y, c.level(col, r))
		}
	}
}

func full(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func (c cloth) points(notes, header string, row func(label string, x, y, level float64) string) string {
	var b strings.Builder
	b.WriteString(notes + header + "\n")
	c.each(func(_, _ int, label string, x, y, level float64) { b.WriteString(row(label, x, y, level) + "\n") })
	return b.String()
}

func (c cloth) grid(notes, delimiter string, number func(float64) string) string {
	var b strings.Builder
	b.WriteString(notes + "lx")
	for col := range c.columns {
		x, _ := c.place(col, 0)
		b.WriteString(delimiter + number(x))
	}
	b.WriteString("\n")
	for r := range c.rows {
		_, y := c.place(0, r)
		b.WriteString(number(y))
		for col := range c.columns {
			b.WriteString(delimiter + number(c.level(col, r)))
		}
		b.WriteString("\n")
	}
	return b.String()
}

func utf16WithMark(text string) []byte {
	out := []byte{0xff, 0xfe}
	for _, unit := range utf16.Encode([]rune(text)) {
		out = binary.LittleEndian.AppendUint16(out, unit)
	}
	return out
}

func (c cloth) workbook(t *testing.T) []byte {
	t.Helper()
	f := excelize.NewFile()
	row := 1
	set := func(column int, v any) {
		cell, _ := excelize.CoordinatesToCellName(column, row)
		if err := f.SetCellValue("Sheet1", cell, v); err != nil {
			t.Fatal(err)
		}
	}
	for line := range strings.Lines(clothNotes) {
		set(1, strings.TrimSpace(line))
		row++
	}
	for i, h := range []string{"label", "x (m)", "y (m)", "E (lx)"} {
		set(i+1, h)
	}
	c.each(func(_, _ int, label string, x, y, level float64) {
		row++
		set(1, label)
		set(2, x)
		set(3, y)
		set(4, level)
	})
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The same readings give the same JSON whatever they are written as.
func TestFormsAgree(t *testing.T) {
	c := greenCloth()
	comma := func(v float64) string { return strings.Replace(full(v), ".", ",", 1) }
	points := c.points(clothNotes, "x (m),y (m),E (lx)", func(_ string, x, y, e float64) string {
		return full(x) + "," + full(y) + "," + full(e)
	})
	forms := map[string][]byte{
		"points in fc": []byte(c.points(clothNotes, "Label,X [m],Y [m],E (fc)", func(l string, x, y, e float64) string {
			return l + "," + full(x) + "," + full(y) + "," + full(photometry.Footcandles(e))
		})),
		"cells with their own unit": []byte(c.points(clothNotes, "x_cm,y_cm,lux", func(_ string, x, y, e float64) string {
			return full(x*100) + "," + full(y*100) + "," + full(photometry.Footcandles(e)) + " fc"
		})),
		"grid, semicolons, decimal commas": []byte(c.grid(strings.ReplaceAll(clothNotes, "4.5", "4,5"), ";", comma)),
		"grid, tabs":                       []byte(c.grid(clothNotes, "\t", full)),
		"labels with width and height":     []byte(c.points(clothNotes, "label,lux", func(l string, _, _, e float64) string { return l + "," + full(e) })),
		"UTF-16 with a byte-order mark":    utf16WithMark(strings.ReplaceAll(points, "\n", "\r\n")),
		"spreadsheet padding":              []byte(strings.ReplaceAll(strings.ReplaceAll(points, "\n", ",,\r\n"), "# area: 0.5,0.5,4,2,,", "\"# area: 0.5,0.5,4,2\",,")),
		".xlsx":                            c.workbook(t),
	}
	want := resultJSON(t, []byte(points))
	for name, content := range forms {
		t.Run(name, func(t *testing.T) {
			got := resultJSON(t, content)
			dropLines(want)
			dropLines(got)
			if diff := cmp.Diff(want, got, cmp.Comparer(func(a, b float64) bool {
				return math.Abs(a-b) <= 1e-9*math.Max(1, math.Max(math.Abs(a), math.Abs(b)))
			})); diff != "" {
				t.Errorf("differs from points in lux (-want +got):\n%s", diff)
			}
		})
	}
	// The error is named, the patch of spill is not.
	suspects := want["suspects"].([]any)
	if len(suspects) != 1 || suspects[0].(map[string]any)["label"] != "D3" {
		t.Errorf("suspects %v, want D3 alone", suspects)
	}
}

func dropLines(r map[string]any) {
	for _, s := range r["suspects"].([]any) {
		delete(s.(map[string]any), "line")
		delete(s.(map[string]any), "found")
	}
}

func resultJSON(t *testing.T, content []byte) map[string]any {
	t.Helper()
	r := judged(t, bytes.NewReader(content))
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func judged(t *testing.T, content io.Reader) *Result {
	t.Helper()
	s, err := survey.Read([]survey.Input{{Name: "cloth", Reader: content}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Judge(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// explainedSheet is judged with causes and what to change.
func explainedSheet(t *testing.T, content string) *Result {
	t.Helper()
	r, err := Analyze(judged(t, strings.NewReader(content)).Survey)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestGridsJoinByPosition(t *testing.T) {
	c := greenCloth()
	lx := c.grid(clothNotes, ",", full)
	warm := c
	warm.level = func(column, row int) float64 { return c.level(column, row) + 3000 }
	k := strings.Replace(warm.grid("", ",", full), "lx", "K", 1)
	s, err := survey.Read([]survey.Input{{Name: "k.csv", Reader: strings.NewReader(k)}, {Name: "lx.csv", Reader: strings.NewReader(lx)}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if s.Len() != 45 || !s.HasColor() || s.DuvRead {
		t.Fatalf("%d points, color %v, Duv %v", s.Len(), s.HasColor(), s.DuvRead)
	}
	smaller := "K,0.25,0.75\n0.25,3000,3000\n0.75,3000,3000\n"
	if _, err = survey.Read([]survey.Input{{Name: "lx.csv", Reader: strings.NewReader(lx)}, {Name: "k.csv", Reader: strings.NewReader(smaller)}}, survey.ReadOptions{}); err == nil ||
		!strings.Contains(err.Error(), "2 × 2 places, expected the 9 × 5 places of lx.csv") {
		t.Errorf("grids of two sizes: %v", err)
	}
}

func ExampleAnalyze() {
	sheet := "# width: 3\n# height: 1\n# grid: 3x1\nlabel,E (lx)\nA1,1000\nA2,1200\nA3,1100\n"
	s, err := survey.Read([]survey.Input{{Name: "table.csv", Reader: strings.NewReader(sheet)}}, survey.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	r, _ := Analyze(s)
	fmt.Printf("%.2f stop, %s\n", r.Evenness.SpreadStops, r.Verdict.Evenness)
	// Output: 0.26 stop, pass
}
