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

// words are the keys whose value is kept as it was written.
func (s *Settings) words() map[string]*string {
	return map[string]*string{"title": &s.Title, "scene": &s.Scene, "mark": &s.Mark, "date": &s.Date, "camera": &s.Camera, "notes": &s.Notes,
		"T-stop": &s.TStop, "before": &s.Before, "shutter": &s.Shutter}
}

// settingNumber is a key whose value is a number within limits, with units or other
// words that may stand around it.
type settingNumber struct {
	to            *float64
	low, high     float64
	prefix, units []string
	expected      string
}

func (s *Settings) numbers() map[string]settingNumber {
	return map[string]settingNumber{
		"ISO":           {&s.ISO, 1, 1e7, []string{"ISO", "EI"}, nil, "an ISO speed such as 800"},
		"frame rate":    {&s.FrameRate, 0.01, 1e6, nil, []string{"frames a second", "frames per second", "fps", "/s"}, "frames a second such as 24"},
		"target K":      {&s.TargetKelvin, 1000, 25000, nil, []string{"K"}, "a color temperature such as 5600 (K)"},
		"filter factor": {&s.FilterFactor, 1, 1e6, nil, []string{"x", "×"}, "a filter factor of 1 or more, 2 for a stop"},
		"mains":         {&s.MainsHz, 10, 500, nil, []string{"Hz"}, "the mains' frequency, 50 or 60 Hz"},
	}
}

// Settings understands the keys. Keys without a meaning are kept; where one is
// within a letter or two of a known key it is a warning as well, since it may be
// that key misspelled. The error is table.Errors.
func (v *Values) Settings() (Settings, []table.Warning, error) {
	var s Settings
	var warnings []table.Warning
	var errs table.Errors
	words, numbers := s.words(), s.numbers()
	seen := map[string]int{}
	for i, row := range v.Rows {
		name, unit := settingOf(row.Key)
		if name == "" {
			s.More = append(s.More, row)
			if nearest, edits := table.Nearest(settingFields, row.Key); edits <= 2 && len(row.Key) > 3 {
				warnings = append(warnings, v.warning(i, "“"+row.Key+"” has no meaning of its own and is kept for people to read; the nearest known key is “"+nearest+"”"))
			}
			continue
		}
		if before, twice := seen[name]; twice && name != "photo" {
			errs = append(errs, v.error(i, "key", fmt.Sprintf("each key once; “%s” says the same", v.Rows[before].Key)))
			continue
		}
		seen[name] = i
		if row.Value == "" {
			continue
		}
		var problem *table.Error
		switch word, number := words[name], numbers[name]; {
		case word != nil:
			*word = row.Value
		case number.to != nil:
			problem = v.number(i, number)
		case name == "photo":
			s.Photos = append(s.Photos, photosOf(row.Value)...)
		case name == "ND":
			s.NDStops, problem = v.density(i)
		case name == "floor y":
			s.FloorY, problem = v.height(i, unit)
		}
		if problem != nil {
			errs = append(errs, problem)
		}
	}
	// A shutter's angle needs the frame rate, wherever it stands.
	if s.Shutter != "" {
		var problem *table.Error
		if s.ShutterS, problem = v.shutter(seen["shutter"], s.FrameRate); problem != nil {
			errs = append(errs, problem)
		}
	}
	return s, warnings, errs.ErrOrNil()
}

// settingOf is the name of the key, and its unit where it has one; photos may be
// numbered. The name is empty for a key without a meaning.
func settingOf(key string) (name, unit string) {
	at, unit, _ := table.Match(settingFields, key)
	if at < 0 {
		if same(strings.TrimRight(key, " 0123456789"), "photo") {
			return "photo", ""
		}
		return "", ""
	}
	return settingFields[at].Name, unit
}

func photosOf(text string) (names []string) {
	for name := range strings.SplitSeq(text, ";") {
		if name = strings.TrimSpace(name); name != "" {
			names = append(names, name)
		}
	}
	return names
}

// number reads the value of row i into the number's place.
func (v *Values) number(i int, n settingNumber) *table.Error {
	bare := v.Rows[i].Value
	for _, prefix := range n.prefix {
		bare = strings.TrimSpace(strings.TrimPrefix(bare, prefix))
	}
	for _, unit := range n.units {
		if k := len(bare) - len(unit); k > 0 && strings.EqualFold(bare[k:], unit) {
			bare = strings.TrimSpace(bare[:k])
		}
	}
	x, err := v.Dialect.Number(bare)
	if err != nil || x < n.low || x > n.high {
		return v.error(i, "value", n.expected)
	}
	*n.to = x
	return nil
}

// height reads a length of row i in meters; unit is that of its key.
func (v *Values) height(i int, unit string) (*float64, *table.Error) {
	text := v.Rows[i].Value
	if unit != "" {
		text += " " + unit
	}
	y, err := v.Dialect.Length(text, "m")
	if err != nil {
		return nil, v.error(i, "value", "a length such as -0.8 (m), 80 cm or -2.5 ft")
	}
	return &y, nil
}

// shutter reads a time of row i in seconds, or an angle at a frame rate.
func (v *Values) shutter(i int, framesPerSecond float64) (seconds float64, problem *table.Error) {
	text := v.Rows[i].Value
	if !strings.Contains(text, ".") {
		text = strings.ReplaceAll(text, ",", ".") // 172,8°; no shutter has a thousand of anything
	}
	seconds, err := photometry.ParseShutter(text, framesPerSecond)
	if err == nil {
		return seconds, nil
	}
	if syntax, ok := errors.AsType[*photometry.SyntaxError](err); ok {
		return 0, v.error(i, "value", syntax.Expected)
	}
	return 0, v.error(i, "value", "a shutter such as 1/50 or 180° with a frame rate")
}

// density reads neutral density of row i, 0.6, ND 0.6 or 2 stops, in stops.
func (v *Values) density(i int) (stops float64, problem *table.Error) {
	bare := strings.ToLower(strings.TrimSpace(strings.TrimPrefix(strings.ToUpper(v.Rows[i].Value), "ND")))
	if strings.HasSuffix(bare, "stop") || strings.HasSuffix(bare, "stops") {
		if stops, err := photometry.ParseStops(bare, v.Dialect.Number); err == nil && stops >= 0 {
			return stops, nil
		}
	} else if d, err := v.Dialect.Number(bare); err == nil && d >= 0 && d <= 6 {
		return photometry.DensityStops(d), nil
	}
	return 0, v.error(i, "value", "a density such as 0.6 (0.3 a stop), or 2 stops")
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
		w.Sheet, w.Line, w.Column = v.typed.Name, cell.Line, cell.Column
	}
	return w
}
