package survey

import (
	"math"
	"strings"
	"testing"
	"time"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

func form(t *testing.T, text string) *Form {
	t.Helper()
	f, err := ReadForm(Input{Name: "cloth.csv", Reader: strings.NewReader(text)})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestReadForm(t *testing.T) {
	f := form(t, "# surface: cloth\n# width: 3 m\n# height: 1.5\n# reference: b2\n# iso: 800\nlabel,time,E (fc),lamp,gel\nA1,2026-03-04T12:00:00.250+01:00,70,,half\n\nB3,,,key,\n")
	if f.Title != "cloth" || f.Unit != photometry.FC || f.WidthM != 3 || f.HeightM != 1.5 || f.Reference != "b2" || f.GridColumns != 3 || f.GridRows != 2 ||
		f.Columns["level"] != 2 || f.Columns["lamp"] != 3 || f.Clock != table.Zoned {
		t.Errorf("%+v", f)
	}
	if _, known := f.Columns["gel"]; known {
		t.Error("an unknown column is known")
	}
	a, b := f.Rows[0], f.Rows[1]
	if a.Line != 7 || a.X != 0.5 || a.Y != 1.125 || math.Abs(a.Level-70/0.3048/0.3048) > 1e-9 || a.UnixMilli != time.Date(2026, 3, 4, 11, 0, 0, 250e6, time.UTC).UnixMilli() {
		t.Errorf("%+v", a)
	}
	if b.Line != 9 || b.Lamp != "key" || !math.IsNaN(b.Level) || b.UnixMilli != 0 || b.X != 2.5 || b.Y != 0.375 {
		t.Errorf("%+v", b)
	}
	f = form(t, "x (ft),y (ft),f\n10,5,8\n")
	if row := f.Rows[0]; row.Label != "(3.05, 1.52)" || f.GridColumns != 0 || f.Quantity != photometry.LuminousExposure {
		t.Errorf("%+v", f)
	}
	for text, want := range map[string]string{
		"lx,0.5,1.5\n1,700,710\n":               "a grid of numbers, expected a row a reading",
		"label,x,y\nA1,1,1\n":                   "no column of levels",
		"label,E (lx)\nA1,bright\n":             `2:2: found "bright"`,
		"label,E (lx),time\nA1,700,noon\n":      `2:3: found "noon"`,
		"# width: wide\nlabel,E (lx)\nA1,700\n": `found "wide"`,
		"":                                      "an empty file",
	} {
		if _, err := ReadForm(Input{Name: "cloth.csv", Reader: strings.NewReader(text)}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

func TestClocks(t *testing.T) {
	zone := time.FixedZone("", 5400)
	moment := time.Date(2026, 3, 4, 10, 5, 30, 7e6, zone).UnixMilli()
	for style, want := range map[table.ClockStyle]string{table.Zoned: "2026-03-04T10:05:30.007+01:30", table.Dated: "2026-03-04 10:05:30.007", table.TimeOfDay: "10:05:30.007"} {
		text := style.Format(moment, zone)
		if text != want {
			t.Errorf("style %d writes %q, want %q", style, text, want)
		}
		// A survey reads what a form writes, to the millisecond.
		read, _, ok := table.ParseClock(text)
		minutes := float64(read.UnixMilli()) / 60e3
		if got := math.Round((minutes - math.Floor(minutes)) * 60e3); !ok || got != 30_007 {
			t.Errorf("%q is read as %v, %v", text, minutes, ok)
		}
		f := form(t, "label,x,y,E (lx),time\nA1,1,1,700,"+text+"\n")
		if f.Clock != style {
			t.Errorf("%q: style %d, want %d", text, f.Clock, style)
		}
		if style == table.Zoned && f.Rows[0].UnixMilli != moment {
			t.Errorf("%q is %d, want %d", text, f.Rows[0].UnixMilli, moment)
		}
	}
	if f := form(t, "label,x,y,E (lx),time (min)\nA1,1,1,700,5\n"); f.Clock != table.PlainTime {
		t.Errorf("minutes are style %d", f.Clock)
	}
	if f := form(t, "label,x,y,E (lx),time\nA1,1,1,700,10:05\nA2,2,1,700,2026-03-04 10:05\n"); f.Clock != table.Mixed {
		t.Errorf("two styles are style %d", f.Clock)
	}
}

func TestReadLevel(t *testing.T) {
	const fc = 1 / (0.3048 * 0.3048)
	plain := "label,x,y,E (lx)\nA1,0.5,1,\n"
	comma := "label;x;y;E (lx)\nA1;0,5;1;742,5\n"
	for _, c := range []struct {
		form, text string
		alone      bool
		written    string
		level      float64 // 0 with an empty written: refused
	}{
		{plain, " 742 ", false, "742", 742},
		{plain, "742,5", false, "742.5", 742.5},
		{plain, "1,234", false, "", 0},
		{plain, "1.234", false, "1.234", 1.234},
		{plain, "1,25k", false, "1.25k", 1250},
		{plain, "116  fc", false, "116 fc", 116 * fc},
		{plain, "1.25 klx", false, "1.25 klx", 1250},
		{plain, "0", false, "", 0},
		{plain, "0", true, "0", 0},
		{plain, "-3", true, "", 0},
		{plain, "f/8", false, "", 0},
		{plain, "1e300", false, "", 0},
		{plain, "", false, "", 0},
		{plain, "=7", false, "", 0},
		{comma, "742.5", false, "742,5", 742.5},
		{comma, "742,5", false, "742,5", 742.5},
		{comma, "1.234", false, "", 0},
		{comma, "1.25k", false, "1,25k", 1250},
		{"label,x,y,f\nA1,0.5,1,\n", "5.6 7/10", false, "5.6 7/10", 250 * math.Exp2(5.0) * math.Exp2(0.7) / 100},
		{"label,x,y,E (klx)\nA1,0.5,1,\n", "1.2", false, "1.2", 1200},
		{"label,x,y,E (klx)\nA1,0.5,1,\n", "900 lx", false, "900 lx", 900},
	} {
		f := form(t, c.form)
		written, level, err := f.ReadLevel(c.text, c.alone)
		refused := c.written == ""
		if refused != (err != nil) || written != c.written || math.Abs(level-c.level) > 1e-9*c.level {
			t.Errorf("%q in %q: %q %v %v, want %q %v", c.text, c.form, written, level, err, c.written, c.level)
		}
		if err != nil && !strings.Contains(err.Error(), "expected") {
			t.Errorf("%q: %v", c.text, err)
		}
	}
}

func TestReadColor(t *testing.T) {
	f := form(t, "label,x,y,E (lx)\nA1,0.5,1,\n")
	for _, c := range []struct{ cct, duv, cc, want string }{
		{"5600 K", "", "", "5600||"},
		{"5600", "+0,003", "", "5600|0.003|"},
		{"3200", "", "has 2G", "3200||needs 2M"},
		{"", "", "", "||"},
		{"500", "", "", "error"},
		{"5600", "0.3", "", "error"},
		{"5600", "0.003", "needs 2M", "error"},
		{"5600", "", "2M", "error"},
		{"", "0.003", "", "error"},
		{"warm", "", "", "error"},
	} {
		cct, duv, cc, err := f.ReadColor(c.cct, c.duv, c.cc)
		got := cct + "|" + duv + "|" + cc
		if err != nil {
			got = "error"
		}
		if got != c.want {
			t.Errorf("%v: %s %v, want %s", c, got, err, c.want)
		}
	}
}
