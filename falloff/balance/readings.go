package balance

import (
	"fmt"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// readTogether takes the levels of all lamps together and their suspects.
func (b *balancing) readTogether() error {
	if !b.set.Together {
		return nil
	}
	r, err := evenness.Judge(b.set.Surface)
	if err != nil {
		return err
	}
	b.together = r.Levels
	for _, x := range r.Suspects {
		b.suspects = append(b.suspects, LampSuspect{"", x})
		if !slices.Contains(x.Reasons, entry.SerpentineAsRows) {
			b.excluded[x.Point] = true
		}
	}
	return nil
}

// readAmbient finds the level that no lamp makes at every point.
func (b *balancing) readAmbient() error {
	m := b.set.Find(survey.AmbientName)
	switch {
	case b.o.Ambient > 0 && m != nil:
		return fmt.Errorf("ambient light is given twice: %s, and readings named %s", b.level(b.o.Ambient), survey.AmbientName)
	case b.o.Ambient > 0:
		b.ambient = slices.Repeat([]float64{b.o.Ambient}, b.n)
	case m != nil:
		b.suspect(m)
		var mean float64
		if b.ambient, mean = m.Filled(); m.Read < b.n {
			b.infer("ambient_filled", "read", m.Read, "places", b.n, "mean", b.value(mean))
		}
	}
	return nil
}

// suspect takes in the suspects of a lamp read alone.
func (b *balancing) suspect(m *survey.LampMap) {
	for _, x := range m.Suspects {
		b.suspects = append(b.suspects, LampSuspect{m.Name, x})
	}
}

func (b *balancing) ambientAt(i int) float64 {
	if b.ambient == nil {
		return 0
	}
	return b.ambient[i]
}

// readAlone takes what each lamp gives by itself. Where the readings hold the
// ambient light it is taken off them; scatter may leave a little less than nothing,
// which is nothing. Lamps that give nothing are refused, and those that give less
// than the ambient light that their readings are said to hold.
func (b *balancing) readAlone() error {
	for _, m := range b.lamp {
		alone := slices.Clone(m.Level)
		most, deepest, where := 0.0, 0.0, 0
		for i, v := range alone {
			if math.IsNaN(v) {
				continue
			}
			if a := b.ambientAt(i); b.o.AmbientInReadings && a > 0 {
				if a-v > deepest {
					deepest, where = a-v, i
				}
				alone[i] = max(0, v-a)
			}
			most = max(most, alone[i])
		}
		switch {
		case deepest > 0.1*b.ambientAt(where):
			return fmt.Errorf("the lamp %q reads %s at %s, less than the ambient light of %s said to be in it",
				m.Name, b.level(m.Level[where]), b.set.Surface.Name(where), b.level(b.ambientAt(where)))
		case most == 0:
			return fmt.Errorf("the lamp %q reads zero at every place, expected light at one place at least: read it again or leave it out", m.Name)
		}
		b.alone = append(b.alone, alone)
	}
	return nil
}

// sumAlone is all lamps alone at a point, NaN where one of them was not read.
func (b *balancing) sumAlone(i int) (sum float64) {
	for _, alone := range b.alone {
		sum += alone[i]
	}
	return sum
}

// level writes a level for an error as it was read, or illuminance in the unit asked
// for.
func (b *balancing) level(v float64) string {
	if b.o.Unit != photometry.NoUnit {
		return photometry.FormatLevel(b.value(v), b.o.Unit)
	}
	return b.set.Surface.FormatLevel(v)
}

// value is a level as a value of a sentence.
func (b *balancing) value(level float64) photometry.Level {
	return photometry.Level{Value: level, Quantity: b.set.Surface.Quantity}
}

// plural is the ending of a noun that n is counted in.
func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}
