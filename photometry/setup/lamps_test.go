package setup

import (
	"bytes"
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// Every column of the table, each by its name with its unit in the header.
func TestReadLamps(t *testing.T) {
	in := "# floor y: -0.8\n# light: continuous\n" +
		"name,kind,x (m),y (m),z (m),aim x (m),aim y (m),aim z (m),flux (lm),intensity (cd),E (lx),at (m),beam (deg),source width (m),source height (m),stand height (m),pan (deg),tilt (deg),dimmer (%),CCT (K),Duv,behind,transmission (%),undiffused (%),lobe m,reflectance (%),material,rotate (deg),file,power (W),scrims,gel,note\n" +
		"key,point,1.5..3.0,2,3,1,1,0.5,9000,8000,1200,3,60,0.2,0.3,2.5,10,-5,80,5600,0.001,lamp,42,10,2,85,silk,45,k.ies,650,single,half straw,hot\n" +
		"Fill,Bounce,1,1,1,0,1,,,,,,,1,1,,,,,,,key,,,,80,,,,,,,\n"
	l, err := ReadLamps(strings.NewReader(in), "lamps.csv")
	if err != nil {
		t.Fatal(err)
	}
	power, duv := 650.0, 0.001
	want := Lamp{
		Name: "key", Kind: Point, X: between(1.5, 3), Y: Fixed(2), Z: Fixed(3), AimX: Fixed(1), AimY: Fixed(1), AimZ: Fixed(0.5),
		Flux: Fixed(9000), Intensity: Fixed(8000), E: Fixed(1200), At: Fixed(3), Beam: Fixed(60), Width: Fixed(0.2), Height: Fixed(0.3),
		StandHeight: Fixed(2.5), Pan: Fixed(10), Tilt: Fixed(-5), Dimmer: Fixed(80), CCT: 5600, Duv: &duv, Behind: "lamp",
		Transmission: Fixed(42), Undiffused: Fixed(10), Lobe: Fixed(2), Reflectance: Fixed(85), Material: "silk", Rotate: Fixed(45),
		File: "k.ies", Power: &power, Scrims: "single", Gel: "half straw", Note: "hot",
	}
	if diff := cmp.Diff(want, l.Rows[0]); diff != "" {
		t.Errorf("(want, got):\n%s", diff)
	}
	if l.Rows[1].Kind != Bounce || l.Rows[1].Behind != "key" || !l.Rows[1].Kind.Shapes() || l.Rows[0].Kind.Shapes() {
		t.Errorf("%+v", l.Rows[1])
	}
	note := func(of schema.Declared) string { return schema.Text(schema.LampsFile, l.Notes, of) }
	if note(schema.FloorY) != "-0.8" || note(schema.Continuous) != "continuous" || note(schema.ISO) != "" || len(l.Warnings) > 0 {
		t.Errorf("%+v %+v", l.Notes, l.Warnings)
	}
	if e := l.Error(1, "reflectance", "something"); e.Error() != `lamps.csv:5:26: found "80", expected something` {
		t.Error(e)
	}
}

// The same lamps in the dialects of spreadsheet programs and in other units.
func TestLampsInOtherDialects(t *testing.T) {
	want, err := ReadLamps(strings.NewReader("name,kind,x (m),y (m),z (m),flux,width,height,dimmer\na,panel,1.5..3,0.9144,2,1000.5,0.6,0.5,50..100\n"), "l.csv")
	if err != nil {
		t.Fatal(err)
	}
	for name, in := range map[string]string{
		"decimal commas":   "Name;Kind;x (m);y (m);z (m);flux (lm);source width (m);source height;dimmer (%)\r\na;Panel;1,5..3;0,9144;2;1000,5;0,6;0,5;50..100\r\n",
		"centimeters":      "name\tkind\tx (cm)\ty (ft)\tz [m]\tflux\twidth\theight\tdimmer\na\tpanel\t150..300\t3\t2\t1000.5\t60 cm\t50cm\t50 %..100 %\n",
		"units in cells":   "name,kind,x,y,z,flux,width,height,dim\na,panel,1.5..3,3 ft,200 cm,1000.5 lm,0.6 m,0.5,50..100\n",
		"underscores":      "name,kind,x_m,y_m,z_m,flux_lm,source_width,source_height,dimmer\na,panel,1.5..3,0.9144,2,1000.5,0.6,0.5,50..100\n",
		"blanks, a remark": "# a remark: yes\nname , kind , x , y , z , flux , width , height , dimmer\n\n a , panel , 1.5 .. 3 , 0.9144 , 2 , 1000.5 , 0.6 , 0.5 , 50..100\n",
	} {
		got, err := ReadLamps(strings.NewReader(in), "l.csv")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if diff := cmp.Diff(want.Rows, got.Rows, cmp.Comparer(func(a, b float64) bool { return a-b < 1e-12 && b-a < 1e-12 })); diff != "" {
			t.Errorf("%s (want, got):\n%s", name, diff)
		}
	}
}

func TestLampErrors(t *testing.T) {
	in := "name,kind,x,y,z,flux,beam,dimmer,transmission,tilt,width,CCT,Duv,power\n" +
		",point,1,1,2,1000,60,,,,,,,\n" +
		"a,softlight,1,1,2,1000,60,,,,,,,\n" +
		"b,,1,1,2,1000,60,,,,,,,\n" +
		"c,point,3..1,1,2,1000,60,,,,,,,\n" +
		"d,point,1,one,2,-5,180,,,,,,,\n" +
		"e,frame,1,1,2,,,101,-1,95,0,,,\n" +
		"A,point,1,1,2,1000,60,,,,,,,\n" +
		"a,point,1e6,1,2,1000,60,,,,,,,\n" +
		"f,point,1,1,2,1000,60,,,,,,0.01,\n" +
		"g,point,1,1,2,1000,60,,,,,900,,\n" +
		"h,point,1,1,2,1000,60,,,,,5600,0.3,\n" +
		"i,point,1,1,2,1000,60,,,,,,,-5\n" +
		"j,point,1,1,2,0..100,60,,,,,,,\n" +
		"k,point,1,1,2,1000,60,,,,,,,1e10\n"
	_, err := ReadLamps(strings.NewReader(in), "l.csv")
	want := `l.csv:2:1: found an empty cell, expected the lamp's name
l.csv:3:2: found "softlight", expected a kind of lamp: point, disc, panel, frame, bounce, flag, net, file; a fresnel, profile spot, flood or open face is a point, a soft source a panel or disc
l.csv:4:2: found an empty cell, expected a kind of lamp, such as point, disc, panel or frame
l.csv:5:3: found "3..1", expected a range with the lower end first: 1.5..3.0, not 3.0..1.5
l.csv:6:4: found "one", expected a number, or a range such as 1.5..3.0 with the lower end first
l.csv:6:6: found "-5", expected more than 0 lm, at most a billion
l.csv:6:7: found "180", expected more than 0 and less than 180 degrees, from half intensity to half intensity
l.csv:7:8: found "101", expected 0 to 100 %
l.csv:7:9: found "-1", expected 0 to 100 %
l.csv:7:10: found "95", expected degrees from -90 (down) to 90 (up)
l.csv:7:11: found "0", expected a width of more than 0
l.csv:8:1: found "A", expected each name once; it is on line 3 already
l.csv:9:1: found "a", expected each name once; it is on line 3 already
l.csv:9:3: found "1e6", expected a place within 10 km of the surface, in meters
l.csv:10:12: found an empty cell, expected the color temperature that the Duv belongs to
l.csv:11:12: found "900", expected a color temperature from 1,000 K to 25,000 K
l.csv:12:13: found "0.3", expected a Duv that light of this color temperature can have, at most 0.05 either way
l.csv:13:14: found "-5", expected 0 W or more, at most a billion
l.csv:14:6: found "0..100", expected more than 0 lm, at most a billion
l.csv:15:14: found "1e10", expected 0 W or more, at most a billion`
	if err == nil {
		t.Fatal("no error")
	}
	if diff := cmp.Diff(strings.Split(want, "\n"), strings.Split(err.Error(), "\n")); diff != "" {
		t.Errorf("errors (want, got):\n%s", diff)
	}
	var all table.Errors
	if !errors.As(err, &all) {
		t.Errorf("%T is not table.Errors", err)
	}
	for in, says := range map[string]string{
		"name,kind\n":        "found a table without rows, expected a row for each lamp",
		"name,gel\na,b\n":    "found no column “kind”",
		"kind,x\npoint,1\n":  "found no column “name”",
		"":                   "l.csv",
		"x (kg),name,kind\n": "in m, cm, mm, ft or in",
	} {
		if _, err := ReadLamps(strings.NewReader(in), "l.csv"); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v does not say %q", in, err, says)
		}
	}
	l, err := ReadLamps(strings.NewReader("name,kind,colour\na,point,red\n"), "l.csv")
	if err != nil || len(l.Warnings) != 1 {
		t.Errorf("an unknown column: %v", err)
	}
}

// An error at a row that no file holds names the lamp.
func TestLampsWithoutFile(t *testing.T) {
	l := &Lamps{Origin: Origin{File: "lamps"}, Rows: []Lamp{{Name: "key"}}}
	if e := l.Error(0, "flux", "a level"); !strings.Contains(e.Error(), `lamp "key": flux`) {
		t.Error(e)
	}
}

// What is written reads back the same.
func TestLampsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := func(name string, low, high float64) Range {
			a := rapid.Float64Range(low, high).Draw(t, name)
			if rapid.Bool().Draw(t, name+" free") {
				return between(a, a+rapid.Float64Range(0.01, 1).Draw(t, name+" width"))
			}
			return Fixed(a)
		}
		rows := []Lamp{{
			Name: rapid.StringMatching(`[A-Za-z][a-z0-9 ;,"]{0,8}[a-z]`).Draw(t, "name"), Kind: rapid.SampledFrom(lampKinds).Draw(t, "kind"),
			X: cell("x", -10, 10), Y: cell("y", -10, 10), Z: cell("z", 0.1, 10), Beam: cell("beam", 5, 150), Dimmer: cell("dimmer", 1, 90),
			CCT: Kelvins(rapid.Float64Range(2000, 10000).Draw(t, "CCT")), Note: rapid.SampledFrom([]string{"", "a, b", "1.5..3"}).Draw(t, "note"),
		}}
		l := rows[0]
		record := []string{l.Name, string(l.Kind), strconv.FormatFloat(float64(l.CCT), 'g', -1, 64), l.Note}
		for _, r := range []Range{l.X, l.Y, l.Z, l.Beam, l.Dimmer} {
			text := r.String()
			record = append(record, text)
		}
		got, err := ReadLamps(strings.NewReader(csvOf("name,kind,CCT,note,x (m),y (m),z (m),beam (deg),dimmer (%)", record)), "l.csv")
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(rows, got.Rows); diff != "" {
			t.Fatalf("(wrote, read):\n%s", diff)
		}
	})
}

// Whatever is read without an error has its numbers within their limits, and
// ranges with ends in order.
func FuzzReadLamps(f *testing.F) {
	f.Add([]byte("name,kind,x,y,z,flux,beam\na,point,1.5..3,1,2,1000,60\n"))
	f.Add([]byte("name;kind;x (cm);E (lx) at (m);dimmer (%)\na;disc;150..300;1200 at 3;12,5\n"))
	f.Add([]byte("name,kind,x,width,behind\nf,frame,2 (1..3),1.2,a\n"))
	f.Fuzz(func(t *testing.T, in []byte) {
		l, err := ReadLamps(bytes.NewReader(in), "l.csv")
		if err != nil {
			return
		}
		for i := range l.Rows {
			for _, c := range RangeColumns {
				if r := c.Of(&l.Rows[i]); r.Set && !(r.Low <= r.At && r.At <= r.High) || !r.Set && *r != (Range{}) {
					t.Errorf("%s: %+v", c.Name, *r)
				}
			}
		}
	})
}

// The trade's kinds of small lamps are points, and a level may be headed as in a survey.
func TestLampKindsOfTheTrade(t *testing.T) {
	for _, kind := range []string{"fresnel", "Profile spot", "flood", "open face", "spot", "point"} {
		lamps, err := ReadLamps(strings.NewReader("name,kind,x (ft),y (ft),z (ft),level (fc),at (ft)\nkey,"+kind+",1,2,3,120,10\n"), "lamps.csv")
		if err != nil || len(lamps.Rows) != 1 || lamps.Rows[0].Kind != Point || lamps.Rows[0].EFootcandles.At != 120 {
			t.Errorf("%s: %v, %+v", kind, err, lamps)
		}
	}
}

// A length without a unit is in that of x where a note says nothing, and that is said.
func TestLampLengthsLikeTheirNeighbors(t *testing.T) {
	for head, want := range map[string]float64{"x (ft),aim x": 2 * 0.3048, "aim x,source width (in),x (ft)": 2 * 0.3048, "x (m),aim x": 2, "x,aim x": 2, "x (ft),aim x (m)": 2} {
		rows := "name,kind," + head + "\nkey,point"
		for name := range strings.SplitSeq(head, ",") {
			rows += "," + map[bool]string{true: "2", false: "9"}[strings.HasPrefix(name, "aim")]
		}
		lamps, err := ReadLamps(strings.NewReader(rows+"\n"), "lamps.csv")
		if err != nil {
			t.Fatal(err)
		}
		if got := lamps.Rows[0].AimX.Low; math.Abs(got-want) > 1e-9 || (len(lamps.Warnings) > 0) != strings.Contains(head, "(ft)") && !strings.Contains(head, "aim x (m)") {
			t.Errorf("%s: %g m, want %g; warnings %v", head, got, want, lamps.Warnings)
		}
	}
}
