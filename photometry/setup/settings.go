package setup

import (
	"errors"
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// Settings is what a set-up's table of keys and values says of the camera, the
// day and the set. A number that is zero was not given.
type Settings struct {
	Title, Scene, Mark, Date string
	Camera, Notes            string
	ISO                      float64
	FrameRate                float64 // frames a second
	ShutterS                 float64 // seconds
	Shutter                  string  // as it was written: 180°, 1/50
	TStop                    string  // as it was written
	TargetKelvin             float64
	NDStops                  float64  // stops lost to neutral density
	FilterFactor             float64  // of other filters, 2 is a stop
	MainsHz                  float64  // of the mains, for flicker
	FloorY                   *float64 // m, of the floor below the surface's corner; nil where not given
	Before                   string   // the folder or survey of the day to match
	Photos                   []string // file names
	// More are the keys that have no meaning here, in order, for people to read.
	More []Value
}

// settingFields are the keys with a meaning.
var settingFields = []table.Field{
	{Name: "title", Aliases: []string{"production", "film"}}, {Name: "scene"}, {Name: "mark"}, {Name: "date", Aliases: []string{"day"}},
	{Name: "camera"}, {Name: "notes", Aliases: []string{"note", "remarks"}}, {Name: "ISO", Aliases: []string{"speed", "EI"}},
	{Name: "frame rate", Aliases: []string{"fps", "frames a second"}}, {Name: "shutter"}, {Name: "T-stop", Aliases: []string{"T stop"}},
	{Name: "target K", Aliases: []string{"target", "target CCT", "white balance"}, Units: []string{"K"}}, {Name: "ND"}, {Name: "filter factor"},
	{Name: "mains", Aliases: []string{"mains frequency"}, Units: []string{"Hz"}}, {Name: "floor y", Units: []string{"m", "cm", "mm", "ft", "in"}},
	{Name: "before", Aliases: []string{"day before"}}, {Name: "photo", Aliases: []string{"photos"}},
}

// Settings understands the keys. Keys without a meaning are kept; where one is
// within a letter or two of a known key it is a warning as well, since it may be
// that key misspelled. The error is table.Errors.
func (v *Values) Settings() (Settings, []table.Warning, error) {
	var s Settings
	var warnings []table.Warning
	var errs table.Errors
	shutter := -1
	seen := map[string]int{}
	for i, row := range v.Rows {
		key := row.Key
		numbered := strings.TrimRight(key, " 0123456789") // photo 2
		at, unit, _ := table.Match(settingFields, key)
		if at < 0 && same(numbered, "photo") {
			at, _, _ = table.Match(settingFields, numbered)
		}
		if at < 0 {
			s.More = append(s.More, row)
			if nearest, edits := table.Nearest(settingFields, key); edits <= 2 && len(key) > 3 {
				warnings = append(warnings, v.warning(i, "“"+key+"” has no meaning of its own and is kept for people to read; the nearest known key is “"+nearest+"”"))
			}
			continue
		}
		name := settingFields[at].Name
		if before, twice := seen[name]; twice && name != "photo" {
			errs = append(errs, v.error(i, "key", fmt.Sprintf("each key once; “%s” says the same", v.Rows[before].Key)))
			continue
		}
		seen[name] = i
		if row.Value == "" {
			continue
		}
		text := row.Value
		number := func(expected string, low, high float64, suffixes ...string) float64 {
			bare := text
			for _, suffix := range append(suffixes, unit) {
				if n := len(bare) - len(suffix); suffix != "" && n > 0 && strings.EqualFold(bare[n:], suffix) {
					bare = strings.TrimSpace(bare[:n])
				}
			}
			x, err := v.Dialect.Number(bare)
			if err != nil || x < low || x > high {
				errs = append(errs, v.error(i, "value", expected))
				return 0
			}
			return x
		}
		switch name {
		case "title":
			s.Title = text
		case "scene":
			s.Scene = text
		case "mark":
			s.Mark = text
		case "date":
			s.Date = text
		case "camera":
			s.Camera = text
		case "notes":
			s.Notes = text
		case "T-stop":
			s.TStop = text
		case "before":
			s.Before = text
		case "photo":
			for name := range strings.SplitSeq(text, ";") {
				if name = strings.TrimSpace(name); name != "" {
					s.Photos = append(s.Photos, name)
				}
			}
		case "ISO":
			text = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(text, "ISO"), "EI"))
			s.ISO = number("an ISO speed such as 800", 1, 1e7)
		case "frame rate":
			s.FrameRate = number("frames a second such as 24", 0.01, 1e6, "frames a second", "frames per second", "fps", "/s")
		case "target K":
			s.TargetKelvin = number("a color temperature such as 5600 (K)", 1000, 25000, "K")
		case "filter factor":
			s.FilterFactor = number("a filter factor of 1 or more, 2 for a stop", 1, 1e6, "x", "×")
		case "mains":
			s.MainsHz = number("the mains' frequency, 50 or 60 Hz", 10, 500, "Hz")
		case "ND":
			s.NDStops = v.density(text, i, &errs)
		case "floor y":
			if unit != "" {
				text += " " + unit
			}
			if y, err := v.Dialect.Length(text, "m"); err != nil {
				errs = append(errs, v.error(i, "value", "a length such as -0.8 (m), 80 cm or -2.5 ft"))
			} else {
				s.FloorY = &y
			}
		case "shutter":
			s.Shutter, shutter = text, i
		}
	}
	// A shutter's angle needs the frame rate, wherever it stands.
	if shutter >= 0 {
		text := s.Shutter
		if !strings.Contains(text, ".") {
			text = strings.ReplaceAll(text, ",", ".") // 172,8°; no shutter has a thousand of anything
		}
		var err error
		if s.ShutterS, err = photometry.ParseShutter(text, s.FrameRate); err != nil {
			expected := "a shutter such as 1/50 or 180° with a frame rate"
			if syntax, ok := errors.AsType[*photometry.SyntaxError](err); ok {
				expected = syntax.Expected
			}
			errs = append(errs, v.error(shutter, "value", expected))
		}
	}
	return s, warnings, errs.ErrOrNil()
}

// density reads neutral density as 0.6, ND 0.6 or 2 stops into stops.
func (v *Values) density(text string, row int, errs *table.Errors) float64 {
	bare := strings.TrimSpace(strings.TrimPrefix(strings.ToUpper(text), "ND"))
	lower := strings.ToLower(bare)
	if strings.HasSuffix(lower, "stop") || strings.HasSuffix(lower, "stops") {
		if stops, err := photometry.ParseStops(lower, v.Dialect.Number); err == nil && stops >= 0 {
			return stops
		}
	} else if d, err := v.Dialect.Number(bare); err == nil && d >= 0 && d <= 6 {
		return photometry.DensityStops(d)
	}
	*errs = append(*errs, v.error(row, "value", "a density such as 0.6 (0.3 a stop), or 2 stops"))
	return 0
}

// error makes an error at a cell of row i.
func (v *Values) error(i int, column, expected string) *table.Error {
	if v.typed == nil {
		return &table.Error{File: v.File, Found: v.Rows[i].Key + ": " + v.Rows[i].Value, Expected: expected}
	}
	return v.typed.Error(i, column, expected)
}

// warning makes a warning at the key of row i.
func (v *Values) warning(i int, text string) table.Warning {
	w := table.Warning{File: v.File, Text: text}
	if v.typed != nil {
		cell := v.typed.Cell(i, "key")
		w.Sheet, w.Line, w.Column = v.typed.Sheet, cell.Line, cell.Column
	}
	return w
}
