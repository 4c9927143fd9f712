package colorimetry

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// CC is a green or magenta color compensating filter in CC points, positive
// green and negative magenta. A CC filter's number is its peak density times
// 100: CC30M has density 0.30 at the middle of its band. Meters, cameras and gel
// books count in the same points, so that on the set 1M is a hundredth of
// density, and full plus green or minus green is 30 (common practice, no source;
// the numbering of CC filters by density is the photographic trade's).
type CC float64

// FullGreen is the strength of a full plus green or full minus green gel in CC
// points (common practice, no source).
const FullGreen CC = 30

// notation is needs 10M, has CC2.5G, needs 0, in plain form.
var notation = regexp.MustCompile(`^(needs?|has)?(?:cc)?([+-]?[0-9]*[.,]?[0-9]+|[0-9]+\.)(?:cc)?(m|magenta|g|green)?$`)

// ParseNeeds reads a green–magenta reading as written on the set and returns the
// filter that the light needs:
//
//	needs 10M   the light is green; CC10M takes it to Duv 0
//	has 10G     the same light, described by its cast
//
// "needs" is what must be added, "has" is the cast of the light. A bare 10M can
// be read either way and is an error that says both; so is a strength beyond
// CC100, which no filter has. 0 is neutral with or without a word.
func ParseNeeds(s string) (CC, error) {
	m := notation.FindStringSubmatch(plain(s))
	if m == nil {
		return 0, fmt.Errorf("%q is not a green–magenta reading: write needs 10M or has 10G", s)
	}
	points, err := strconv.ParseFloat(strings.Replace(m[2], ",", ".", 1), 64)
	if err != nil {
		return 0, fmt.Errorf("%q: %q is not a number of CC points", s, m[2])
	}
	switch {
	case points == 0:
		return 0, nil
	case m[3] == "":
		return 0, fmt.Errorf("%q has no color: write M for magenta or G for green after the number", s)
	case points < 0:
		return 0, fmt.Errorf("%q: a minus sign and a color letter do not go together; write needs %gM or needs %gG", s, -points, -points)
	case points > 100:
		return 0, fmt.Errorf("%q: CC filters end at CC100", s)
	}
	cc := CC(points)
	if m[3][0] == 'm' {
		cc = -cc
	}
	switch {
	case m[1] == "":
		return 0, fmt.Errorf("%q can be read two ways: %q (this must be added to the light) or %q (this is the light's own cast, so it %s); write which", s, cc.Needs(), "has "+cc.String(), (-cc).Needs())
	case m[1] == "has":
		return -cc, nil
	}
	return cc, nil
}

// ParseFilter reads the strength of a filter as a gel book writes it: 30G,
// CC15M, 7.5 magenta, 0. The letter is the sign and cannot be left out.
func ParseFilter(s string) (CC, error) {
	text := plain(s)
	m := notation.FindStringSubmatch(text)
	if m == nil || m[1] != "" || strings.ContainsAny(m[2], "+-") {
		return 0, fmt.Errorf("%q is not a filter's strength: write 30G or 15M", s)
	}
	cc, err := ParseNeeds("needs" + text)
	switch {
	case err == nil:
		return cc, nil
	case m[3] == "":
		return 0, fmt.Errorf("%q has no color: write M for magenta or G for green after the number", s)
	}
	return 0, fmt.Errorf("%q: CC filters end at CC100", s)
}

// Color returns green, magenta or nothing.
func (c CC) Color() string {
	switch {
	case c > 0:
		return "green"
	case c < 0:
		return "magenta"
	}
	return ""
}

// String writes the filter as points and a letter: 10M, 2.5G, 0. It keeps every
// digit; round first for people.
func (c CC) String() string {
	color := c.Color()
	if color == "" {
		return "0"
	}
	return strconv.FormatFloat(math.Abs(float64(c)), 'f', -1, 64) + strings.ToUpper(color[:1])
}

// Needs writes the filter as what a light must be given, as ParseNeeds reads it:
// needs 10M.
func (c CC) Needs() string { return "needs " + c.String() }

// Has writes, of the filter that a light needs, the cast that the light has:
// CC(−10).Has() is has 10G.
func (c CC) Has() string { return "has " + (-c).String() }

// Round returns the filter rounded to halves of a CC point, finer than any gel
// is cut and any meter repeats.
func (c CC) Round() CC { return CC(math.Round(float64(c)*2) / 2) }
