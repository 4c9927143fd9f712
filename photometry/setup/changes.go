package setup

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
)

// Least differences that count as a change: nobody reads a stand's place or a
// lamp's angle closer.
const (
	leastMove  = 0.01 // m
	leastAngle = 0.5  // degrees
)

// LampChanges are the differences of two tables of lamps, row by row, in the order
// of the day before; lamps are the same by name. Ranges count by where they are
// now. What is empty on both days, or differs in a note only, is no change, and nor
// is a column that one of the tables does not have.
func LampChanges(before, after *Lamps) []Change {
	var out []Change
	at := map[string]int{}
	for i, l := range after.Rows {
		at[strings.ToLower(l.Name)] = i
	}
	found := make([]bool, len(after.Rows))
	for _, a := range before.Rows {
		i, ok := at[strings.ToLower(a.Name)]
		if !ok {
			out = append(out, Change{Table: "lamps", Name: a.Name, Code: ChangeMissing, From: string(a.Kind), Text: photometry.Remarked("change.missing", "lamp", a.Name)})
			continue
		}
		found[i] = true
		a, b := a, after.Rows[i]
		blankUnshared(before, after, &a, &b)
		out = append(out, changesOf(a, b)...)
	}
	for i, b := range after.Rows {
		if !found[i] {
			out = append(out, Change{Table: "lamps", Name: b.Name, Code: ChangeAdded, To: string(b.Kind), Text: photometry.Remarked("change.added", "lamp", b.Name)})
		}
	}
	return out
}

// blankUnshared empties the cells of columns that only one of the tables has: that
// it says nothing about them is no change of the lamp. Tables made in a program
// have all columns.
func blankUnshared(before, after *Lamps, a, b *Lamp) {
	if before.typed == nil || after.typed == nil {
		return
	}
	from, to := reflect.ValueOf(a).Elem(), reflect.ValueOf(b).Elem()
	for i := range from.NumField() {
		name := from.Type().Field(i).Tag.Get("csv")
		if before.typed.Has(name) != after.typed.Has(name) {
			from.Field(i).SetZero()
			to.Field(i).SetZero()
		}
	}
}

// change says what a change of a column is, what people call it where that is
// not its name, and the least difference that counts. Columns without a code are
// reported together, as a change of place or of aim.
type change struct {
	code, what string
	least      float64
}

// changesOf are the differences of one lamp.
func changesOf(a, b Lamp) (out []Change) {
	add := func(c *Change) {
		if c != nil {
			c.Table, c.Name = "lamps", a.Name
			out = append(out, *c)
		}
	}
	words := func(code, what, from, to string) { add(changedText(a.Name, code, what, from, to)) }
	if a.Kind != b.Kind {
		add(&Change{Code: ChangeKind, From: string(a.Kind), To: string(b.Kind), Text: photometry.Remarked("change.kind", "lamp", a.Name, "from", string(a.Kind), "to", string(b.Kind))})
	}
	add(moved(a, b))
	add(aimed(a, b))
	words(ChangeSpotFlood, "spot or flood", a.SpotFlood, b.SpotFlood)
	words(ChangeBehind, "the lamp behind", a.Behind, b.Behind)
	words(ChangeDiffusion, "diffusion", a.Diffusion, b.Diffusion)
	words(ChangeDiffusion, "material", a.Material, b.Material)
	words(ChangeBeam, "file of intensities", a.File, b.File)
	words(ChangeLevel, "E at", a.EAt, b.EAt)
	for _, column := range RangeColumns {
		from, to := cellOf(*column.Of(&a)), cellOf(*column.Of(&b))
		as := column.change
		if as.code == "" && (from == nil) == (to == nil) {
			continue // position and aim are reported above
		}
		add(renumbered(a.Name, cmp.Or(as.code, ChangeMoved), cmp.Or(as.what, column.Name), column.Unit, from, to, as.least))
	}
	words(ChangeScrims, "scrims", a.Scrims, b.Scrims)
	words(ChangeTrim, "trim", a.Trim, b.Trim)
	add(renumbered(a.Name, ChangePower, "power", "W", a.Power, b.Power, 0))
	words(ChangeGel, "gel", a.Gel, b.Gel)
	add(renumbered(a.Name, ChangeColor, "color temperature", "K", given(float64(a.CCT)), given(float64(b.CCT)), 0))
	add(renumbered(a.Name, ChangeColor, "Duv", "", a.Duv, b.Duv, 0))
	return out
}

func cellOf(r Range) *float64 {
	if !r.Set {
		return nil
	}
	return &r.At
}

// given is a number where 0 is an empty cell.
func given(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

// moved is a change of place, nil for none.
func moved(a, b Lamp) *Change {
	d := r3.Sub(at(b.X, b.Y, b.Z), at(a.X, a.Y, a.Z))
	both := a.X.Set == b.X.Set && a.Y.Set == b.Y.Set && a.Z.Set == b.Z.Set
	amount := r3.Norm(d)
	if !both || amount < leastMove {
		if a.StandHeight.Set && b.StandHeight.Set && math.Abs(b.StandHeight.At-a.StandHeight.At) >= leastMove {
			up := b.StandHeight.At - a.StandHeight.At
			return &Change{Code: ChangeMoved, From: number(a.StandHeight.At) + " m", To: number(b.StandHeight.At) + " m", Amount: &up, Unit: "m",
				Text: photometry.Remarked("change.height", "lamp", a.Name, "up", photometry.Length(up))}
		}
		return nil
	}
	return &Change{Code: ChangeMoved, From: point(a.X, a.Y, a.Z), To: point(b.X, b.Y, b.Z), Amount: &amount, Unit: "m",
		Text: photometry.Remarked("change.moved", "lamp", a.Name, "by", photometry.Length(amount), "right", wayOf(d.X), "up", wayOf(d.Y), "away", wayOf(d.Z))}
}

// wayOf is one way of a move, 0 where nobody would notice.
func wayOf(by float64) photometry.Length {
	if math.Abs(by) < leastMove {
		return 0
	}
	return photometry.Length(by)
}

// aimed is a change of aim, nil for none: by pan and tilt, or by the angle between the axes.
func aimed(a, b Lamp) *Change {
	turn := func(from, to Range) photometry.Degrees {
		if d := to.At - from.At; from.Set && to.Set && math.Abs(d) >= leastAngle {
			return photometry.Degrees(d)
		}
		return 0
	}
	if right, up := turn(a.Pan, b.Pan), turn(a.Tilt, b.Tilt); right != 0 || up != 0 {
		largest := math.Max(math.Abs(float64(right)), math.Abs(float64(up)))
		return &Change{Code: ChangeAim, From: fmt.Sprintf("pan %s°, tilt %s°", number(a.Pan.At), number(a.Tilt.At)), To: fmt.Sprintf("pan %s°, tilt %s°", number(b.Pan.At), number(b.Tilt.At)),
			Amount: &largest, Unit: "deg", Text: photometry.Remarked("change.turned", "lamp", a.Name, "right", right, "up", up)}
	}
	if !a.AimX.Set || !b.AimX.Set || !a.AimY.Set || !b.AimY.Set {
		return nil
	}
	from, to := at(a.AimX, a.AimY, a.AimZ), at(b.AimX, b.AimY, b.AimZ)
	u, v := r3.Sub(from, at(a.X, a.Y, a.Z)), r3.Sub(to, at(b.X, b.Y, b.Z))
	angle := math.Atan2(r3.Norm(r3.Cross(u, v)), r3.Dot(u, v)) * 180 / math.Pi
	if angle < leastAngle || r3.Norm(r3.Sub(to, from)) < leastMove {
		return nil // a lamp that moved and aims at the same place is one change
	}
	return &Change{Code: ChangeAim, From: point(a.AimX, a.AimY, a.AimZ), To: point(b.AimX, b.AimY, b.AimZ), Amount: &angle, Unit: "deg",
		Text: photometry.Remarked("change.aim", "lamp", a.Name, "angle", photometry.Degrees(angle), "from", placeOf(from), "to", placeOf(to))}
}

// placeOf is a place in space for a sentence.
func placeOf(v r3.Vec) []photometry.Length {
	return []photometry.Length{photometry.Length(v.X), photometry.Length(v.Y), photometry.Length(v.Z)}
}

func at(x, y, z Range) r3.Vec { return r3.Vec{X: x.At, Y: y.At, Z: z.At} }

func point(x, y, z Range) string {
	return number(x.At) + ", " + number(y.At) + ", " + number(z.At)
}

// number prints a number to two decimals at most.
func number(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

// changedText is a change of a cell with words, nil for none.
func changedText(name, code, what, from, to string) *Change {
	if photometry.SameName(from, to) {
		return nil
	}
	return &Change{Code: code, From: from, To: to, Text: photometry.Remarked("change.words", "lamp", name, "what", what, "from", from, "to", to)}
}

// renumbered is a change of a cell with a number, nil for none.
func renumbered(name, code, what, unit string, from, to *float64, least float64) *Change {
	if from == nil && to == nil || from != nil && to != nil && (*from == *to || math.Abs(*to-*from) < least) {
		return nil
	}
	c := &Change{Code: code, From: withUnit(from, unit), To: withUnit(to, unit),
		Text: photometry.Remarked("change.number", "lamp", name, "what", what, "from", measured(from, unit), "to", measured(to, unit))}
	if from != nil && to != nil {
		d := *to - *from
		c.Amount, c.Unit = &d, unit
	}
	return c
}

// withUnit is a number of a cell as it is written, "" for an empty one.
func withUnit(v *float64, unit string) string {
	if v == nil {
		return ""
	}
	if unit == "stop" && math.Abs(*v) > 1 {
		unit = "stops"
	}
	return strings.TrimSpace(strconv.FormatFloat(*v, 'g', 6, 64) + " " + unit)
}

// measured is a number of a cell for a sentence: a length, or as it is written.
func measured(v *float64, unit string) any {
	if v != nil && unit == "m" {
		return photometry.Length(*v)
	}
	return withUnit(v, unit)
}

// SettingChanges are the differences of two set-ups' keys that bear on the picture:
// camera, ISO, frame rate, shutter, T-stop, target K, ND and filter factor. What
// only one day states is a change too.
func SettingChanges(before, after *Settings) (out []Change) {
	add := func(key string, c *Change) {
		if c != nil {
			c.Table, c.Name, c.Code = "setup", key, ChangeSetting
			c.Text = photometry.Remarked("change.setting", "key", key, "from", c.From, "to", c.To)
			out = append(out, *c)
		}
	}
	words := func(key, from, to string) { add(key, changedText("", ChangeSetting, key, from, to)) }
	figure := func(key, unit string, from, to float64) {
		add(key, renumbered("", ChangeSetting, key, unit, given(from), given(to), 0))
	}
	words("camera", before.Camera, after.Camera)
	figure("ISO", "", before.ISO, after.ISO)
	figure("frame rate", "", before.FrameRate, after.FrameRate)
	if before.ShutterS != after.ShutterS {
		words("shutter", before.Shutter, after.Shutter)
	}
	words("T-stop", tStop(before.TStop), tStop(after.TStop))
	figure("target K", "K", before.TargetKelvin, after.TargetKelvin)
	figure("ND", "stop", before.NDStops, after.NDStops)
	figure("filter factor", "", before.FilterFactor, after.FilterFactor)
	return out
}

// tStop writes a bare number as the stop of a lens, T4.
func tStop(text string) string {
	if text != "" && text[0] >= '0' && text[0] <= '9' {
		return "T" + text
	}
	return text
}
