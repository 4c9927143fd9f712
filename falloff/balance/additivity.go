package balance

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
)

// limits of what counts as lamps adding up to all of them together.
const (
	additive        = 0.05 // stops, on the mean
	suspectStops    = 0.3  // of one place from the rest
	suspectScatters = 6.0
	suspectsAtMost  = 0.2 // of the places; more of them are no suspects
)

// sumPlace is a place where every lamp was read alone, and all together.
type sumPlace struct {
	point          int
	together, rest float64 // level of all together; what of it the lamps do not explain
	off            float64 // stops of all together over the sum
}

// compareSums compares all lamps together with the sum of the lamps alone, where
// all were read. Single places that do not add up hold a data-entry error. Light that the
// lamps do not explain is that of lamps not read alone, or ambient: it stays as
// it is, whatever the trims.
func (b *balancing) compareSums() error {
	if b.together == nil {
		return nil
	}
	var at []sumPlace
	var offs []float64
	for i := range b.n {
		if sum := b.sumAlone(i) + b.ambientAt(i); sum > 0 && !b.excluded[i] {
			at = append(at, sumPlace{i, b.together[i], b.together[i] - sum, photometry.Stops(b.together[i], sum)})
			offs = append(offs, at[len(at)-1].off)
		}
	}
	if len(at) >= 3 {
		slices.Sort(offs)
		if err := b.addUp(at, offs[len(offs)/2]); err != nil {
			return err
		}
	}
	if len(b.lamp) == 1 && b.ambient == nil && !b.unread {
		return oneLampOnly(b.lamp[0].Name)
	}
	return nil
}

func oneLampOnly(name string) error {
	return fmt.Errorf("found readings of one lamp only, %q, expected two lamps or more: one lamp alone is as uneven at any level", name)
}

// addUp judges the places where a sum can be told, by their middle distance
// from it.
func (b *balancing) addUp(at []sumPlace, median float64) error {
	scatter := b.set.Noise().Stops
	var suspects, kept []sumPlace
	for _, p := range at {
		if d := math.Abs(p.off - median); d > suspectStops && d > suspectScatters*math.Sqrt2*scatter {
			suspects = append(suspects, p)
			continue
		}
		kept = append(kept, p)
	}
	few := float64(len(suspects)) <= max(1, suspectsAtMost*float64(len(at)))
	short := slices.MinFunc(at, func(a, c sumPlace) int { return cmp.Compare(a.off, c.off) })
	if median < -0.5 || !few && short.off < -suspectStops {
		hint := "read them again, and name the lamp of every file or row (a lamp note or column); what names none counts as all lamps together"
		if b.ambient != nil && !b.o.AmbientInReadings {
			hint = "where the lamps were read with the ambient light on, say so (--with-ambient)"
		}
		return fmt.Errorf("all lamps together read less than the lamps alone (%s) add up to, %s against %s at %s, expected at least as much: %s",
			strings.Join(b.r.Lamps, ", "), b.level(short.together), b.level(short.together-short.rest), b.set.Surface.Name(short.point), hint)
	}
	if few {
		for _, p := range suspects {
			b.excluded[p.point] = true
			b.warn("does_not_add_up", "place", b.set.Surface.Point(p.point), "together", b.value(p.together), "added", b.value(p.together-p.rest))
		}
	} else {
		kept = at // light that comes unevenly, and no suspects
	}
	off, rest := make([]float64, len(kept)), make([]float64, len(kept))
	for k, p := range kept {
		off[k], rest[k] = p.off, p.rest
	}
	mean, deviation := stat.MeanStdDev(off, nil)
	b.r.AdditivityStops = &mean
	if math.Abs(mean) <= max(additive, 3*deviation/math.Sqrt(float64(len(kept)))) && few {
		return nil
	}
	if mean < 0 {
		b.warn("less_than_the_sum", "less", photometry.Stop(-mean), "ambient", b.ambient != nil && !b.o.AmbientInReadings)
		return nil
	}
	level, uneven := stat.MeanStdDev(rest, nil)
	// Lamps that all changed in between add the same stops everywhere, to the
	// scatter of two readings; light that stays where it is adds a level of its
	// own. Where both would do, what varies less is the likelier; but no lamp
	// doubles by itself.
	same := deviation <= max(2*math.Sqrt2*scatter, 0.01) && deviation/mean < uneven/level
	if same && mean < 1 && len(b.lamp) > 1 {
		b.warn("more_than_the_sum", "more", photometry.Stop(mean))
		return nil
	}
	b.unread = true
	b.warn("other_light", "more", photometry.Stop(mean), "mean", b.value(level))
	return nil
}
