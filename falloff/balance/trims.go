package balance

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
)

// problem is the question for the linear program: the lamps that can be trimmed,
// over the places that decide.
func (b *balancing) problem(least float64) MinSpreadProblem {
	p := MinSpreadProblem{Least: least, Rest: b.decisive(b.rest)}
	for j, m := range b.maps {
		if b.fix[j] {
			floats.Add(p.Rest, b.decisive(m))
		} else {
			p.Maps = append(p.Maps, b.decisive(m))
		}
	}
	return p
}

// decisive are the levels of the places that decide.
func (b *balancing) decisive(levels []float64) []float64 {
	out := make([]float64, len(b.decide))
	for k, i := range b.decide {
		out[k] = levels[i]
	}
	return out
}

// solve finds the trims of all lamps, for a least level.
func (b *balancing) solve(ctx context.Context, least float64) (trims []float64, s MinSpreadSolution, err error) {
	p := b.problem(least)
	if b.o.StepStops > 0 {
		s, err = p.SolveSteps(ctx, b.o.StepStops)
	} else {
		s, err = p.Solve(ctx)
	}
	if err != nil {
		return nil, s, b.named(err)
	}
	trims = ones(len(b.lamp))
	k := 0
	for j := range trims {
		if !b.fix[j] {
			trims[j] = s.Shares[k]
			k++
		}
	}
	return trims, s, nil
}

// named names the place of an error.
func (b *balancing) named(err error) error {
	var unreachable *UnreachableError
	var dark *DarkError
	switch s := b.set.Surface; {
	case errors.As(err, &unreachable):
		return fmt.Errorf("--min: %s cannot be reached: with every lamp as read the darkest place, %s, has %s, %s less",
			b.level(unreachable.Least), s.Name(b.decide[unreachable.Place]), b.level(unreachable.Got), photometry.FormatStops(photometry.Stops(unreachable.Least, unreachable.Got)))
	case errors.As(err, &dark):
		return fmt.Errorf("%s gets no light from any lamp, so no trims make it even: aim a lamp there, or set the area in shot without it (the area note)", s.Name(b.decide[dark.Place]))
	}
	return err
}

// chooseTrims finds the trims and judges the surface with them.
func (b *balancing) chooseTrims(ctx context.Context) error {
	trims, s, err := b.solve(ctx, b.o.Least)
	if err != nil {
		return err
	}
	b.r.Optimal, b.r.Gap, b.r.BoundStops = s.Optimal, s.GapStops, s.BoundStops
	if b.o.Least > 0 {
		b.r.MinLevel = new(b.o.Least)
	}
	for j, m := range b.maps {
		if !b.fix[j] && floats.Max(b.decisive(m)) == 0 {
			b.warn("no_light_here", "lamp", b.lamp[j].Name)
		}
	}
	b.judge(trims)
	b.r.Trims = b.inSetUnits(trims)
	b.tryScrims(trims)
	return nil
}

// keepLight answers the same question with at least half of the least level as
// read, where the most even trims give up more than that: ambient or fixed
// light, or a weak lamp's, is often the most even of all.
func (b *balancing) keepLight(ctx context.Context) error {
	now := floats.Min(b.decisive(b.levels(ones(len(b.lamp)))))
	if b.o.Least > 0 || !(b.r.After.Min < now/2) {
		return nil
	}
	least := b.roundLevel(now / 2)
	trims, s, err := b.solve(ctx, least)
	if err != nil {
		return err
	}
	b.r.Kept = &Kept{MinLevel: least, SpreadStops: s.SpreadStops, Trims: b.inSetUnits(trims)}
	return nil
}

// roundLevel rounds a level down to two digits, as a person would ask for it.
func (b *balancing) roundLevel(v float64) float64 {
	scale := 1.0
	if s := b.set.Surface; s.Quantity == photometry.Illuminance && s.UnitFor(b.o.Unit) == photometry.FC {
		scale = photometry.LuxPerFootcandle
	}
	unit := scale * math.Pow(10, math.Floor(math.Log10(v/scale))-1)
	return math.Floor(v/unit+1e-9) * unit
}

// spread of all trims over the places that decide.
func (b *balancing) spread(trims []float64) float64 { return spreadOf(b.decisive(b.levels(trims))) }

// mostScrims is how much more than its scrims a trim may take and still be made
// by them, about, in stops.
const mostScrims = 0.3

// inSetUnits are trims as stops, scrims and colors, by lamp.
func (b *balancing) inSetUnits(trims []float64) map[string]Trim {
	out := map[string]Trim{}
	for j, m := range b.lamp {
		t := Trim{Percent: 100 * trims[j], Fixed: b.fix[j]}
		if trims[j] > 0 {
			stops := min(0, math.Log2(trims[j])) + 0
			t.Stops = &stops
			if name, loss := photometry.Scrims(-stops); -stops <= loss+mostScrims {
				t.Scrim, t.ScrimStops = name, loss
			}
			if !b.fix[j] {
				t.TenthOffStops = new(max(b.spreadOff(trims, j, -0.1), b.spreadOff(trims, j, 0.1)))
			}
		}
		b.addColor(&t, m, trims[j])
		out[m.Name] = t
	}
	return out
}

// spreadOff is the spread where one lamp ends up some stops off its trim.
func (b *balancing) spreadOff(trims []float64, j int, stops float64) float64 {
	off := slices.Clone(trims)
	off[j] = min(1, off[j]*math.Exp2(stops))
	return b.spread(off)
}

// tryScrims finds the spread with the nearest scrims in place of the trims, where
// scrims take so much and leave the least level.
func (b *balancing) tryScrims(trims []float64) {
	scrimmed := slices.Clone(trims)
	for j, m := range b.lamp {
		if t := b.r.Trims[m.Name]; t.Stops != nil {
			if -*t.Stops > t.ScrimStops+mostScrims {
				return
			}
			scrimmed[j] = math.Exp2(-t.ScrimStops)
		}
	}
	levels := b.decisive(b.levels(scrimmed))
	if floats.Min(levels) < b.o.Least*(1-1e-9) {
		return
	}
	if spread := spreadOf(levels); !math.IsInf(spread, 0) {
		b.r.ScrimsStops = &spread
	}
}
