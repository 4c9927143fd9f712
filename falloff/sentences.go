package falloff

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
)

// Finding is one thing that a result has to say; see photometry.Finding.
type Finding = photometry.Finding

// Conclusions are what a result says in sentences.
type Conclusions struct {
	// Causes says why the light falls, or the meter reads, as it does, Advice
	// what to do, Warnings what to be careful of (among them each reason against
	// a settled result).
	Causes   []Finding `json:"causes,omitempty"`
	Advice   []Finding `json:"advice,omitempty"`
	Warnings []Finding `json:"warnings,omitempty"`

	// Inferred are assumptions that the figures rest on, and ReadAs how the file
	// was understood; both are empty for readings that came from no file. ReadAs
	// stays off the JSON, so that the same readings give the same JSON from any
	// kind of file.
	Inferred []string `json:"inferred,omitempty"`
	ReadAs   []string `json:"-"`
}

func (c *Conclusions) warn(sentence string, values ...any) {
	c.Warnings = append(c.Warnings, say(sentence, values...))
}

func (c *Conclusions) cause(sentence string, values ...any) {
	c.Causes = append(c.Causes, say(sentence, values...))
}

func (c *Conclusions) advise(sentence string, values ...any) {
	c.Advice = append(c.Advice, say(sentence, values...))
}

// caused says whether one of the codes is among the causes.
func (c *Conclusions) caused(codes ...string) bool {
	return slices.ContainsFunc(c.Causes, func(f Finding) bool { return slices.Contains(codes, f.Code) })
}

// say puts values into a sentence. What stands before a slash is the finding's
// code.
func say(sentence string, values ...any) Finding {
	text, known := sentences[sentence]
	if !known {
		panic("falloff: no sentence " + sentence)
	}
	code, _, _ := strings.Cut(sentence, "/")
	return Finding{Code: code, Text: fmt.Sprintf(text, values...)}
}

// sentences are what findings say, by their codes and, where a code has several,
// by a word behind a slash.
var sentences = map[string]string{
	// Whether the inverse square holds: the subject, where it does, how exactly,
	// and what light there is besides.
	"holds":           "the inverse square holds",
	"holds/by_itself": "for the light by itself the inverse square holds",
	"seems":           "the inverse square seems to hold",
	"seems/by_itself": "for the light by itself the inverse square seems to hold",
	HoldsAllTheWay:    "%s all the way, %s",
	HoldsFrom:         "%s from %s on%s",
	HoldsBeyond:       "%s only from %s on%s, farther than was read",
	HoldsElsewhere:    "%s with distances from %s %s the present zero; as they are measured, only from %s on",
	HoldsUntold:       "whether the inverse square holds cannot be told: no law fits these readings",
	NoInverse:         "No inverse square: the level rises with distance.",
	"in_doubt":        "%s is in doubt; with it %s",
	"exactly":         ", within 1 %%",
	"exactly/few":     ", as far as so few readings tell",
	"exactly/nowhere": ", as far as these readings tell; to 1 %% that is sure nowhere",
	"exactly/from":    ", as far as these readings tell; to 1 %% that is sure from %s on",
	"besides":         "; ambient light or bounce adds more than 1 %% everywhere",
	"besides/beyond":  "; ambient light or bounce adds more than 1 %% beyond %s",

	// Of a distance series: what to be careful of.
	"few_readings":               "Readings at %d distances cannot tell one law from another: read at %d or more.",
	"few_readings/unchecked":     "Only %d reading more than the law has parameters: nothing checks it.",
	"short_range":                "From %s to %s the distance changes by a factor of %s only: too little to see how the light falls.",
	"no_model_fits":              "The readings scatter %s times more about the best law than their repeatability of %s %% allows: no model here is the whole story, and the intervals are stretched to match.",
	"rival_model":                "%s fits about as well (score %.1f against %.1f) and would put %s.",
	"rival_model/intensity":      "the intensity at %s instead of %s",
	"rival_model/inverse_square": "the start of the inverse square at %s instead of %s",
	"rival_model/near":           "the near end of the zone at %s instead of %s",
	"rival_model/far":            "the far end of the zone at %s instead of %s",
	"rival_model/far_at_all":     "the far end of the zone at %s",
	"rival_model/no_far":         "no far end to the zone",
	"rising":                     "The level rises by %s stop from %s to %s. A light alone falls with distance: look for a light that is focused farther out, another light, the meter's own shadow, or two readings swapped.",
	"rising/everywhere":          "The level rises by %s stop from %s to %s. A light alone falls with distance: look for columns swapped, distances measured from the wrong end, or another light behind the meter.",
	"outlier":                    "%s (%s at %s) is %s stop off the law of all the others: read it again.",
	"extrapolated/mark":          "The mark at %s is outside what was read, %s to %s: what is said about it is extrapolated.",
	"extrapolated/far":           "The far end of the zone, %s, is beyond the farthest reading (%s).",
	"extrapolated/near":          "The near end of the zone, %s, is nearer than the nearest reading (%s).",
	"extrapolated/wanted":        "The wanted level stands at %s, outside what was read (%s to %s).",
	"mark_behind_source":         "The light seems to start %s ahead of where distances are measured from, beyond the mark at %s: there is no zone to give.",
	"no_far_end":                 "Ambient light holds the level up: behind the mark it never falls by %s stop.",
	"level_out_of_reach":         "The wanted level %s is more than this light gives at any distance.",
	"level_out_of_reach/ambient": "The wanted level %s is below the ambient light of %s: no distance gives it.",
	"ambient_dominates":          "At %s ambient light is more than the source's own: the reading there says little about the source.",
	"repeatability_assumed":      "A repeatability of %s %% is assumed. Repeat a few readings, or note your meter's own.",
	"dome":                       "A dome takes in light from the sides and behind: it counts more ambient light than a flat receptor would.",

	// Why the light falls as it does.
	"inverse_square":      "The source's own light follows the inverse square at every distance read.",
	"inverse_square/size": "The source's own light follows the inverse square at every distance read. A source too small to show could still bend it nearer than %s.",
	"source_size":         "The source looks %s across: nearer than %s its light falls more gently than the inverse square.",
	"origin_behind":       "The light falls as if it started %s behind the point that distances are measured from, as behind a lens or a reflector.",
	"origin_ahead":        "The light falls as if it started %s ahead of the point that distances are measured from: a lens that crosses its rays there, or a tape laid from farther back.",
	"ambient":             "About %s of every reading does not fall with distance: ambient or bounce, %s %% of the level at %s and %s %% at %s.",
	"source_size_unclear": "A source %s across fits a little better than a point, but anything from none to %s would do.",
	"origin_unclear":      "An origin %s off fits a little better than none, but anything from %s to %s would do.",
	"ambient_unclear":     "Ambient light of %s fits a little better than none, but anything from none to %s would do.",

	// What to do next.
	"read_again":        "Read %s again first: all of this may change with it.",
	"read_again/rival":  "%s at %s would tell %s (%s expected) from %s (%s).",
	"read_again/series": "No single reading tells %s from %s: read the whole series again from %s to %s, several times at each place.",
	"read_again/range":  "Read at %s as well, and at %s: twice as far and half as near.",
	"read_again/gap":    "Read at %s as well, in the widest gap, and at %s.",
	"read_ambient":      "To be sure of the ambient light, read once with the light off: about %s is expected. What stays above that with the light on is bounce, and a flag or a black drape takes it away.",
	"measure_from":      "Measured from %s %s the present zero, distances obey the inverse square.",
	"depth":             "Within ±%s stop of the level at %s there are %s of depth, from %s to %s. Twice the distance gives about twice the depth.",

	// Of a meter: what to be careful of.
	"resolution_hides": "All repeats agree to the last digit shown: the display is coarser than the meter. Note the step as a resolution instead.",
	"few_repeats":      "Too few repeats to go by (anything from %s to %s %% would do): until there are five or more readings of one light, the larger of this and 2 %% stands.",
	"one_sided":        "Angles on one side alone cannot tell a tilted receptor from a directional error: read the other side too.",
	"dome/angles":      "These readings follow a dome, not a flat receptor, and no f2 is given: %s.",
	"f2_short":         "f2 stops at %s°, %s; the index proper runs to 85° and is larger.",
	"bent":             "With the distances as they stand the meter shows %.2f of every stop, and no other place of the source explains the ladder as well.",
	"not_the_meter":    "%s explains the ladder better than a fault of the meter: take ambient light away, keep five source diameters off, or use filters.",
	"offset_or_meter":  "The ladder is linear only if the source is %s %s where the distances count from. With the distances as they stand the meter shows %.2f of every stop and strays by up to %.2g stop. Measure from the source itself and keep five of its diameters off, or read filters of known density before one fixed light: that tells the two apart.",
	"filter_density":   "A filter's own density counts as the meter's fault here: use filters of known density.",

	// How good the meter is, and what to do.
	"directional":   "At %s° the meter reads %.1f %% %s of the cosine law: light from the side counts wrong by that much.",
	"cosine":        "The cosine law is kept within the scatter of the readings, to %s°.",
	"not_linear":    "Over %.1f stops of level the meter strays by up to %.2g stop, more than its repeatability explains.",
	"linear":        "Over %.1f stops of level the meter is linear within its repeatability (largest deviation %.2g stop).",
	"note":          "Paste this line at the head of a survey: %s",
	"turn_to_light": "Light that comes from %s reads wrong by more than a tenth of a stop: turn the receptor to such a light and read it alone.",
}

// dataEntryErrors are the errors of writing a reading down that put it so many
// stops off its law.
var dataEntryErrors = []struct {
	stops float64
	code  string
	text  string
}{
	{2 * math.Log2(1/0.3048), "lux_fc_swap", " Lux and footcandles, or meters and feet, swapped would do that."},
	{math.Log2(10), "decimal_slip", " A slip of the decimal point would do that."},
	{2 * math.Log2(10), "decimal_slip", " A slip of the decimal point in the distance would do that."},
	{2 * math.Log2(100), "decimal_slip", " A distance in centimeters taken for meters would do that."},
}

// Words say how the sentences of a result write levels and lengths. Figures
// stay in SI units whatever the words. The zero value writes the unit of the
// result and meters, with three digits.
type Words struct {
	// Level writes a level given in the unit of the result.
	Level func(level float64) string
	// Length writes a length given in meters.
	Length func(meters float64) string
}

// length writes a length with its unit.
func (o Options) length(meters float64) string {
	switch {
	case math.IsInf(meters, 0):
		return "any distance"
	case o.Words.Length != nil:
		return o.Words.Length(meters)
	}
	return digits(meters) + " m"
}

// level writes a level with its unit.
func (o Options) level(v float64) string {
	if o.Words.Level != nil {
		return o.Words.Level(v)
	}
	return digits(v) + map[string]string{UnitLux: " lx", UnitLuxSecond: " lx·s"}[o.Unit]
}

// intensity writes an intensity with its unit.
func (o Options) intensity(v float64) string {
	return digits(v) + map[string]string{UnitLux: " cd", UnitLuxSecond: " cd·s"}[o.Unit]
}

// within writes the half width of the zone, the usual third as a fraction.
func (o Options) within() string {
	if math.Abs(o.WithinStops-1.0/3) < 1e-3 {
		return "1/3"
	}
	return digits(o.WithinStops)
}

// FromTo writes a range of two figures that write writes, with a unit that both
// share once, at the end: 1.2 to 3.4 m.
func FromTo(lo, hi float64, write func(float64) string) string {
	low, high := write(lo), write(hi)
	number, unit, ok := strings.Cut(low, " ")
	if ok && strings.HasSuffix(high, " "+unit) && !strings.HasPrefix(low, "f/") {
		low = number
	}
	return low + " to " + high
}

// Format writes the interval in brackets after a figure, as (1.2 to 3.4 m), with
// open ends in words: (at least 1.2 m). It writes nothing where both are open.
func (i Interval) Format(write func(float64) string) string {
	low, high := math.IsInf(i.Lo, -1), math.IsInf(i.Hi, 1)
	switch {
	case low && high:
		return ""
	case high:
		return " (at least " + write(i.Lo) + ")"
	case low:
		return " (at most " + write(i.Hi) + ")"
	}
	return " (" + FromTo(i.Lo, i.Hi, write) + ")"
}

// digits writes v for a person with three significant digits and no exponent
// where the figure is of everyday size.
func digits(v float64) string {
	if a := math.Abs(v); a >= 1000 && a < 1e7 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}

// choose returns one of two words.
func choose(condition bool, yes, no string) string {
	if condition {
		return yes
	}
	return no
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
