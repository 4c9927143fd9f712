package sheet

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// spot is a place in rows and columns, both counted from 0, rows from the top.
type spot struct{ column, row int }

// String is the label of a place: A1, B12.
func (s spot) String() string { return table.ColumnName(s.row+1) + strconv.Itoa(s.column+1) }

var (
	letterFirst = regexp.MustCompile(`^([A-Za-z]{1,2})[ ._/-]?0*([1-9]\d{0,3})$`)
	digitFirst  = regexp.MustCompile(`^0*([1-9]\d{0,3})[ ._/-]?([A-Za-z])$`)
	// repeatNumber is a name with a small number in brackets behind it.
	repeatNumber = regexp.MustCompile(`^(.*\S)\s*\(\d\)$`)
	// countedName is a running number, with a letter or two before it.
	countedName = regexp.MustCompile(`^(?:#|\pL{1,2}[ ._-]?)?\d{1,6}$`)
)

// gridSpot reads labels such as A1, a 2, A-3, 1B.
func gridSpot(text string) (s spot, ok bool) {
	text = strings.TrimSpace(text)
	letters, number := "", ""
	if !strings.ContainsAny(text, "0123456789") {
		return s, false
	}
	if m := letterFirst.FindStringSubmatch(text); m != nil {
		letters, number = m[1], m[2]
	} else if m := digitFirst.FindStringSubmatch(text); m != nil {
		letters, number = m[2], m[1]
	} else {
		return s, false
	}
	s.row = letterIndex(letters)
	n, _ := strconv.Atoi(number)
	s.column = n - 1
	return s, true
}

// letterIndex counts A, B … Z, AA from 0.
func letterIndex(letters string) int {
	row := 0
	for _, r := range strings.ToUpper(letters) {
		row = 26*row + int(r-'A') + 1
	}
	return row - 1
}

// sides are where words place something: across from camera left, up and down from the
// top, 0 to 4 with 2 in the middle; -1 where they do not say.
type sides struct{ across, down int }

// wordSides reads a place in words, such as top left or mitte links; false where another
// word is among them.
func wordSides(text string) (s sides, ok bool) {
	s = sides{-1, -1}
	tokens := schema.Words(text)
	var all schema.WordClass
	far, middles := false, 0
	for _, t := range tokens {
		class := schema.ClassOf(t)
		switch {
		case class&schema.PlaceWord != 0:
		case t == "far" || t == "outer" || t == "ganz" || t == "extreme" || t == "aussen":
			far = true
		case class&(schema.PlaceFiller|schema.PlaceOther|schema.StageWord) != 0:
		default:
			return s, false
		}
		if class&schema.PlaceMiddle != 0 {
			middles++
		}
		all |= class
	}
	if all&schema.PlaceWord == 0 {
		return s, false
	}
	switch {
	case all&schema.PlaceLeft != 0 && all&schema.PlaceRight != 0, all&schema.PlaceTop != 0 && all&schema.PlaceBottom != 0:
		return s, false
	case all&schema.PlaceLeft != 0:
		s.across = 1
	case all&schema.PlaceRight != 0:
		s.across = 3
	}
	switch {
	case all&(schema.PlaceTop|schema.PlaceBack) != 0:
		s.down = 1
	case all&(schema.PlaceBottom|schema.PlaceFront) != 0:
		s.down = 3
	}
	if far {
		s.across = outward(s.across)
	}
	if all&schema.StageWord != 0 && s.across >= 0 {
		s.across = 4 - s.across // the actor's left is the camera's right
	}
	if middles > 0 {
		if s.across < 0 {
			s.across = 2
		}
		if s.down < 0 {
			s.down = 2
		}
	}
	return s, true
}

// withoutRepeat is the name of a place without what says that it was read once more, or that
// it is the reference: C4 again, C4 (2), ref C4; false where nothing says so.
func withoutRepeat(name string) (place string, again bool) {
	if m := repeatNumber.FindStringSubmatch(name); m != nil {
		return m[1], true
	}
	var rest []string
	for _, w := range schema.Words(name) {
		switch _, err := strconv.Atoi(w); {
		case schema.ClassOf(w)&(schema.OrdinalWord|schema.ReferenceWord) != 0:
			again = true
		case !again || err != nil: // the number behind such a word counts how often
			rest = append(rest, w)
		}
	}
	return strings.Join(rest, " "), again && len(rest) > 0
}

// joinRepeats makes readings that their names say are of another place once more those of
// that place, but those that an answer leaves out.
func (d *draft) joinRepeats(a *answers) {
	if d.how == "grid" {
		return
	}
	places := map[string]string{}
	for _, r := range d.readings {
		places[labelKey(r.name.Text)] = r.name.Text
	}
	var leftOut []string
	for name := range strings.SplitSeq(a.leaveOut, ";") {
		leftOut = append(leftOut, table.Fold(name))
	}
	said := map[string]bool{}
	for i := range d.readings {
		r := &d.readings[i]
		place, again := withoutRepeat(r.name.Text)
		if !again || r.x.Text != "" || slices.Contains(leftOut, table.Fold(r.name.Text)) {
			continue
		}
		name, read := places[labelKey(place)]
		if _, label := gridSpot(place); !read && !label {
			continue
		}
		if !said[r.name.Text] {
			d.assume("sheet.again", "name", quote(r.name.Text), "place", quote(cmp.Or(name, place)))
		}
		said[r.name.Text] = true
		r.name.Text = cmp.Or(name, place)
	}
}

// ofStage reports whether the name of a place has a side of the stage: SL, stage right.
func ofStage(text string) bool {
	var all schema.WordClass
	for _, word := range schema.Words(text) {
		all |= schema.ClassOf(word)
	}
	return all&schema.StageWord != 0 && all&(schema.PlaceLeft|schema.PlaceRight) != 0
}

func outward(side int) int {
	switch side {
	case 1:
		return 0
	case 3:
		return 4
	}
	return side
}

// placeLike reports whether a text is surely the name of a place: a label, words or a
// running number.
func placeLike(text string) bool {
	if _, ok := gridSpot(text); ok {
		return true
	}
	if _, ok := wordSides(text); ok {
		return true
	}
	return countedName.MatchString(text)
}

// arePlaces reports whether each name is that of a place by itself, in rows and in columns,
// as A1 and B2 or top left and top right are.
func arePlaces(names []string) bool {
	rows, columns := map[int]bool{}, map[int]bool{}
	at := lattice(names)
	for i, name := range names {
		s, ok := gridSpot(name)
		if !ok && at == nil {
			return false
		}
		if !ok {
			s = at[i]
		}
		rows[s.row], columns[s.column] = true, true
	}
	return len(rows) > 1 && len(columns) > 1
}

// labelKey is what two names of one place have in common: a1, A 1 and A-1 are one.
func labelKey(text string) string {
	if s, ok := gridSpot(text); ok {
		return "#" + strconv.Itoa(s.row) + "," + strconv.Itoa(s.column)
	}
	return strings.Join(schema.Words(text), " ")
}

// lattice numbers the sides that names of places use, so that top, middle and bottom are
// rows 0, 1 and 2; nil where two names would be one place or a name has no sides.
func lattice(names []string) []spot {
	all := make([]sides, len(names))
	var usedAcross, usedDown [5]bool
	for i, name := range names {
		s, ok := wordSides(name)
		if !ok {
			return nil
		}
		if s.across < 0 {
			s.across = 2
		}
		if s.down < 0 {
			s.down = 2
		}
		all[i] = s
		usedAcross[s.across], usedDown[s.down] = true, true
	}
	rank := func(used [5]bool, at int) (n int) {
		for k := range at {
			if used[k] {
				n++
			}
		}
		return n
	}
	spots, seen := make([]spot, len(names)), map[spot]string{}
	for i, s := range all {
		spots[i] = spot{rank(usedAcross, s.across), rank(usedDown, s.down)}
		if other, twice := seen[spots[i]]; twice && labelKey(other) != labelKey(names[i]) {
			return nil
		}
		seen[spots[i]] = names[i]
	}
	return spots
}
