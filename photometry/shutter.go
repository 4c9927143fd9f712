package photometry

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

const shutterWanted = "a shutter such as 1/48, 0.02 s, 20 ms or 180° with a frame rate"

var dateLike = regexp.MustCompile(`(?i)^(\d{1,4}-\d{1,2}-\d{1,4}|\d{1,4}/\d{1,2}/\d{1,4}|\d{1,4}\.\d{1,2}\.\d{1,4}|\d{1,2}[-. ]?(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*|(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[-. ]?\d{1,4})(\s.*)?$`)

// longestOfFrame is how much of a frame a shutter may be open for: all of it, and a
// hundredth for times that were rounded as they were written down.
const longestOfFrame = 1.01

// ShutterFits tells whether a shutter in seconds fits into a frame; a frame rate
// of 0 is none, and any shutter fits.
func ShutterFits(seconds, framesPerSecond float64) bool {
	return !(framesPerSecond > 0 && seconds*framesPerSecond > longestOfFrame)
}

// ParseShutter reads a shutter time in seconds: 1/48, 1/48 s, 0.02 s, 2 s, 20
// ms. An angle (180°, 172.8 deg) needs the frame rate in frames a second; 0
// means that none is known; with one a time longer than a frame is refused. Times are taken as written, marks are not
// corrected. A bare number of 1 or more is refused as ambiguous (seconds or a
// denominator), and a date is recognized as what a spreadsheet makes of 1/48.
func ParseShutter(text string, framesPerSecond float64) (float64, error) {
	body := strings.ToLower(strings.TrimSpace(text))
	if dateLike.MatchString(body) {
		return 0, &SyntaxError{text, shutterWanted + " (a spreadsheet may have turned 1/48 into a date: format the cell as text)"}
	}
	for _, deg := range []string{"°", "degrees", "deg"} {
		if angle, ok := strings.CutSuffix(body, deg); ok {
			return parseShutterAngle(text, angle, framesPerSecond)
		}
	}
	scale, hasUnit := 1.0, false
	for _, unit := range []struct {
		name  string
		scale float64
	}{{"ms", 1e-3}, {"seconds", 1}, {"second", 1}, {"sec", 1}, {"s", 1}, {"″", 1}, {"\"", 1}} {
		if cut, ok := strings.CutSuffix(body, unit.name); ok {
			body, scale, hasUnit = strings.TrimSpace(cut), unit.scale, true
			break
		}
	}
	seconds, isFraction := quotient(body)
	if !isFraction {
		v, err := ParseNumber(body)
		if err != nil {
			return 0, &SyntaxError{text, shutterWanted}
		}
		if !hasUnit && v >= 1 {
			return 0, &SyntaxError{text, "1/" + strings.TrimSpace(text) + " or " + strings.TrimSpace(text) + " s; a bare number could be either"}
		}
		seconds = v
	}
	seconds *= scale
	if !(seconds > 0) || math.IsInf(seconds, 0) {
		return 0, &SyntaxError{text, shutterWanted}
	}
	// A hundredth is what rounding a time may do.
	if !ShutterFits(seconds, framesPerSecond) {
		return 0, &SyntaxError{text, "a time no longer than a frame, " + FormatShutter(1/framesPerSecond) + " at " + strconv.FormatFloat(framesPerSecond, 'g', 5, 64) + " frames a second"}
	}
	return seconds, nil
}

// parseShutterAngle reads the angle of a shutter that was written as text.
func parseShutterAngle(text, angle string, framesPerSecond float64) (float64, error) {
	v, err := ParseNumber(angle)
	switch {
	case err != nil || !(v > 0 && v <= 360):
		return 0, &SyntaxError{text, "a shutter angle above 0° up to 360°"}
	case !(framesPerSecond > 0):
		return 0, &SyntaxError{text, "a frame rate with a shutter angle, such as 24 frames a second"}
	}
	return ShutterFromAngle(v, framesPerSecond), nil
}

// quotient reads a fraction, of two numbers where they are not whole: 1/48, 1/2.5.
func quotient(text string) (float64, bool) {
	if v, ok := ParseFraction(text); ok {
		return v, true
	}
	above, below, ok := strings.Cut(text, "/")
	a, errA := ParseNumber(above)
	b, errB := ParseNumber(below)
	return a / b, ok && errA == nil && errB == nil && b > 0
}

// FormatShutter prints a time in seconds as 1/48 s, 1/2.5 s or 2 s.
func FormatShutter(seconds float64) string {
	if seconds >= 1 {
		return strconv.FormatFloat(seconds, 'g', 3, 64) + " s"
	}
	below := 1 / seconds
	if near := math.Round(below); math.Abs(below-near) < 0.0005*below {
		below = near
	}
	return "1/" + strconv.FormatFloat(math.Round(below*100)/100, 'f', -1, 64) + " s"
}
