package colorimetry

import (
	"fmt"
	"math"
	"strings"
)

// Lamp is one lamp of a table: its measured color, its level in any unit that
// all share (0 where it is not known), and whether it is the key.
type Lamp struct {
	Name  string
	Light CCT
	Level float64
	Key   bool
}

// Aim says what color all lamps are to have. The zero value is the color of the
// majority; otherwise exactly one field is set.
type Aim struct {
	To   CCT    // a color
	Lamp string // a lamp's
	Key  bool   // the key's
}

// LampCorrection is what one lamp of a table needs. Gels are those of its best
// stack, none where it is within tolerance or the bag has nothing useful; After
// is the color with them.
type LampCorrection struct {
	Name string `json:"name"`
	Correction
	Gels       []string `json:"gels"`
	After      CCT      `json:"after"`
	LossStops  float64  `json:"loss_stops"`
	LevelAfter float64  `json:"level_after,omitempty"` // where the level is known
	Within     bool     `json:"within_tolerance"`      // of the target, with the gels
}

// LampsCorrection is what brings a table of lamps to one color.
type LampsCorrection struct {
	Target     CCT              `json:"target"`
	TargetFrom string           `json:"target_from"` // given, key, lamp or majority
	Lamps      []LampCorrection `json:"lamps"`
	Camera     *CameraSetting   `json:"camera,omitempty"` // for what all share once corrected
	Mixed      *CCT             `json:"mixed,omitempty"`  // all lamps together once corrected, where levels are known
	Advice     []Finding        `json:"advice"`
	Warnings   []Finding        `json:"warnings"`
}

// CorrectAll brings each lamp of a table to one color: a given one, that of the
// key or of a named lamp, or that of the majority. Errors as in Correct; also no
// lamps, a name twice, a named lamp or a key that is not there.
func CorrectAll(lamps []Lamp, aim Aim, bag []Gel, opts Options) (LampsCorrection, error) {
	opts = opts.filled()
	if err := checkLamps(lamps); err != nil {
		return LampsCorrection{}, err
	}
	sheets, err := compile(bag)
	if err != nil {
		return LampsCorrection{}, err
	}
	out := LampsCorrection{Lamps: []LampCorrection{}, Advice: []Finding{}, Warnings: []Finding{}}
	if err := out.aim(lamps, aim, opts); err != nil {
		return LampsCorrection{}, err
	}
	warned := map[Finding]bool{}
	for _, g := range bag {
		out.Warnings = append(out.Warnings, g.Findings()...)
	}
	for _, l := range lamps {
		c, err := correct(l.Light, out.Target, sheets, opts)
		if err != nil {
			return LampsCorrection{}, fmt.Errorf("lamp %q: %w", l.Name, err)
		}
		lc := LampCorrection{Name: l.Name, Gels: []string{}, After: l.Light, LevelAfter: l.Level}
		if hasFinding(c.Advice, "best_stack") {
			best := c.Stacks[0]
			lc.Gels, lc.After, lc.LossStops = best.Gels, best.Reading(), best.LossStops
			lc.LevelAfter *= math.Exp2(-best.LossStops)
		}
		if s, err := ShiftBetween(lc.After, out.Target); err == nil {
			lc.Within = opts.same(s)
		}
		// What holds for every lamp is said once, for the table.
		var own []Finding
		for _, w := range c.Warnings {
			switch w.Code {
			case "heat", "estimate", "nominal_gels":
				if !warned[w] {
					out.Warnings = append(out.Warnings, w)
				}
				warned[w] = true
			default:
				own = append(own, w)
			}
		}
		c.Warnings = append([]Finding{}, own...)
		lc.Correction = c
		out.Lamps = append(out.Lamps, lc)
	}
	out.finish(lamps, opts)
	return out, nil
}

func checkLamps(lamps []Lamp) error {
	if len(lamps) == 0 {
		return fmt.Errorf("there are no lamps to correct")
	}
	seen := map[string]bool{}
	for i, l := range lamps {
		key := strings.ToLower(strings.TrimSpace(l.Name))
		if key == "" {
			return fmt.Errorf("lamp %d has no name", i+1)
		}
		if seen[key] {
			return fmt.Errorf("lamp %q is in the table twice", l.Name)
		}
		seen[key] = true
		if err := l.Light.Check(); err != nil {
			return fmt.Errorf("lamp %q: %w", l.Name, err)
		}
		if !finite(l.Level) || l.Level < 0 {
			return fmt.Errorf("lamp %q: level %v is not a number from 0 up", l.Name, l.Level)
		}
	}
	return nil
}

func hasFinding(findings []Finding, code string) bool {
	for _, f := range findings {
		if f.Code == code {
			return true
		}
	}
	return false
}

// aim settles the target.
func (out *LampsCorrection) aim(lamps []Lamp, aim Aim, opts Options) error {
	switch {
	case aim.To != CCT{}:
		if err := aim.To.Check(); err != nil {
			return fmt.Errorf("target: %w", err)
		}
		out.Target, out.TargetFrom = aim.To, "given"
		return nil
	case aim.Lamp != "":
		var names []string
		for _, l := range lamps {
			if strings.EqualFold(strings.TrimSpace(aim.Lamp), strings.TrimSpace(l.Name)) {
				out.Target, out.TargetFrom = l.Light, "lamp"
				return nil
			}
			names = append(names, l.Name)
		}
		return fmt.Errorf("target lamp %q is not in the table; it has %s", aim.Lamp, strings.Join(names, ", "))
	case aim.Key:
		for _, l := range lamps {
			if l.Key {
				out.Target, out.TargetFrom = l.Light, "key"
				return nil
			}
		}
		return fmt.Errorf("no lamp of the table is marked as the key")
	}
	return out.majority(lamps, opts)
}

// majority takes the largest group of lamps that agree within tolerance with one
// of them (at a tie the one that misses the others least), and mixes that group,
// by levels where all are known and in equal parts otherwise.
func (out *LampsCorrection) majority(lamps []Lamp, opts Options) error {
	var best []Lamp
	bestSum := math.Inf(1)
	for _, a := range lamps {
		var group []Lamp
		sum := 0.0
		for _, b := range lamps {
			s, err := ShiftBetween(a.Light, b.Light)
			if err != nil {
				return err
			}
			sum += s.DeltaUVPrime
			if opts.same(s) {
				group = append(group, b)
			}
		}
		if len(group) > len(best) || len(group) == len(best) && sum < bestSum {
			best, bestSum = group, sum
		}
	}
	mixed, err := mixLamps(best)
	if err != nil {
		return err
	}
	out.Target, out.TargetFrom = mixed, "majority"
	var names []string
	for _, l := range best {
		names = append(names, l.Name)
	}
	switch {
	case len(best) == 1 && len(lamps) > 1:
		out.Warnings = append(out.Warnings, Finding{"no_majority", fmt.Sprintf("No two lamps agree within %g mired and %g Duv; the target is %s, the nearest to all the others.", opts.ToleranceMired, opts.ToleranceDuv, names[0])})
	case 2*len(best) <= len(lamps):
		out.Warnings = append(out.Warnings, Finding{"no_majority", fmt.Sprintf("No majority of the lamps agrees; the target is the largest group, %s.", strings.Join(names, ", "))})
	}
	return nil
}

// mixLamps returns the color of the lamps together, by level where all levels
// are known and in equal parts otherwise.
func mixLamps(lamps []Lamp) (CCT, error) {
	if len(lamps) == 1 {
		return lamps[0].Light, nil
	}
	known := allLevels(lamps)
	var parts []Light
	for _, l := range lamps {
		xy, err := l.Light.XY()
		if err != nil {
			return CCT{}, err
		}
		level := 1.0
		if known {
			level = l.Level
		}
		parts = append(parts, Light{level, xy})
	}
	sum, err := Mix(parts...)
	if err != nil {
		return CCT{}, err
	}
	return sum.XY.CCT()
}

func allLevels(lamps []Lamp) bool {
	for _, l := range lamps {
		if !(l.Level > 0) {
			return false
		}
	}
	return true
}

// finish says what holds for all lamps together.
func (out *LampsCorrection) finish(lamps []Lamp, opts Options) {
	if s, err := SettingFor(out.Target, opts.Camera); err == nil {
		out.Camera = &s
		out.Advice = append(out.Advice, Finding{"camera", fmt.Sprintf("With the lamps at %v, %s.", out.Target, s)})
	}
	after := make([]Lamp, len(lamps))
	worst, loss := -1, -1
	for i, l := range out.Lamps {
		after[i] = Lamp{Name: l.Name, Light: l.After, Level: l.LevelAfter}
		if !l.Within && (worst < 0 || l.Steps > out.Lamps[worst].Steps) {
			worst = i
		}
		if loss < 0 || l.LossStops > out.Lamps[loss].LossStops {
			loss = i
		}
	}
	if allLevels(lamps) {
		if mixed, err := mixLamps(after); err == nil {
			out.Mixed = &mixed
		}
	}
	if out.Lamps[loss].LossStops > 0 {
		l := out.Lamps[loss]
		out.Advice = append(out.Advice, Finding{"loss", fmt.Sprintf("Each gel costs its own lamp; most is lost at %s, %s. Balance the levels again after gelling.", l.Name, stops(l.LossStops))})
	}
	if worst >= 0 {
		l := out.Lamps[worst]
		out.Warnings = append(out.Warnings, Finding{"not_reached", fmt.Sprintf("%s cannot be brought within %g mired and %g Duv of the target with this bag; it ends at %v.", l.Name, opts.ToleranceMired, opts.ToleranceDuv, l.After)})
	}
	out.shared(opts)
}

// shared finds what every lamp needs in common, which one filter on the lens, or
// the camera's setting, can do for all.
func (out *LampsCorrection) shared(opts Options) {
	common := func(value func(Shift) float64) float64 {
		least := value(out.Lamps[0].Shift)
		for _, l := range out.Lamps {
			v := value(l.Shift)
			if v*least <= 0 {
				return 0
			}
			if math.Abs(v) < math.Abs(least) {
				least = v
			}
		}
		return least
	}
	m := common(func(s Shift) float64 { return s.Mired })
	d := common(func(s Shift) float64 { return s.Duv })
	if len(out.Lamps) < 2 || math.Abs(m) <= opts.ToleranceMired && math.Abs(d) <= opts.ToleranceDuv {
		return
	}
	var parts []string
	if words := mired(m); words != "" {
		parts = append(parts, words)
	}
	if d != 0 {
		parts = append(parts, fmt.Sprintf("%+.4f Duv", d))
	}
	text := fmt.Sprintf("All lamps share a shift of %s to the target. One filter on the lens, or the camera's own setting, does that for all of them; gels are then needed only for what differs.", strings.Join(parts, " and "))
	light := CCT{Kelvin(out.Target.Mired() - m), out.Target.Duv - d}
	if need, err := Needs(light, out.Target); err == nil {
		text += fmt.Sprintf(" On the lens it costs %s of exposure.", stops(need.LossStops))
	}
	if s, err := SettingFor(light, opts.Camera); err == nil {
		text += fmt.Sprintf(" In the camera it costs nothing: %s.", s)
	}
	out.Advice = append(out.Advice, Finding{"shared", text})
}
