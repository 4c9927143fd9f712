package setup

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func settingsOf(t *testing.T, content string) (Settings, []string, error) {
	t.Helper()
	s, err := ReadSettings(strings.NewReader(content), "setup.csv")
	if s == nil {
		t.Fatal(err)
	}
	var warnings []string
	for _, w := range s.Warnings {
		warnings = append(warnings, w.String())
	}
	return *s, warnings, err
}

func TestSettingsOfASetUp(t *testing.T) {
	s, warnings, err := settingsOf(t, "key;value\nTitle;The Moth & the <Lamp>\nscene;12\nshutter;172,8°\nframe rate;24 fps\nISO;ISO 800\n"+
		"ND;0,6\nfilter factor;2x\nmains;50 Hz\nfloor y (cm);-80\ntarget K;5600 K\nphoto;\"a.jpg; b.jpg\"\nphoto 2;c.jpg\nweather;rain\nmark;center\n"+
		"before;../day 1\nT-stop;4\ncamera;A\nnotes;mind the cable\ndate;2026-03-04\nfrmae rate;25\n")
	if err != nil {
		t.Fatal(err)
	}
	if s.Title != "The Moth & the <Lamp>" || s.Scene != "12" || s.Mark != "center" || s.ISO != 800 || s.FrameRate != 24 || s.MainsHz != 50 ||
		s.TargetKelvin != 5600 || s.FilterFactor != 2 || s.Before != "../day 1" || s.TStop != "4" || s.SetStop != 4 || s.Camera != "A" || s.Date != "2026-03-04" {
		t.Errorf("settings %+v", s)
	}
	// 172.8° at 24 frames a second is 1/50 s (172.8/360/24); a density of 0.6 is
	// two stops at the trade's 0.3 a stop.
	if math.Abs(s.ShutterS-0.02) > 1e-12 || math.Abs(s.NDStops-2) > 1e-12 || s.FloorY == nil || math.Abs(*s.FloorY+0.8) > 1e-12 {
		t.Errorf("shutter %v s, ND %v stops, floor %v m", s.ShutterS, s.NDStops, s.FloorY)
	}
	if want := []string{"a.jpg", "b.jpg", "c.jpg"}; !slices.Equal(s.Photos, want) {
		t.Errorf("photos %q, want %q", s.Photos, want)
	}
	if len(s.More) != 2 || s.More[0].Key != "weather" || s.More[1].Key != "frmae rate" {
		t.Errorf("more %+v", s.More)
	}
	if len(warnings) != 1 || !strings.Contains(warnings[0], "setup.csv:21:1") || !strings.Contains(warnings[0], "nearest known key is “frame rate”") {
		t.Errorf("warnings %q", warnings)
	}
}

func TestSettingsThatCannotBe(t *testing.T) {
	for _, c := range []struct{ rows, want string }{
		{"ISO,fast", `setup.csv:2:2: found "fast", expected an ISO speed such as 800`},
		{"shutter,180°", `setup.csv:2:2: found "180°", expected a frame rate with a shutter angle`},
		{"ND,dark", `setup.csv:2:2: found "dark", expected a neutral density such as 0.6`},
		{"target K,12", `setup.csv:2:2: found "12", expected a color temperature`},
		{"mains,220 V", `setup.csv:2:2: found "220 V", expected the mains' frequency`},
		{"fps,24\nframe rate,25", `setup.csv:3:2: found "25", expected frame rate once, or the same again; line 2 says "24"`},
		{"weather,rain\nWeather,sun", `setup.csv:3:2: found "sun", expected weather once, or the same again; line 2 says "rain"`},
		{"floor y,high", `setup.csv:2:2: found "high", expected a height such as -0.8 (m), 80 cm or -2.5 ft`},
		{"T-stop,fast", `setup.csv:2:2: found "fast", expected the stop that the lens is set to`},
		{",3", `setup.csv:2:1: found an empty cell, expected the name of what the value is`},
		{"mains,600 Hz", `setup.csv:2:2: found "600 Hz", expected the mains' frequency`},
		{"filter factor,0.5", `setup.csv:2:2: found "0.5", expected a filter factor of 1 or more`},
	} {
		if _, _, err := settingsOf(t, "key,value\n"+c.rows+"\n"); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: found %v, want %s", c.rows, err, c.want)
		}
	}
}

// What could be read is there beside what could not, a key may stand again with the
// same value, and empty values say nothing.
func TestSettingsInPart(t *testing.T) {
	s, _, err := settingsOf(t, "key;value\nISO;fast\nFloor Y;-0,8\nfloor y;-80 cm\nmains;\n")
	if err == nil || s.ISO != 0 || s.FloorY == nil || *s.FloorY != -0.8 || strings.Contains(err.Error(), "floor") {
		t.Errorf("%+v, %v", s, err)
	}
}

func TestSettingsBelowATitle(t *testing.T) {
	for _, content := range []string{"Our film\nkey,value\ntitle,The Moth\nISO,800\n", "Our film;;\n\nkey;value;note\ntitle;The Moth\n\nISO;800;as set\n"} {
		s, warnings, err := settingsOf(t, content)
		if err != nil || s.Title != "The Moth" || s.ISO != 800 {
			t.Errorf("%q: %v, settings %+v", content, err, s)
		}
		if len(warnings) != 1 || !strings.Contains(warnings[0], `setup.csv:1:1: "Our film" above the table is left out`) {
			t.Errorf("%q: warnings %q, want the title named", content, warnings)
		}
	}
	if _, err := ReadSettings(strings.NewReader("Our film\nname,what\ntitle,The Moth\n"), "setup.csv"); err == nil {
		t.Error("a table without keys was taken")
	}
}
