package setup

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry/dimmer"
)

// Dials are the dimmers of a set-up: where the table of lamps has them, and what was read
// of them.
type Dials struct {
	Lamps []Lamp
	Read  *dimmer.Result // nil where nothing was
}

// Row is a lamp's row in the table of lamps, nil for none: of a frame or bounce that of
// the lamp behind it, which has the dimmer.
func (d Dials) Row(name string) *Lamp {
	for range 2 {
		k := slices.IndexFunc(d.Lamps, func(l Lamp) bool { return strings.EqualFold(l.Name, name) })
		if k < 0 {
			return nil
		}
		if name = d.Lamps[k].Behind; name == "" {
			return &d.Lamps[k]
		}
	}
	return nil
}

// at is where a lamp's dimmer is and the readings of it, nil for none; ok is false where
// it is not on file.
func (d Dials) at(name string) (percent float64, read *dimmer.Lamp, ok bool) {
	row := d.Row(name)
	if row == nil || !row.Dimmer.Set {
		return 0, nil, false
	}
	if read = d.Read.Lamp(row.Name); read == nil {
		read = d.Read.Lamp(name)
	}
	if read != nil && read.Curve == nil {
		read = nil
	}
	return row.Dimmer.At, read, true
}

// Set is the setting of a lamp's dimmer after a change in stops, and what was read of it
// there, nil where the dial is taken as linear. ok is false where no dimmer is on file or
// the change is more than it has.
func (d Dials) Set(name string, stops float64) (percent float64, setting *dimmer.Setting, ok bool) {
	from, read, ok := d.at(name)
	if !ok {
		return 0, nil, false
	}
	if most := math.Log2(d.Room(name)); stops > most && stops < most+leastDial {
		stops = most - 1e-9 // as good as that
	}
	if low, high := read.Range(); from >= low && from <= high && low < high {
		if setting = read.Change(from, stops); setting == nil {
			return 0, nil, false
		}
		return setting.Percent, setting, true
	}
	percent = dimmer.Linear(from, stops)
	return percent, nil, percent <= 100
}

// leastDial is the smallest change in stops that a dimmer is set for.
const leastDial = 0.05

// Changes are those for which a dimmer is set, with their settings.
func (d Dials) Changes(asked []dimmer.Change) (out []dimmer.Change) {
	for _, c := range asked {
		if math.Abs(c.Stops) >= leastDial {
			var ok bool
			_, c.Setting, ok = d.Set(c.Lamp, c.Stops)
			_, _, known := d.at(c.Lamp)
			c.Beyond = known && !ok
			out = append(out, c)
		}
	}
	return out
}

// Room is how many times its light a lamp can give, by what was read of its dimmer or as
// if that were linear; infinite where it is not on file.
func (d Dials) Room(name string) float64 {
	from, read, ok := d.at(name)
	if !ok || from <= 0 {
		return math.Inf(1)
	}
	if low, high := read.Range(); from >= low && from <= high && low < high {
		return max(1, read.Curve.Level(high)/read.Curve.Level(from))
	}
	return max(1, 100/from)
}
