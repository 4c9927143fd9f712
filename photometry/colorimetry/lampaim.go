package colorimetry

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
)

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
		same := func(l Lamp) bool { return photometry.SameName(aim.Lamp, l.Name) }
		if !out.aimAt(lamps, "lamp", same) {
			return fmt.Errorf("target lamp %q is not in the table; it has %s", aim.Lamp, strings.Join(names(lamps), ", "))
		}
		return nil
	case aim.Key:
		if !out.aimAt(lamps, "key", func(l Lamp) bool { return l.Key }) {
			return fmt.Errorf("no lamp of the table is marked as the key")
		}
		return nil
	}
	return out.majority(lamps, opts)
}

// aimAt aims at the first lamp that is the one, and reports whether there is one.
func (out *LampsCorrection) aimAt(lamps []Lamp, from string, is func(Lamp) bool) bool {
	i := slices.IndexFunc(lamps, is)
	if i >= 0 {
		out.Target, out.TargetFrom, out.TargetLamp = lamps[i].read(), from, lamps[i].Name
	}
	return i >= 0
}

// majority aims at what the largest group of lamps that agree makes together.
func (out *LampsCorrection) majority(lamps []Lamp, opts Options) error {
	group, mixed, err := agreeing(lamps, opts)
	if err != nil {
		return err
	}
	out.Target, out.TargetFrom = mixed, "majority"
	if len(group) == 1 {
		out.TargetLamp = group[0].Name
	}
	switch {
	case len(group) == 1 && len(lamps) > 1:
		out.warn("no_two.no_majority", "mired", opts.ToleranceMired, "duv", opts.ToleranceDuv, "nearest", group[0].Name)
	case 2*len(group) <= len(lamps):
		out.warn("no_majority", "group", strings.Join(names(group), ", "))
	}
	return nil
}

// agreeing returns the largest group of lamps that agree within tolerance with
// one of them (at a tie the one that misses the others least), and what that
// group makes together, by levels where all are known and in equal parts
// otherwise.
func agreeing(lamps []Lamp, opts Options) (group []Lamp, mixed CCT, err error) {
	leastSum := math.Inf(1)
	for _, a := range lamps {
		var with []Lamp
		sum := 0.0
		for _, b := range lamps {
			from, to, _ := comparable(a.read(), b.read())
			s, err := ShiftBetween(from, to)
			if err != nil {
				return nil, CCT{}, err
			}
			sum += s.DeltaUVPrime
			if opts.same(s) && (b.KelvinsAlone || !a.KelvinsAlone) { // kelvins alone join green and magenta to nothing
				with = append(with, b)
			}
		}
		if len(with) > len(group) || len(with) == len(group) && sum < leastSum {
			group, leastSum = with, sum
		}
	}
	mixed, err = mixLamps(group)
	return group, mixed, err
}

func names(lamps []Lamp) []string {
	out := make([]string, len(lamps))
	for i, l := range lamps {
		out[i] = l.Name
	}
	return out
}

// mixLamps returns the color of the lamps together, by level where all levels
// are known and in equal parts otherwise. Lamps of which only kelvins are known have
// the Duv of the others; of such lamps alone it is not known.
func mixLamps(lamps []Lamp) (CCT, error) {
	if len(lamps) == 1 {
		return lamps[0].read(), nil
	}
	read := slices.DeleteFunc(slices.Clone(lamps), func(l Lamp) bool { return l.KelvinsAlone })
	duv := math.NaN()
	if len(read) == len(lamps) {
		duv = 0 // not used
	} else if len(read) > 0 {
		others, err := mixLamps(read)
		if err != nil {
			return CCT{}, err
		}
		duv = others.Duv
	}
	known := allLevels(lamps)
	var parts []Light
	for _, l := range lamps {
		xy, err := l.read().withDuv(duv).withDuv(0).XY()
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
	mixed, err := sum.XY.CCT()
	if math.IsNaN(duv) {
		mixed.Duv = duv
	}
	return mixed, err
}

func allLevels(lamps []Lamp) bool {
	return !slices.ContainsFunc(lamps, func(l Lamp) bool { return !(l.Level > 0) })
}
