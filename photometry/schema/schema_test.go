package schema

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/table"
)

// No word means two things in one sort of file, every word is found, and each has
// its line of help.
func TestWords(t *testing.T) {
	for _, f := range AllFiles.Files() {
		for what, fields := range map[string][]table.Field{"note": NoteFields(f), "column": Fields(f)} {
			owner := map[string]string{}
			for i, field := range fields {
				for _, name := range append([]string{field.Name}, field.Aliases...) {
					if at, _, _ := table.Match(fields, name); at != i {
						t.Errorf("%s: the %s %q of %s is found as %s", f, what, name, field.Name, fields[at].Name)
					}
					key := strings.ToLower(name)
					if before, twice := owner[key]; twice {
						t.Errorf("%s: %q is the %s %s and %s", f, name, what, before, field.Name)
					}
					owner[key] = field.Name
				}
			}
		}
	}
	for _, n := range Notes {
		if w := n.Declaration(); w.Help == "" || w.Example == "" || w.In == 0 {
			t.Errorf("note %s: %+v", w.Name, w)
		}
	}
	for _, c := range Columns {
		if c.Help == "" || c.In == 0 {
			t.Errorf("column %s: %+v", c.Name, c.Word)
		}
	}
}

// listed are the words of a list in six languages that mean a column here, by the
// heading of the list; words that mean something else in a table of readings are
// told beside it.
var listed = []struct {
	column *Column
	words  string
}{
	{AnyLevel, "Ablesung aflezing Helligkeit lectura lecturas lettura letture level levels lichtsterkte livello luminosité measured measurement medida messung Messwert mesure meter metered meting misura niveau nivel reading readings valeur valor valore value values waarde Wert Werte"},
	{Illuminance, "Beleuchtungsstärke éclairement illuminamento illuminance illumination iluminación iluminancia verlichtingssterkte"},
	{Lux, "lux luxes lx"}, {Kilolux, "kilolux klx"}, {Foot, "candela-pie fc footcandle footcandles ftc"}, {EV, "Belichtungswert ev Lichtwert"},
	{FNumber, "apertura aperture Blende Blendenzahl diafragma diaphragme f fnumber fstop ouverture stop"}, {Relative, "rel relative"}, {PercentOf, "percent"},
	{Label, "case casella casilla cell emplacement endroit Feld label lieu location lugar luogo mark Marke meetpunt Messpunkt Messstelle name Ort plaats place places Platz plek point points posición positie position posizione Punkt punt punto puntos repère sitio spot square Stelle ubicación vak where"},
	{Distance, "Abstand afstand dist distance distancia distanza Entfernung"}, {X, "anchura Breedte Breite largeur larghezza width x"}, {Y, "altezza altura hauteur height high Höhe hoogte y"},
	{Time, "clock heure hora ora tijd time Uhrzeit Zeit"}, {CCT, "cct Farbtemperatur k kelvin"}, {Duv, "duv"}, {Mired, "mired"},
	{Comment, "Anmerkung Anmerkungen Bemerkung Bemerkungen by chi comment commentaire commento comments door nota notas note notes Notiz observación observaciones operator opmerking opmerkingen osservazioni par qui quien remark remarks remarque remarques wer who wie"},
}

func TestColumnsInSixLanguages(t *testing.T) {
	for _, l := range listed {
		for _, word := range strings.Fields(l.words) {
			for _, header := range []string{word, strings.ToUpper(word), " " + strings.ToLower(word) + " "} {
				if c, _, _ := Match(SurveyFile, header); c != l.column {
					t.Errorf("%q is %v, want %s", header, c, l.column.Name)
				}
			}
		}
	}
}

func TestLevelHeaders(t *testing.T) {
	for header, want := range map[string]struct {
		unit  photometry.Unit
		times float64
	}{
		"E (lx)": {photometry.LX, 1}, "E (lux)": {photometry.LX, 1}, "illuminance": {photometry.LX, 1}, "illuminance (lx)": {photometry.LX, 1}, "E_lx": {photometry.LX, 1},
		"E lx": {photometry.LX, 1}, "Illuminance [Lux]": {photometry.LX, 1}, "Messwert (lx)": {photometry.LX, 1}, "illuminance (footcandles)": {photometry.FC, 1},
		"E (klx)": {photometry.LX, 1000}, "klx": {photometry.LX, 1000}, "reading (f)": {photometry.FStop, 1}, "L (cd/m2)": {photometry.CDM2, 1}, "L": {photometry.CDM2, 1},
		"H (lx.s)": {photometry.LXS, 1}, "relative (%)": {photometry.Percent, 1}, "percent": {photometry.Percent, 1}, "EV": {photometry.EV, 1}, "Blende": {photometry.FStop, 1},
	} {
		c, unit, _ := Match(SurveyFile|RatioFile, header)
		if c == nil || !c.IsLevel() {
			t.Errorf("%q is %v", header, c)
			continue
		}
		if u, times, ok := c.LevelIn(unit); !ok || u != want.unit || times != want.times {
			t.Errorf("%q is in %v times %v (%v), want %+v", header, u, times, ok, want)
		}
	}
	for _, header := range []string{"E", "level", "reading", "E (m)", "illuminance (K)", "lux (fc)", "f (lx)", "L (lx)"} {
		if c, unit, _ := Match(SurveyFile, header); c != nil {
			if u, _, ok := c.LevelIn(unit); ok {
				t.Errorf("%q is in %v", header, u)
			}
		}
	}
}

func source(notes ...string) *Source {
	s := &Source{File: "f.csv", Dialect: table.Dialect{Decimal: '.'}}
	for i, n := range notes {
		key, value, _ := strings.Cut(n, ": ")
		s.Notes = append(s.Notes, table.Note{Key: key, Value: value, Line: i + 1, Column: 1})
	}
	return s
}

// What a value may be, one way for all files: source, this project's own rules.
func TestValues(t *testing.T) {
	v := Read(measured|surfaces|SetupFile, []*Source{source("iso: ISO 800", "frame rate: 24 fps", "shutter: 172,8°", "nd: ND 0.6", "filter factor: 2x", "mains: 50 Hz", "transmission: 80 %",
		"repeatability: 1.5 %", "resolution: 1/10 stop", "length unit: ft", "width: 480 cm", "height: 8", "area: 0,0,4 m,2 m", "reference: 1;2", "grid: edges, 9x5", "marks: half", "t-stop: T13",
		"color tolerance: ±5 mired, 0.002 Duv", "tolerance: ±1/4 stop", "background target: +1/2", "photo 1: a.jpg; b.jpg", "photo 2: c.jpg", "title: moth", "surface: moth")})
	if len(v.Errors)+len(v.Warnings) > 0 {
		t.Fatal(v.Errors, v.Warnings)
	}
	check := func(name string, got, want float64) {
		if math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
	for _, c := range []struct {
		n    *Note[float64]
		want float64
	}{{ISO, 800}, {FrameRate, 24}, {Shutter, 0.02}, {ND, 2}, {FilterFactor, 2}, {Mains, 50}, {Transmittance, 0.8}, {Repeatability, 0.015}, {Resolution, 0.1}, {Width, 4.8},
		{Height, 8 * 0.3048}, {TStop, math.Exp2(3.75)}, {Targets[ratio.BackgroundRole], 0.5}} {
		got, _ := Get(v, c.n)
		check(c.n.Name, got, c.want)
	}
	if a, _ := Get(v, Area); a != [4]float64{0, 0, 4, 2} {
		t.Errorf("area %v", a)
	}
	for width, want := range map[string]float64{"15.75 ft": 0.9144, "189 in": 0.0762, "15' 9\"": 0.9144, "480 cm": 3, "4.8 m": 3} {
		v := Read(SurveyFile, []*Source{{Notes: []table.Note{{Key: "area", Value: "0,0,3,3"}, {Key: "width", Value: width}}, Dialect: table.Dialect{Decimal: '.'}}})
		if a, _ := Get(v, Area); math.Abs(a[2]-want) > 1e-9 {
			t.Errorf("width %s: area to %v m, want %v", width, a[2], want)
		}
	}
	if r, _ := Get(v, ReferenceAt); r.At == nil || math.Abs(r.At[1]-0.6096) > 1e-12 {
		t.Errorf("reference %+v", r)
	}
	if g, _ := Get(v, GridOf); g != (Grid{9, 5, true}) {
		t.Errorf("grid %+v", g)
	}
	if c, _ := Get(v, ColorTolerant); c != (ColorTolerance{5, 0.002}) {
		t.Errorf("color tolerance %+v", c)
	}
	if names := All(v, Photos); strings.Join(names[0], " ")+" "+strings.Join(names[1], " ") != "a.jpg b.jpg c.jpg" {
		t.Errorf("photos %v", names)
	}
}

// A tolerance is in all, or with its sign on each side, in every file.
func TestTolerance(t *testing.T) {
	for text, want := range map[string]Tolerance{"0.5 stop": {0.5, false}, "1/2": {0.5, false}, "±1/4 stop": {0.25, true}, "+/- 0.25": {0.25, true}, "0,5": {0.5, false}} {
		got, err := Parse(Tolerant, text)
		if err != nil || got != want {
			t.Errorf("%q: %+v %v, want %+v", text, got, err, want)
		}
	}
	if (Tolerance{0.5, false}).Half() != (Tolerance{0.25, true}).Half() {
		t.Error("0.5 stop in all is not ±1/4 stop")
	}
}

// Each note that cannot be, and what its error says.
func TestErrors(t *testing.T) {
	for note, want := range map[string]string{
		"iso: 2e7": "an ISO speed", "iso: fast": `f.csv:1:1: found "fast", expected an ISO speed such as 800`, "iso: 0": "an ISO speed",
		"mains: 600 Hz": `found "600 Hz", expected the mains' frequency, 50 Hz or 60 Hz`, "mains: 5": "the mains' frequency",
		"nd: 8": "a neutral density", "nd: 25 stops": "a neutral density", "nd: dark": "a neutral density", "resolution: 0.1": "a resolution in stops", "resolution: 3 stops": "a resolution in stops",
		"repeatability: 2": "a repeatability over 0 in percent", "shutter: 1/1,000": "without a comma", "shutter: 180°": "a frame rate with a shutter angle", "shutter: 50": "1/50",
		"width: 0": "a width above zero", "width: 12 km": "a width", "width: 20000": "a width above zero", "area: 2,0,1,1": "x0 < x1", "tolerance: tight": "a tolerance in stops", "tolerance: 30 stops": "a tolerance in stops",
		"date: 20261-05-02": "a year of four digits", "date: 02.05.26": `found "02.05.26", expected a date with a year of four digits`, "date: 5/2/26": "a year of four digits", "date: 26-05-02": "a year of four digits",
		"date: 2 May 26": "a year of four digits", "date: May 2, '26": "a year of four digits", "date: 2. Mai 26, 10:15": "a year of four digits", "color tolerance: 5": "a color tolerance", "color tolerance: x mired": "a color tolerance", "t-stop: 0": "the stop that the lens is set to", "light: moon": "continuous or flash",
		"marks: fine": "third or half", "receptor: round": "flat or dome", "expose for: x": "the light to expose for", "length unit: ell": "a unit of length", "grid: 9": "edges, centers or a count",
		"transmittance: 80": "the lens's transmittance", "filter factor: 0.5": "a filter factor", "target: 1:1 lighting ratio": "a lighting ratio above 1:1", "back target: dark": "stops from the key",
	} {
		v := Read(measured|surfaces|SetupFile, []*Source{source(note)})
		if len(v.Errors) != 1 || !strings.Contains(v.Errors[0].Error(), want) {
			t.Errorf("%s: %v, want %s", note, v.Errors, want)
		}
	}
}

// A date stays as it was written, without a year too.
func TestDates(t *testing.T) {
	for _, text := range []string{"2026-05-02", "02.05.2026", "20260502", "2 May 2026", "May 2nd, 2026", "2026-05-02 10:15", "2 May", "March 26 10:15", "2. Mai 10:15", "02.05. 10:15", "day 2", "second night"} {
		v := Read(SurveyFile, []*Source{source("date: " + text)})
		if got, _ := Get(v, Date); got != text || len(v.Errors) > 0 {
			t.Errorf("%q: %q, %v", text, got, v.Errors)
		}
	}
}

// The same value again is no contradiction; another one names both places.
func TestRepeated(t *testing.T) {
	if v := Read(RatioFile, []*Source{source("iso: 800", "EI: ISO 800", "shutter: 0.5 s", "shutter: 1/2")}); len(v.Errors) > 0 {
		t.Error(v.Errors)
	}
	other := &Source{File: "g.csv", Notes: []table.Note{{Key: "width", Value: "5", Line: 7, Column: 1}, {Key: "surface", Value: "sky", Line: 8, Column: 1}}}
	v := Read(SurveyFile, []*Source{source("width: 4.8", "width: 480 cm", "width: 6", "surface: cloth"), other})
	if len(v.Errors) != 2 || v.Errors[0].Error() != `f.csv:3:1: found "6", expected width once, or the same again; line 1 says "4.8"` ||
		v.Errors[1].Error() != `g.csv:7:1: found "5", expected width once, or the same again; line 1 of f.csv says "4.8"` {
		t.Error(v.Errors)
	}
	if title, _ := Get(v, Title); title != "cloth" {
		t.Errorf("title %q", title)
	}
}

// A flag counts before the file, whose own note is then not looked at, and the file
// before setup.csv; an angle takes the frame rate that counts.
func TestRanks(t *testing.T) {
	setup := &Source{File: "setup.csv", Notes: []table.Note{{Key: "frame rate", Value: "25"}, {Key: "iso", Value: "200"}}}
	v := Read(RatioFile, []*Source{Flag("--iso", ISO, "800", "m")}, []*Source{source("iso: fast", "shutter: 180°")}, []*Source{setup})
	iso, _ := Get(v, ISO)
	shutter, _ := Get(v, Shutter)
	if len(v.Errors) > 0 || iso != 800 || shutter != 0.02 {
		t.Errorf("iso %v, shutter %v, %v", iso, shutter, v.Errors)
	}
	if file, text := v.From(ISO); file != "--iso" || text != "800" {
		t.Errorf("from %s %s", file, text)
	}
	v = Read(RatioFile, []*Source{Flag("--nd", ND, "dark", "m")})
	if len(v.Errors) != 1 || !strings.HasPrefix(v.Errors[0].Error(), `--nd: found "dark", expected a neutral density`) {
		t.Error(v.Errors)
	}
	// Plain lengths of a flag are in the unit of --length, whatever the file's are.
	v = Read(SurveyFile, []*Source{Flag("--width", Width, "2", "m")}, []*Source{source("length unit: ft", "height: 10")})
	width, _ := Get(v, Width)
	height, _ := Get(v, Height)
	if width != 2 || math.Abs(height-3.048) > 1e-12 {
		t.Errorf("%v × %v m", width, height)
	}
}

// A misspelled header is compared with what people call a color temperature.
func TestNearestColumn(t *testing.T) {
	for header, want := range map[string]string{"temprature": "CCT", "colour temprature": "CCT", "lable": "label"} {
		if c, _, nearest := Match(SurveyFile, header); c != nil || nearest != want {
			t.Errorf("%q: nearest is %q, want %q", header, nearest, want)
		}
	}
}

// Notes without a meaning are told with the nearest one; keys of setup.csv only
// where they look like a slip.
func TestUnknown(t *testing.T) {
	if v := Read(SurveyFile, []*Source{source("sutter: 1/50", "nd: 0.6")}); len(v.Warnings) != 2 || !strings.HasSuffix(v.Warnings[0].Text, "“sutter” is left out; the nearest known one is “shutter”") ||
		!strings.HasSuffix(v.Warnings[1].Text, "“nd” has no meaning here and is left out") {
		t.Error(v.Warnings)
	}
	v := Read(SetupFile, []*Source{source("weather: rain", "frmae rate: 25")})
	if len(v.Unknown) != 2 || len(v.Warnings) != 1 || !strings.Contains(v.Warnings[0].Text, "the nearest known key is “frame rate”") {
		t.Errorf("%v %v", v.Unknown, v.Warnings)
	}
}

func TestRoles(t *testing.T) {
	for text, want := range map[string]ratio.Role{"Key": "key", "fill light + KEY": "key+fill", "backdrop": "background"} {
		if got, err := ParseRole(text); err != nil || got != want {
			t.Errorf("%q: %q %v", text, got, err)
		}
	}
	for text, want := range map[string]string{"keey": "did you mean key?", "wobble": "a role: key, fill", "key+key": "each role once", "": "a role"} {
		if _, err := ParseRole(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
	for _, r := range ratio.Roles {
		if got, err := ParseRole(string(r)); err != nil || got != r {
			t.Errorf("%s: %s %v", r, got, err)
		}
	}
}

func ExampleRead() {
	file := &Source{File: "cloth.csv", Notes: []table.Note{{Key: "tolerance", Value: "0.5 stop", Line: 1, Column: 1}, {Key: "width", Value: "4.8", Line: 2, Column: 1}}}
	v := Read(SurveyFile, []*Source{Flag("--tolerance", Tolerant, "±1/4 stop", "m")}, []*Source{file})
	tolerance, _ := Get(v, Tolerant)
	width, _ := Get(v, Width)
	fmt.Printf("±%v stop on %v m\n", tolerance.Half(), width)
	// Output: ±0.25 stop on 4.8 m
}
