package colorimetry

import (
	"fmt"
	"math"
	"slices"

	"evenfall/photometry"
)

// Lamp is one lamp of a table: its measured color, its level in any unit that
// all share (0 where it is not known), the gel that it carried when it was
// metered, and whether it is the key.
type Lamp struct {
	Name  string
	Light CCT
	Level float64
	Gel   string
	Key   bool
	// KelvinsAlone: Duv was not read, and that of Light says nothing.
	KelvinsAlone bool
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
// is the color with them. Where one filter hangs on the lens, Gels are that
// filter and Stacks has what it makes of this lamp.
type LampCorrection struct {
	Name string `json:"name"`
	Correction
	Gels       []string `json:"gels"`
	After      CCT      `json:"after"`
	LossStops  float64  `json:"loss_stops"`
	StepsAfter float64  `json:"steps_after"`           // what is then left
	LevelAfter float64  `json:"level_after,omitempty"` // where the level is known
}

// LampsCorrection is what brings a table of lamps to one color.
type LampsCorrection struct {
	Target     CCT              `json:"target"`
	TargetFrom string           `json:"target_from"`           // given, key, lamp or majority
	TargetLamp string           `json:"target_lamp,omitempty"` // whose color it is, where it is one lamp's
	Lamps      []LampCorrection `json:"lamps"`
	Within     bool             `json:"within_tolerance"` // all of them, once corrected; never by kelvins alone
	Lens       *Correction      `json:"lens,omitempty"`   // of what the majority of lamps shares, where gel hangs on the lens
	Camera     *CameraSetting   `json:"camera,omitempty"` // for what all share once corrected
	Mixed      *CCT             `json:"mixed,omitempty"`  // all lamps together once corrected, where levels and Duv are known
	Findings
}

// CorrectAll brings each lamp of a table to one color: a given one, that of the
// key or of a named lamp, or that of the majority. Each lamp gets gels of its
// own, or with OnLens all of them get the one filter that the majority needs.
// Errors as in Correct; also no lamps, a name twice, a named lamp or a key that
// is not there.
func CorrectAll(lamps []Lamp, aim Aim, bag []Gel, opts Options) (LampsCorrection, error) {
	opts = opts.filled()
	if err := checkLamps(lamps); err != nil {
		return LampsCorrection{}, err
	}
	sheets, err := compile(bag)
	if err != nil {
		return LampsCorrection{}, err
	}
	out := LampsCorrection{Lamps: []LampCorrection{}, Findings: noFindings()}
	if err := out.aim(lamps, aim, opts); err != nil {
		return LampsCorrection{}, err
	}
	out.warnOfGels(bag)
	if opts.On == OnLens {
		err = out.throughTheLens(lamps, sheets, opts)
	} else {
		err = out.atTheLamps(lamps, sheets, opts)
	}
	if err != nil {
		return LampsCorrection{}, err
	}
	out.finish(lamps, opts)
	return out, nil
}

// atTheLamps gives each lamp its own best stack.
func (out *LampsCorrection) atTheLamps(lamps []Lamp, sheets []sheet, opts Options) error {
	opts.On = OnLamp // there is no lens to speak of, lamp by lamp
	for _, l := range lamps {
		c, err := correct(l.read(), out.Target, sheets, opts)
		if err != nil {
			return fmt.Errorf("lamp %q: %w", l.Name, err)
		}
		lc := LampCorrection{Name: l.Name, Gels: []string{}, After: l.read(), LevelAfter: l.Level, StepsAfter: c.Steps}
		if c.advised("best_stack") {
			lc.hang(c.Stacks[0])
			if l.Gel != "" {
				out.advise("gel_on", "lamp", l.Name, "gel", l.Gel)
			}
		}
		// What is true of every lamp is said once, for the table.
		c.Warnings = slices.DeleteFunc(c.Warnings, func(w Finding) bool {
			common := w.Code == "heat" || w.Code == "estimate" || w.Code == "nominal_gels"
			if common && !slices.ContainsFunc(out.Warnings, w.Same) {
				out.Warnings = append(out.Warnings, w)
			}
			return common
		})
		lc.Correction = c
		out.Lamps = append(out.Lamps, lc)
	}
	return nil
}

// hang puts a stack on the lamp.
func (lc *LampCorrection) hang(s Stack) {
	lc.Gels, lc.After, lc.LossStops, lc.StepsAfter = s.Gels, s.Reading(), s.LossStops, s.Steps
	lc.LevelAfter *= math.Exp2(-s.LossStops)
}

func checkLamps(lamps []Lamp) error {
	if len(lamps) == 0 {
		return fmt.Errorf("there are no lamps to correct")
	}
	seen := map[string]bool{}
	for i, l := range lamps {
		key := photometry.NameKey(l.Name)
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
		if !photometry.Finite(l.Level) || l.Level < 0 {
			return fmt.Errorf("lamp %q: level %v is not a number from 0 up", l.Name, l.Level)
		}
	}
	return nil
}

// finish adds the findings for all lamps together.
func (out *LampsCorrection) finish(lamps []Lamp, opts Options) {
	if s, err := setting(out.Target, opts.Camera); err == nil {
		out.Camera = &s
		out.advise("correct.camera", "target", out.Target, "setting", s)
	}
	after := make([]Lamp, len(lamps))
	loss, alone := 0, false
	var short []Finding
	for i, l := range out.Lamps {
		after[i] = Lamp{Name: l.Name, Light: l.After, Level: l.LevelAfter}
		alone = alone || l.KelvinsAlone
		if !l.met() {
			short = append(short, photometry.Found("lamp_ends", "lamp", l.Name, "after", l.After))
		}
		if l.LossStops > out.Lamps[loss].LossStops {
			loss = i
		}
	}
	out.Within = len(short) == 0 && !alone
	if allLevels(lamps) && !alone {
		if mixed, err := mixLamps(after); err == nil {
			out.Mixed = &mixed
		}
	}
	if l := out.Lamps[loss]; l.LossStops > 0 && out.Lens == nil {
		out.advise("correct.most.loss", "lamp", l.Name, "loss", photometry.Loss(l.LossStops))
	}
	out.adviseDuv(lamps)
	if len(short) > 0 {
		out.warn("correct.lamps.not_reached", "mired", opts.ToleranceMired, "duv", opts.ToleranceDuv, "lamps", short)
	}
	if out.Lens == nil {
		out.shared(opts)
	}
}
