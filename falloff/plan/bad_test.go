package plan

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
)

// Every mistake is told with its place, what was found and what was expected,
// all of a table's together.
func TestBadTables(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,pan,tilt,flux,intensity,E (lx),at (m),beam,width,height,behind,transmission,reflectance,material,scrims,file,stand height"
	floor := -1.0
	for cells, says := range map[string]string{
		"a,point,1,1,2,1,1,0,,,,,,,60,,,,,,,,,":                                                `lamps.csv:2:11: found an empty cell, expected the level of "a": flux (lm), intensity (cd), or a column “E at” with what it was metered at: 950 lx at 2 m`,
		"a,point,1,1,2,1,1,0,,,1000,5000,,,60,,,,,,,,,":                                        `lamps.csv:2:12: found "5000", expected one level, or levels that agree: this one is 5.40 times the flux, 1000 lm`,
		"a,point,1,1,2,1,1,0,,,1000,,300,2,60,,,,,,,,,":                                        `lamps.csv:2:13: found "300", expected one level, or levels that agree: this one is 1.30 times the flux, 1000 lm`,
		"a,point,1,1,2,1,1,0,,,,,300,,60,,,,,,,,,":                                             `lamps.csv:2:14: found an empty cell, expected the distance in meters at which the lamp gives E`,
		"a,point,1,1,2,1,1,0,,,,,,3,60,,,,,,,,,":                                               `lamps.csv:2:13: found an empty cell, expected the illuminance at that distance`,
		"a,point,1,1,2,1,1,2,,,1000,,,,60,,,,,,,,,":                                            `lamps.csv:2:6: found "1", expected an aim away from the lamp's own place`,
		"a,point,1,1,2,,,,,,1000,,,,60,,,,,,,,,":                                               `lamps.csv:2:6: found an empty cell, expected an aim (aim x, aim y), or pan and tilt`,
		"a,point,1,1,2,1,,0,,,1000,,,,60,,,,,,,,,":                                             `lamps.csv:2:7: found an empty cell, expected both aim x and aim y`,
		"a,point,1,1,2,1,1,0,5,0,1000,,,,60,,,,,,,,,":                                          `lamps.csv:2:9: found "5", expected pan 0.0 and tilt 0.0, where the aim is, within 1 degree (it is 5.0 off)`,
		"a,point,1,1,0,1,1,-1,,,1000,,,,60,,,,,,,,,":                                           `lamps.csv:2:5: found "0", expected a place in front of the surface, z above 0`,
		"a,point,1,1,-0.5,1,1,-1,,,1000,,,,60,,,,,,,,,":                                        `lamps.csv:2:5: found "-0.5", expected a place in front of the surface`,
		"a,point,,1,2,1,1,0,,,1000,,,,60,,,,,,,,,":                                             `lamps.csv:2:3: found an empty cell, expected a position in meters`,
		"a,point,1,,2,1,1,0,,,1000,,,,60,,,,,,,,,":                                             `lamps.csv:2:4: found an empty cell, expected a height in meters`,
		"a,point,1,1,2,1,1,0,,,1000,,,,60,,,,,,,,,1.5":                                         `lamps.csv:2:24: found "1.5", expected 2.00, since y is 1.00 m and the floor is at -1.00 m`,
		"a,panel,1,1,2,1,1,0,,,1000,,,,,,0.5,,,,,,,":                                           `lamps.csv:2:16: found an empty cell, expected the width of the face in meters`,
		"a,panel,1,1,2,1,1,0,,,1000,,,,,0.5,,,,,,,,":                                           `lamps.csv:2:17: found an empty cell, expected the height of the face in meters`,
		"a,disc,1,1,2,1,1,0,,,1000,,,,,0.5,0.7,,,,,,,":                                         `lamps.csv:2:17: found "0.7", expected the same as the width for a disc`,
		"a,file,1,1,2,1,1,0,,,1000,,,,,,,,,,,,,":                                               `lamps.csv:2:23: found an empty cell, expected the name of a file of intensities (LM-63)`,
		"a,file,1,1,2,1,1,0,,,1000,,,,,,,,,,,,no.ies,":                                         `lamps.csv:2:23: found "no.ies", expected a file of intensities (LM-63) that can be read (open no.ies: file does not exist)`,
		"a,file,1,1,2,1,1,0,,,1000,,,,,,,,,,,,bad.ies,":                                        `lamps.csv:2:23: found "bad.ies", expected a file of intensities (LM-63) that can be read`,
		"a,point,1,1,2,1,1,0,,,1000,,,,60,,,,,,,half single,,":                                 `lamps.csv:2:22: found "half single", expected single, double, single + double, or stops such as 1/2 stop`,
		"a,point,1,1,2,1,1,0,,,1000,,,,60,,,b,,,,,,":                                           `lamps.csv:2:18: found "b", expected an empty cell: only a frame or a bounce is lit by a lamp`,
		"a,frame,1,1,2,1,1,0,,,1000,,,,,1,1,a,50,,,,,":                                         `lamps.csv:2:11: found "1000", expected an empty cell: a frame has only the light that falls on it`,
		"a,frame,1,1,2,1,1,0,,,,,,,,1,1,,50,,,,,":                                              `lamps.csv:2:18: found an empty cell, expected the name of the lamp that lights the frame`,
		"a,frame,1,1,2,1,1,0,,,,,,,,1,1,z,50,,,,,":                                             `lamps.csv:2:18: found "z", expected the name of a lamp in this table`,
		"a,frame,1,1,2,1,1,0,,,,,,,,1,1,a,50,,,,,":                                             `lamps.csv:2:18: found "a", expected another lamp than itself`,
		"a,frame,1,1,2,1,1,0,,,,,,,,1,1,a,,,,,,":                                               `lamps.csv:2:19: found an empty cell, expected what the diffusion lets through in percent, or a material: full diffusion`,
		"a,frame,1,1,2,1,1,0,,,,,,,,1,1,a,,,cheese,,,":                                         `lamps.csv:2:21: found "cheese", expected one of full diffusion`,
		"a,bounce,1,1,2,1,1,0,,,,,,,,1,1,a,,,,,,":                                              `lamps.csv:2:20: found an empty cell, expected what the board sends back in percent, or a material: white board`,
		"a,net,1,1,2,1,1,0,,,,,,,,1,1,,,,,,,":                                                  `lamps.csv:2:19: found an empty cell, expected what the net lets through in percent, or a material: single net, double net`,
		"a,flag,1,1,2,1,1,0,,,,,,,,1,1,,,,,,,":                                                 `lamps.csv:2:2: found "flag", expected at least one lamp that gives light`,
		"a,bounce,1,1,2,1,1,0,,,,,,,,1,1,b,,80,,,,\nb,bounce,1,1,1,1,1,2,,,,,,,,1,1,a,,80,,,,": `expected a lamp at the end: frames and bounces here light each other in a ring`,
		"a,flag,1,1,2,1,1,0,,,,,,,,1,1,,,,,,,\nb,frame,1,1,1,1,1,0,,,,,,,,1,1,a,50,,,,,":       `lamps.csv:3:18: found "a", expected a lamp, a frame or a bounce; a flag gives no light`,
		"a,point,1,1,2..1,1,1,0,,,1000,,,,60,,,,,,,,,":                                         `lamps.csv:2:5: found "2..1", expected a range with the lower end first`,
		"a,softlight,1,1,2,1,1,0,,,1000,,,,60,,,,,,,,,":                                        `lamps.csv:2:2: found "softlight", expected a kind of lamp: point, disc, panel, frame, bounce, flag, net, file; a fresnel, profile spot, flood or open face is a point, a soft source a panel or disc`,
	} {
		files := fstest.MapFS{"bad.ies": {Data: []byte("this is no photometric file\n")}}
		_, err := tryScene(row(header, cells), Options{Surface: box(4, 2), FloorY: &floor, Distribution: Files(files)})
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s\n got %v\nwant %s", cells, err, says)
		}
		var several table.Errors
		if err != nil && !errors.As(err, &several) {
			t.Errorf("%s: %T is not table.Errors", cells, err)
		}
	}
	// Several at once.
	_, err := tryScene(row(header, "a,point,1,1,2,1,1,2,,,1000,,,,60,,,,,,,,,", "b,point,1,1,,1,1,0,,,1000,,,,60,,,,,,,,,"), Options{})
	if err == nil || strings.Count(err.Error(), "\n") != 1 {
		t.Errorf("two mistakes: %v", err)
	}
	// Behind the plane of the surface and beside it, a lamp is only warned of.
	s, err := tryScene(row(header, "a,point,-1,1,-0.5,1,1,3,,,1000,,,,60,,,,,,,,,"), Options{Surface: box(4, 2)})
	if err != nil || len(s.Warnings) != 1 || s.Warnings[0].Code != "behind_surface" {
		t.Errorf("beside the surface: %v", err)
	}
	// A frame lit from the wrong side is dark, and that is said.
	s, err = tryScene(row(header, "a,point,1,1,2,1,1,0,,,1000,,,,60,,,,,,,,,", "f,frame,1,1,1,1,1,2,,,,,,,,1,1,a,50,,,,,"), Options{Surface: box(4, 2)})
	if err != nil || len(s.Warnings) != 1 || s.Warnings[0].Code != "unlit" {
		t.Errorf("wrong side: %v %+v", err, s.Warnings)
	}
}

// Another lamp on a frame's back is warned of: here an equal one at twice the
// distance, a quarter of the light.
func TestSpillOnFrame(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,intensity,beam,width,height,behind,transmission,spill"
	frame := "f,frame,0,0,1,0,0,0,,,1,1,a,50,0"
	s := newScene(t, row(header, "a,point,0,0,2,0,0,0,1000,60,,,,,", "b,point,0,0,3,0,0,0,1000,60,,,,,", frame), Options{})
	if len(s.Warnings) != 1 || s.Warnings[0].Key != "spill_on_frame" || s.Warnings[0].Values["lamp"] != "b" || math.Abs(float64(s.Warnings[0].Values["share"].(photometry.Percentage))-25) > 0.5 {
		t.Errorf("%+v", s.Warnings)
	}
	if s = newScene(t, row(header, "a,point,0,0,2,0,0,0,1000,60,,,,,", "b,point,0,0,5,0,0,0,1000,60,,,,,", frame), Options{}); len(s.Warnings) > 0 {
		t.Errorf("%+v", s.Warnings)
	}
}

// So is a lamp on a frame's front: half a meter off it gives 400 lx where the frame, lit
// by 1000 lx, sends half of its light on and may throw back the other half.
func TestSpillOnFront(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,intensity,beam,width,height,behind,transmission,spill"
	for behind, want := range map[string]float64{"50": 40, "70": 17.14, "90": 0} {
		frame := "f,frame,0,0,1,0,0,0,,,1,1,a," + behind + ",0"
		s := newScene(t, row(header, "a,point,0,0,2,0,0,0,1000,60,,,,,", "b,point,0,0,0.5,0,0,1,100,60,,,,,", frame), Options{})
		var share float64
		for _, w := range s.Warnings {
			if w.Key == "front.spill_on_frame" {
				share = float64(w.Values["share"].(photometry.Percentage))
			}
		}
		if math.Abs(share-want) > 0.5 {
			t.Errorf("%s %% pass: the front may throw back %.1f %%, want %.1f: %+v", behind, share, want, s.Warnings)
		}
	}
}

// The nominal materials are used where a row names one, and said to be nominal;
// figures of its own win.
func TestMaterials(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,intensity,beam,width,height,behind,transmission,material"
	with := func(cells string) *Scene {
		return newScene(t, row(header, "a,point,0,0,3,0,0,0,1000,60,,,,,", "f,frame,0,0,2,0,0,0,,,1,1,a,"+cells), Options{})
	}
	s := with(",Half  Diffusion")
	m, ok := MaterialNamed(setup.Frame, "half diffusion")
	if !ok || s.Fixtures[1].through != m.Transmission || s.Fixtures[1].lobe != m.Lobe || !s.Fixtures[1].nominal || len(s.Inferred) == 0 {
		t.Errorf("%+v %v", s.Fixtures[1], s.Inferred)
	}
	if s = with("42,half diffusion"); s.Fixtures[1].through != 0.42 || s.Fixtures[1].straight != m.Undiffused {
		t.Errorf("%+v", s.Fixtures[1])
	}
	if s = with("42,bed sheet"); s.Fixtures[1].through != 0.42 || s.Fixtures[1].nominal {
		t.Errorf("%+v", s.Fixtures[1])
	}
	for _, m := range Materials {
		if m.Transmission < 0 || m.Transmission > 1 || m.Undiffused < 0 || m.Undiffused > 1 || m.Reflectance < 0 || m.Reflectance > 1 || m.Lobe < 0 {
			t.Errorf("%+v", m)
		}
	}
}

func TestCautions(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,intensity,beam,width,height,behind,transmission,power,gel"
	codes := func(note string, rows ...string) string {
		var out []string
		for _, c := range newScene(t, note+row(header, rows...), Options{}).Cautions() {
			out = append(out, c.Code)
		}
		return strings.Join(out, " ")
	}
	for want, got := range map[string]string{
		"estimate":                        codes("", "a,point,0,1,3,0,1,0,1000,60,,,,,100,"),
		"stands estimate":                 codes("", "a,point,0,2.5,3,0,1,0,1000,60,,,,,,"),
		"heat estimate":                   codes("", "a,point,0,1,3,0,1,0,1000,60,,,,,,half straw"),
		"power estimate":                  codes("", "a,point,0,1,3,0,1,0,1000,60,,,,,1000,", "b,point,0,1,3,0,1,0,1000,60,,,,,600,"),
		"eyes estimate":                   codes("", "a,point,0,1,3,0,1,0,6000,60,,,,,,"),
		"eyes  estimate":                  strings.Replace(codes("# light: flash\n", "a,point,0,1,3,0,1,0,100,60,,,,,,"), " ", "  ", 1),
		"stands heat estimate":            codes("", "a,point,0,1,3,0,1,0,1000,60,,,,,,", "f,frame,0,1,2.5,0,1,0,,,1.2,1.2,a,40,,"),
		"stands heat power eyes estimate": codes("", "a,point,0,3,3,0,1,0,9000,60,,,,,2000,", "f,frame,0,1,1,0,1,0,,,1.2,1.2,a,40,,"),
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	marks := []Mark{{Label: "face", Level: 20000}}
	if g := (&Scene{}).glare(marks); len(g) != 1 || !slices.Equal(g[0].Values["marks"].([]string), []string{"face"}) {
		t.Errorf("%+v", g)
	}
}

// Flash is luminous exposure: the same figures in lx·s.
func TestFlash(t *testing.T) {
	s := newScene(t, "# light: flash\n"+row("name,kind,x,y,z,intensity", "a,point,0,0,2,640"), Options{})
	if u := s.Quantity.Unit(); u != "lx.s" || NewResult(s).Unit != "lx.s" {
		t.Errorf("unit %s", u)
	}
	near(t, "flash", s.At(r3.Vec{}, toCamera).Level, 160, 1e-12)
}

// A file of intensities turns with its lamp: a batwing of constant intensity in
// the C 0–180 plane alone would be seen there only. Here: a file in the form of
// the open standard whose candela differ from plane to plane.
func TestFileOfIntensities(t *testing.T) {
	// Type C, planes 0, 90, 180, 270, 360: 1000, 500, 200, 100 cd at every angle.
	text := "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 5 1 2 0 0 0\n1 1 100\n0 90\n0 90 180 270 360\n1000 1000\n500 500\n200 200\n100 100\n1000 1000\n"
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,file,rotate", "a,file,0,0,2,0,0,0,four.ies,", "b,file,10,0,2,10,0,0,four.ies,180"), Options{Distribution: Files(fstest.MapFS{"four.ies": {Data: []byte(text)}})})
	for _, c := range []struct {
		at   vec
		want float64
	}{{vec{1, 0, 0}, 1000}, {vec{0, 1, 0}, 500}, {vec{-1, 0, 0}, 200}, {vec{0, -1, 0}, 100}} {
		// cos θ/d² at one meter beside the axis, two meters off.
		e := c.want * 2 / math.Pow(5, 1.5)
		got := 0.0
		for i := range s.emitters[:1] {
			got += s.lux(&s.emitters[i], c.at.r3(), toCamera)
		}
		near(t, fmt.Sprint(c.at), got, e, 1e-9)
		// Turned half around, the other side has it.
		turned := vec{10 - c.at[0], -c.at[1], 0}
		near(t, fmt.Sprint("turned ", c.at), s.lux(&s.emitters[1], turned.r3(), toCamera), e, 1e-9)
	}
	// A level scales it.
	s = newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,file,E (lx),at (m)", "a,file,0,0,2,0,0,0,four.ies,800,2"), Options{Distribution: Files(fstest.MapFS{"four.ies": {Data: []byte(text)}})})
	near(t, "E", s.At(r3.Vec{}, toCamera).Level, 800, 1e-9)
}

// Whatever makes a scene gives levels that are finite and never negative.
func FuzzScene(f *testing.F) {
	f.Add("name,kind,x,y,z,aim x,aim y,aim z,flux,beam\na,point,0,1,2,1,1,0,1000,60\n")
	f.Add("name,kind,x,y,z,pan,tilt,intensity,width,height,behind,transmission,undiffused,lobe m\na,panel,0,1,2,10,-5,500,1,0.5,,,,\nf,frame,0,1,1.5,0,0,,1,1,a,40,20,3\n")
	f.Add("name,kind,x,y,z,aim x,aim y,E (lx) at (m),width,behind,reflectance,scrims,rotate\na,disc,0,1,2,1,1,800 at 2,1,,,single,45\nb,bounce,1,1,1,0,1,,1,a,80,,\nk,flag,0,0,1,0,0,,1,,,,\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := tryScene(text, Options{Surface: box(2, 1)})
		if err != nil || len(s.emitters) > 20 {
			return
		}
		for _, at := range []r3.Vec{{}, {X: 1, Y: 0.5}, {X: 2, Y: 1, Z: 0.3}} {
			if v := s.At(at, r3.Vec{X: 0.3, Y: -0.2, Z: 1}).Level; !(v >= 0) || math.IsInf(v, 1) {
				t.Errorf("%v at %v\n%s", v, at, text)
			}
		}
	})
}
