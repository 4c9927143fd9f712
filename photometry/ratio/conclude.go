package ratio

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// conclude says what holds for all marks: unit, verdict, flicker, advice and
// cautions.
func (a *analysis) conclude() {
	o := a.out
	o.Unit = o.Marks[0].Unit
	steady := false
	for _, r := range a.in.Readings {
		steady = steady || r.Level.Quantity != photometry.LuminousExposure
	}
	for _, m := range o.Marks {
		if m.Unit != o.Unit {
			o.Unit = ""
		}
		o.Verdict = worst(o.Verdict, m.Verdict)
	}
	a.missingTargets()
	camera := a.in.Camera
	if steady {
		mains := []float64{50, 60}
		if a.in.MainsHz > 0 {
			mains = []float64{a.in.MainsHz}
		}
		o.Flicker = Flickers(camera.ShutterS, camera.FramesPerSecond, mains...)
	}
	if !photometry.ShutterFits(camera.ShutterS, camera.FramesPerSecond) {
		o.Warnings = append(o.Warnings, found("shutter_too_long", "A shutter of %s does not fit into a frame at %g frames a second.", photometry.FormatShutter(camera.ShutterS), camera.FramesPerSecond))
	}
	a.advise()
	a.cautions(steady)
}

// missingTargets warns of a target for a light that no mark has.
func (a *analysis) missingTargets() {
	for _, t := range a.in.AreaTargets {
		read := false
		for _, m := range a.marks {
			read = read || m.light(t.Role) != nil
		}
		if !read {
			a.out.Warnings = append(a.out.Warnings, found("target_unread", "A target is set for the %s, which was not read.", t.Role))
			a.out.Verdict = worst(a.out.Verdict, uncertainty.Unsure)
		}
	}
}

// advise collects what to do, mark by mark.
func (a *analysis) advise() {
	add := func(m Mark, code, format string, args ...any) {
		text := fmt.Sprintf(format, args...)
		if len(a.out.Marks) > 1 {
			text = m.Label + ": " + text
		}
		a.out.Advice = append(a.out.Advice, photometry.Finding{Code: code, Text: text})
	}
	for i, m := range a.out.Marks {
		for _, j := range m.Judged {
			if j.Verdict == uncertainty.Pass {
				continue
			}
			var ways []string
			for _, c := range m.ToTarget {
				if c.Of == j.Of {
					ways = append(ways, c.Text)
				}
			}
			switch {
			case j.FoundStops == nil:
				add(m, "read_first", "Read what is missing first; without it %s cannot be judged.", strings.ReplaceAll(j.Of, "_", " "))
			case j.Doubtful:
				add(m, "read_again", "Read key plus fill again first: the verdict changes with it.")
			case j.Verdict == uncertainty.Unsure:
				add(m, "read_again", "%s", a.settling(a.marks[i], j))
			}
			if len(ways) > 0 && j.Verdict == uncertainty.Fail {
				add(m, "reach", "%s.", sentence(strings.Join(ways, "; or ")))
			}
		}
	}
}

// manyRepeats is how many readings of a light nobody takes.
const manyRepeats = 12

// settling says how often in all to read the two lights that a figure rests on so
// that its interval no longer reaches over the tolerance.
func (a *analysis) settling(m *mark, j Judged) string {
	margin := math.Abs(math.Abs(*j.FoundStops-j.TargetStops) - a.in.ToleranceStops)
	read := m.fewestReadings(j.Of)
	// With one reading each, in units of one reading's half width, which repeats
	// change as well.
	once := (j.IntervalStops[1] - j.IntervalStops[0]) / 2 / a.factor * math.Sqrt(float64(read))
	for k := read + 1; k <= manyRepeats; k++ {
		if a.halfWidth(2*(k-read))*once/math.Sqrt(float64(k)) < margin {
			return fmt.Sprintf("Read %s %d times each: the interval reaches over the tolerance.", readAgain(j.Of), k)
		}
	}
	name := strings.ReplaceAll(j.Of, "_", " ")
	return sentence(fmt.Sprintf("%s is right at the tolerance, where more readings hardly help: change the light a little.", name))
}

// fewestReadings is how often the light was read that a figure rests on and that
// was read least.
func (m *mark) fewestReadings(of string) int {
	roles := []Role{Role(of), KeyRole}
	switch of {
	case KeyToFillConvention:
		roles = []Role{KeyRole, FillRole}
	case LightingConvention:
		roles = []Role{keyPlusFill, FillRole}
	}
	fewest := 0
	for _, l := range m.lights {
		if slices.Contains(roles, l.role) && (fewest == 0 || l.readings < fewest) {
			fewest = l.readings
		}
	}
	return max(1, fewest)
}

// readAgain are the lights that a figure rests on.
func readAgain(of string) string {
	switch of {
	case KeyToFillConvention:
		return "key and fill"
	case LightingConvention:
		return "key plus fill and the fill"
	}
	return "the " + of + " and the key"
}

// sentence begins with a capital.
func sentence(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// cautions are what may hurt someone.
func (a *analysis) cautions(steady bool) {
	add := func(code, text string) {
		a.out.Cautions = append(a.out.Cautions, photometry.Finding{Code: code, Text: text})
	}
	changes := false
	for _, m := range a.out.Marks {
		changes = changes || len(m.ToTarget) > 0 && m.Verdict == uncertainty.Fail
	}
	if a.anyFlash {
		add("flash", "Eyes: warn people before flashes; they can harm photosensitive people.")
	} else {
		for _, f := range a.out.Flicker {
			if f.Safe != nil && !*f.Safe {
				add("flicker", "Flicker that a camera sees may also trouble photosensitive people.")
				break
			}
		}
	}
	if changes {
		if steady {
			add("heat", "Lamps and scrims are hot: wear gloves, and let a lamp cool before it is moved.")
		}
		add("stands", "Moved stands need sandbags and safety bonds; local codes and licensed people come first.")
		add("estimate", "Changes are computed, distances for lamps small for them; a dimmed filament goes warmer. Meter again after each.")
	}
}
