package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

// correctFlags are one light, or how a table of lamps is to be brought together.
type correctFlags struct {
	cct, duv, cc, xy, to  string
	gels, camera, cameras string
	on, tolerance         string
}

// given are the flags that describe one light.
func (f correctFlags) given() []string {
	var names []string
	for _, part := range []struct{ name, value string }{{"cct", f.cct}, {"xy", f.xy}, {"duv", f.duv}, {"cc", f.cc}} {
		if part.value != "" {
			names = append(names, "--"+part.name)
		}
	}
	return names
}

// settle tells a table from a light, also from one given without its flag, and
// refuses what contradicts itself. The table's path is what it leaves of args.
func (f *correctFlags) settle(args []string) ([]string, error) {
	args = joinValues(args)
	if len(args) == 1 && isLight(args[0]) {
		if f.cct != "" || f.xy != "" {
			return nil, fmt.Errorf("correct: %s and %s given, expected one light", args[0], strings.Join(f.given(), " and "))
		}
		if strings.Contains(args[0], ":") {
			f.xy = args[0]
		} else {
			f.cct = args[0]
		}
		args = nil
	}
	light := f.given()
	switch {
	case len(args) > 1:
		return nil, fmt.Errorf("correct: %d files given, expected one table of lamps", len(args))
	case len(args) == 1 && len(light) > 0:
		return nil, fmt.Errorf("correct: %s and %s given, expected a table of lamps or one light", args[0], strings.Join(light, " and "))
	case len(args) == 1:
		return args, nil
	case len(light) == 0:
		return nil, fmt.Errorf("correct: no light given, expected --cct or --xy, or a table of lamps (see evenfall correct --help)")
	case f.xy != "" && len(light) > 1:
		return nil, fmt.Errorf("%s: each says what the color is, expected --xy alone, or --cct with --duv or --cc", strings.Join(light, " and "))
	case f.duv != "" && f.cc != "":
		return nil, fmt.Errorf("--duv and --cc: both say how green the light is, expected one of them")
	case f.cct == "" && f.xy == "":
		return nil, fmt.Errorf("%s: no color temperature with it, expected --cct too", light[0])
	case f.to == "":
		return nil, fmt.Errorf("--to: no target given, expected a color such as 5600K or xy:0.3320,0.3475")
	}
	return nil, nil
}

// isLight tells whether a word of the command line is a color and no file.
func isLight(word string) bool {
	if _, err := os.Stat(word); err == nil {
		return false
	}
	switch strings.ToLower(filepath.Ext(word)) {
	case ".csv", ".tsv", ".txt", ".xlsx":
		return false
	}
	return looksLikeColor(word) // its own error says what is wrong with it
}

// options are those that flags alone settle.
func (f correctFlags) options() (colorimetry.Options, error) {
	opts := colorimetry.Options{Stacks: stacksListed,
		ToleranceMired: colorimetry.DefaultToleranceMired, ToleranceDuv: colorimetry.DefaultToleranceDuv}
	switch place := colorimetry.Place(strings.ToLower(f.on)); place {
	case "", colorimetry.OnLamp, colorimetry.OnLens:
		opts.On = place
	default:
		return opts, fmt.Errorf("--on: found %q, expected lamp or lens", f.on)
	}
	if f.tolerance == "" {
		return opts, nil
	}
	tolerance, err := schema.Parse(schema.ColorTolerant, f.tolerance)
	if err != nil {
		return opts, fmt.Errorf("--tolerance: %w", err)
	}
	allow(&opts, tolerance)
	return opts, nil
}

// allow sets the parts of a tolerance that are given.
func allow(opts *colorimetry.Options, t schema.ColorTolerance) {
	if t.Mired > 0 {
		opts.ToleranceMired = t.Mired
	}
	if t.Duv > 0 {
		opts.ToleranceDuv = t.Duv
	}
}

// tolerate takes the tolerance from a table's notes where no flag gives one.
func (f correctFlags) tolerate(opts *colorimetry.Options, lamps *setup.LampColors, basis *answers.Basis) error {
	if f.tolerance != "" {
		return nil
	}
	v := schema.Read(schema.LampsFile, []*schema.Source{{File: lamps.File, Notes: lamps.Notes, Dialect: lamps.Dialect}})
	tolerance, ok := schema.Get(v, schema.ColorTolerant)
	if _, text := v.From(schema.ColorTolerant); ok {
		allow(opts, tolerance)
		basis.Inferred = append(basis.Inferred, "the tolerance is that of the table's note, "+text)
	}
	return v.Errors.ErrOrNil()
}

// source is the light that the flags describe.
func (f correctFlags) source() (colorimetry.CCT, error) {
	if f.xy != "" {
		return parseChromaticity("xy", f.xy)
	}
	light, err := parseColor("cct", f.cct, "")
	if err != nil {
		return light, err
	}
	if light.Duv != 0 && (f.duv != "" || f.cc != "") {
		return light, fmt.Errorf("--cct: %q has its own Duv, expected no --duv and no --cc with it", f.cct)
	}
	switch {
	case f.duv != "":
		duv, err := table.ParseNumber(f.duv)
		light.Duv = duv
		if err != nil || light.Check() != nil {
			return light, fmt.Errorf("--duv: found %q, expected a Duv that light of %.0f K can have, at most 0.05 either way, such as +0.010", f.duv, light.Kelvin)
		}
	case f.cc != "":
		needs, err := colorimetry.ParseNeeds(f.cc)
		if err != nil {
			return light, fmt.Errorf("--cc: %w", err)
		}
		if light, err = colorimetry.FromCC(light.Kelvin, needs); err != nil {
			return light, fmt.Errorf("--cc: %w", err)
		}
	}
	return light, nil
}

// aim is where a table of lamps is to go.
func (f correctFlags) aim(lamps []colorimetry.Lamp) (colorimetry.Aim, error) {
	if f.to == "" {
		return colorimetry.Aim{}, nil
	}
	var names []string
	key := false
	for _, l := range lamps {
		if strings.EqualFold(l.Name, strings.TrimSpace(f.to)) {
			return colorimetry.Aim{Lamp: l.Name}, nil
		}
		names = append(names, l.Name)
		key = key || l.Key
	}
	switch strings.ToLower(strings.TrimSpace(f.to)) {
	case "majority":
		return colorimetry.Aim{}, nil
	case "key":
		if !key {
			return colorimetry.Aim{}, fmt.Errorf("--to: found %q, expected a lamp with the role key in the table, or one of %s", f.to, strings.Join(names, ", "))
		}
		return colorimetry.Aim{Key: true}, nil
	}
	to, err := parseColor("to", f.to, ", key, or a lamp of the table: "+strings.Join(names, ", "))
	return colorimetry.Aim{To: to}, err
}

// parseColor reads a color temperature with or without its K and Duv, or a
// chromaticity with its plane named; also says what else could stand there.
func parseColor(flag, text, also string) (colorimetry.CCT, error) {
	if strings.Contains(text, ":") {
		return parseChromaticity(flag, text)
	}
	trimmed := strings.TrimSpace(text)
	if trimmed != "" && strings.Trim(trimmed, "0123456789.,") == "" {
		trimmed += "K"
	}
	light, err := colorimetry.ParseCCT(trimmed)
	switch {
	case errors.Is(err, colorimetry.ErrKelvin):
		return light, fmt.Errorf("--%s: found %q, expected a color temperature from 1,000 K to 25,000 K such as 3200K or 312mired", flag, text)
	case errors.Is(err, colorimetry.ErrOffWhite):
		return light, fmt.Errorf("--%s: found %q, expected a Duv of at most 0.05 either way", flag, text)
	case err != nil:
		return light, fmt.Errorf("--%s: found %q, expected a color such as 5600K, 178mired or xy:0.3320,0.3475%s", flag, text, also)
	}
	return light, nil
}

// parseChromaticity reads x,y or a chromaticity with its plane named.
func parseChromaticity(flag, text string) (colorimetry.CCT, error) {
	var xy colorimetry.XY
	var err error
	if strings.Contains(text, ":") {
		xy, err = colorimetry.Parse(text)
	} else {
		var pair []float64
		if pair, err = table.ParseNumbers(text, 2); err == nil {
			xy = colorimetry.XY{X: pair[0], Y: pair[1]}
			err = xy.Check()
		}
	}
	if errors.Is(err, colorimetry.ErrNoSuchLight) {
		return colorimetry.CCT{}, fmt.Errorf("--%s: found %q, expected a chromaticity that light can have; this one lies outside the spectral locus and the line of purples", flag, text)
	}
	if err != nil {
		return colorimetry.CCT{}, fmt.Errorf("--%s: found %q, expected a chromaticity such as 0.4476,0.4074 or u'v':0.2560,0.5243", flag, text)
	}
	light, err := xy.CCT()
	if err != nil {
		return light, fmt.Errorf("--%s: found %q, expected a nearly white light; this one has no color temperature that gels could be reckoned from", flag, text)
	}
	return light, nil
}
