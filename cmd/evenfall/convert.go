package main

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

// convertNotes are the flags that say how a level was read and is exposed for.
var convertNotes = []noteFlag{{"iso", schema.ISO}, {"shutter", schema.Shutter}, {"fps", schema.FrameRate}, {"constant", schema.Constant},
	{"receptor", schema.Receptor}, {"marks", schema.FStops}, {"nd", schema.ND}}

func (a *app) convertCommand() *cobra.Command {
	var notes noteFlags
	command := &cobra.Command{
		Use:   "convert VALUE…",
		Short: "Turn a level or a color into the other units, and into an exposure",
		Long: `Convert turns a level or a color into the other units that apply. Levels are
1250lx, 116fc, EV12, f/8 or 320cd/m2. Colors are 5600K, 178mired, xy:0.4476,0.4074,
uv:0.2560,0.3495 or u'v':0.2560,0.5243. With --iso and --shutter, or --fps for a
180° shutter, a level becomes an exposure. An f-number without a shutter is a
flash. --constant is ISO 2720's C, or its K for cd/m².`,
		Example: "  evenfall convert 116fc\n  evenfall convert 100fc --iso 100 --fps 24\n  evenfall convert 5600K xy:0.4476,0.4074",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fmt.Errorf("convert: no value given, expected a level or a color such as 116fc or 5600K")
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.convert(notes, args) },
	}
	notes.register(command, convertNotes...)
	return command
}

// readAndExposed is how levels are read and exposed for, with what was told of it.
func (a *app) readAndExposed(notes noteFlags) (m photometry.Meter, camera photometry.Exposure, inferred []string, err error) {
	values := schema.Read(schema.RatioFile, notes.sources(a.lengthName))
	m.Number = table.ParseNumber
	m.Receptor, _ = schema.Get(values, schema.Receptor)
	m.Marks, _ = schema.Get(values, schema.FStops)
	m.Constant, _ = schema.Get(values, schema.Constant)
	camera.LossStops, _ = schema.Get(values, schema.ND)
	camera.ISO, _ = schema.Get(values, schema.ISO)
	camera.ShutterS, _ = schema.Get(values, schema.Shutter)
	if rate, _ := schema.Get(values, schema.FrameRate); rate > 0 && camera.ShutterS == 0 {
		camera.ShutterS = photometry.ShutterFromAngle(180, rate)
		inferred = append(inferred, "a 180° shutter, since none was given: "+photometry.FormatShutter(camera.ShutterS))
	}
	if camera.ShutterS > 0 && camera.ISO == 0 {
		camera.ISO = 100
		inferred = append(inferred, "ISO 100, since none was given")
	}
	m.ISO, m.ShutterS, m.Continuous = camera.ISO, camera.ShutterS, camera.ShutterS > 0
	return m, camera, inferred, values.Errors.ErrOrNil()
}

// convert turns each value into what applies and shows all of them.
func (a *app) convert(notes noteFlags, args []string) error {
	meter, camera, inferred, err := a.readAndExposed(notes)
	if err != nil {
		return err
	}
	result := answers.Conversions{Schema: "evenfall/convert/1", Inferred: append([]string{}, inferred...)}
	result.LossStops = camera.LossStops
	if camera.ISO > 0 && camera.ShutterS > 0 {
		result.ISO, result.ShutterS = camera.ISO, camera.ShutterS
	}
	var problems []error
	for _, text := range joinValues(args) {
		value, unit, err := convertValue(text, meter, camera)
		if err != nil {
			problems = append(problems, err)
			continue
		}
		result.Values = append(result.Values, value)
		result.Inferred = assume(result.Inferred, unit, value, meter, camera)
	}
	if len(problems) > 0 {
		return errors.Join(problems...)
	}
	return a.answer(result, answers.Convert(result, a.words(), a.full))
}

// assume adds what a value of a unit rests on and was not said.
func assume(told []string, unit photometry.Unit, value answers.Converted, meter photometry.Meter, camera photometry.Exposure) []string {
	text := ""
	switch {
	case unit == photometry.EV:
		text = fmt.Sprintf("EV is read at ISO %.0f", meter.Speed())
	case value.LXS != nil && camera.ISO == 0:
		text = "flash at ISO 100, since none was given"
	case value.EV100 != nil && camera.ISO > 0 && camera.ShutterS == 0:
		text = "no shutter given (--shutter or --fps), so no exposure"
	}
	if text == "" || slices.Contains(told, text) {
		return told
	}
	return append(told, text)
}

// convertValue reads one text as a color or as a level; the unit is NoUnit for
// a color.
func convertValue(text string, meter photometry.Meter, camera photometry.Exposure) (value answers.Converted, unit photometry.Unit, err error) {
	value.Input = text
	if looksLikeColor(text) {
		xy, err := colorimetry.Parse(text)
		if err != nil {
			return value, unit, fmt.Errorf("%s: %w", text, err)
		}
		color, err := colorimetry.Convert(xy)
		if err != nil {
			return value, unit, fmt.Errorf("%s: %w", text, err)
		}
		value.Color = &color
		return value, unit, nil
	}
	if isMarkAndFraction(text) {
		meter.Unit = photometry.FStop // 5.6 7/10 is how an f-number is read
	}
	level, unit, err := meter.ParseLevel(text)
	switch {
	case err != nil:
		return value, unit, err
	case !hasUnit(text):
		return value, unit, fmt.Errorf("found %q, expected a unit with it, such as %slx, %sfc or %sK", text, text, text, text)
	case level.Quantity == photometry.Relative:
		return value, unit, fmt.Errorf("found %q, expected a level with a unit that others stand for, such as 1250lx", text)
	case level.Value == 0 || !schema.IsMeasurable(level.Value):
		return value, unit, fmt.Errorf("found %q, expected a level that a meter can show", text)
	}
	value.Level = photometry.Convert(level, unit, meter, camera)
	return value, unit, nil
}

// isMarkAndFraction tells a mark and a part of a stop, 5.6 7/10, which only an
// f-number has.
func isMarkAndFraction(text string) bool {
	mark, part, ok := strings.Cut(strings.TrimSpace(text), " ")
	return ok && !hasUnit(mark) && isFraction(part)
}

var isFraction = regexp.MustCompile(`^[0-9]+/[0-9]+$`).MatchString

// hasUnit tells whether a value names its unit: anything but a number does.
func hasUnit(text string) bool {
	_, err := table.ParseNumber(text)
	return err != nil
}

// joinValues puts together what a shell took apart: 116 fc, 5.6 7/10.
func joinValues(args []string) []string {
	var out []string
	for _, arg := range args {
		_, isUnit := photometry.ParseUnit(arg)
		lower := strings.ToLower(arg)
		isUnit = isUnit || lower == "k" || lower == "mired"
		if len(out) > 0 && (isUnit && lower != "f" || isFraction(arg)) {
			out[len(out)-1] += " " + arg
			continue
		}
		out = append(out, arg)
	}
	return out
}

// looksLikeColor tells a color from a level by how it is written.
func looksLikeColor(text string) bool {
	lower := strings.ToLower(strings.TrimSpace(text))
	return strings.Contains(lower, ":") || strings.Contains(lower, "duv") ||
		slices.ContainsFunc([]string{"k", "kelvin", "mired", "mireds"}, func(ending string) bool { return strings.HasSuffix(lower, ending) })
}
