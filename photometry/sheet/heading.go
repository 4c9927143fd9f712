package sheet

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// role is what a column is for.
type role uint8

const (
	noRole role = iota
	labelRole
	rowRole    // rows of places, or what several places have in common
	columnRole // columns of places
	indexRole
	xRole
	yRole
	levelRole
	summaryRole
	otherRole // a known column that is kept as it is: time, color, lamp, role, remark
	asideRole // a known column that is not read: date, z
)

// heading is what a header cell says.
type heading struct {
	text    string
	role    role
	column  *schema.Column // of a role that survey knows by name
	unit    photometry.Unit
	times   float64
	length  string // unit of lengths
	rest    string // words that make it another column of the same kind: left lamp, before
	ordinal bool   // counts repeats
	guessed bool   // the role is that of the cells below, not of the name
	percent bool   // has a percent sign
	light   string // role of the light whose levels it heads, or its lamp
	inUnits string // unit of a column that is kept
	iso     string // that exposure values are at
	flipped bool   // positions are counted from camera right, or down from the top
}

// inUnit is a name with its unit in words: Höhe in cm, valeurs en lux.
var inUnit = regexp.MustCompile(`(?i)^(\S.*?)[ ,:]+(?:in|en)\s+(\S+)$`)

// known reports whether the heading names a column.
func (h heading) known() bool { return h.role != noRole }

// readHeading understands a header cell.
func readHeading(text string) heading {
	h := heading{text: text, times: 1}
	if strings.TrimSpace(text) == "" {
		return h
	}
	if m := inUnit.FindStringSubmatch(text); m != nil {
		_, length := table.LengthFactor(m[2])
		if u, _ := unitOf(m[2]); length || u != photometry.NoUnit {
			text = m[1] + " (" + m[2] + ")"
		}
	}
	tokens := schema.Words(text)
	if isSummary(tokens) {
		h.role = summaryRole
		return h
	}
	if c, unit := schema.Find(schema.SurveyFile, text); c != nil && h.takeColumn(c, unit) {
		return h
	}
	h.readWords(text, tokens)
	return h
}

// ColumnOf is the column of readings that a header cell names, as [Read] understands it:
// one of levels in any unit is [schema.AnyLevel]; nil for none.
func ColumnOf(text string) *schema.Column {
	h := readHeading(text)
	switch {
	case h.role == levelRole:
		return schema.AnyLevel
	case h.column != nil && h.known():
		return h.column
	case h.role == labelRole:
		return schema.Label
	case h.role == xRole && schema.HasWord(text, schema.DistanceWord):
		return schema.Distance
	case h.role == xRole:
		return schema.X
	case h.role == yRole:
		return schema.Y
	}
	return nil
}

// takeColumn makes it a declared column; false where its unit is not one of levels.
func (h *heading) takeColumn(c *schema.Column, unit string) bool {
	h.column = c
	switch c {
	case schema.Label:
		h.role = labelRole
	case schema.X, schema.Distance:
		h.role, h.length = xRole, unit
	case schema.Y:
		h.role, h.length = yRole, unit
	case schema.Z, schema.Angle, schema.Density:
		h.role = asideRole
	default:
		h.role = otherRole
	}
	if _, ok := table.LengthFactor(unit); !ok && (h.role == xRole || h.role == yRole) && unit != "" {
		return false
	}
	if c.IsLevel() {
		h.role = levelRole
		u, times, ok := c.LevelIn(unit)
		if unit != "" && !ok {
			return false
		}
		h.unit, h.times = u, times
	}
	return true
}

var roleOfWord = []struct {
	class schema.WordClass
	role  role
}{
	{schema.LabelColumnWord, labelRole}, {schema.RowWord, rowRole}, {schema.ColumnWord, columnRole}, {schema.HeightWord, yRole}, {schema.WidthWord, xRole},
	{schema.DistanceWord, xRole}, {schema.IndexWord, indexRole}, {schema.TimeWord, otherRole}, {schema.DateWord, asideRole}, {schema.RemarkWord, otherRole},
}

// readWords understands a header by its words.
func (h *heading) readWords(text string, tokens []string) {
	h.role, h.column = noRole, nil
	h.flipped = countsBack(tokens)
	all, rest := h.countWords(tokens)
	h.takeUnitWord(text, tokens)
	h.percent = strings.Contains(text, "%")
	switch {
	case all&schema.ColorWord != 0 && all&schema.LevelColumnWord == 0 && h.unit == photometry.NoUnit:
		h.takeColor(tokens)
	case h.unit == photometry.NoUnit && all&schema.LevelColumnWord != 0 && all&schema.IndexWord != 0:
		h.role = indexRole // reading no, Messung Nr.
	case h.unit != photometry.NoUnit || all&schema.LevelColumnWord != 0 && all&(schema.RemarkWord|schema.LabelColumnWord|schema.TimeWord|schema.DateWord) == 0 && h.length == "":
		h.role = levelRole
		h.rest = strings.Join(rest, " ")
	case all&schema.FromLeftWord != 0 && (all&schema.DistanceWord != 0 || h.length != ""):
		h.role = xRole
	case all&schema.UpDownWord != 0 && (all&(schema.DistanceWord|schema.HeightWord) != 0 || h.length != ""):
		h.role = yRole
	case len(tokens) == 1 && all&schema.OrdinalWord != 0, len(tokens) > 3 && h.length == "":
	default:
		h.takeRole(all)
	}
}

// fromWords are before the edge that positions are counted from.
var fromWords = strings.Fields("from von vom ab de da dal dall dalla desde depuis van vanaf")

// countsBack reports whether positions are counted from camera right, or down from the top.
func countsBack(tokens []string) bool {
	from := false
	for _, t := range tokens {
		class := schema.ClassOf(t)
		if from && class&schema.PlaceLeft == 0 && (class&schema.PlaceRight != 0 || class&schema.PlaceTop != 0 && class&schema.HeightWord == 0) {
			return true
		}
		from = from || slices.Contains(fromWords, t)
	}
	return false
}

// beside are the words that may be beside x, or across, in the name of a position.
var beside = strings.Fields("pos posn position positions coord coords coordinate coordinates koordinate loc location axis achse distance dist abstand entfernung the stage")

// axisOf is the axis of a position that a column's name has without a unit of length: x pos,
// across, from below; zero where it has none.
func axisOf(text string) role {
	from := false
	var rest []string
	for _, t := range schema.Words(text) {
		switch {
		case slices.Contains(fromWords, t):
			from = true
		case !slices.Contains(beside, t):
			rest = append(rest, t)
		}
	}
	if len(rest) != 1 {
		return noRole
	}
	switch t, class := rest[0], schema.ClassOf(rest[0]); {
	case t == "x", slices.Contains([]string{"across", "horizontal", "horiz"}, t), from && class&(schema.PlaceLeft|schema.PlaceRight) != 0:
		return xRole
	case t == "y", slices.Contains([]string{"up", "vertical", "vert", "height"}, t), from && class&(schema.PlaceTop|schema.PlaceBottom|schema.UpDownWord) != 0:
		return yRole
	}
	return noRole
}

// takeRole takes the first role that one of the words has.
func (h *heading) takeRole(all schema.WordClass) {
	for _, r := range roleOfWord {
		if all&r.class != 0 {
			switch h.role = r.role; r.class {
			case schema.TimeWord:
				h.column = schema.Time
			case schema.RemarkWord:
				h.column = schema.Comment
			}
			return
		}
	}
}

// takeColor makes it the column of a color, one that is not read where no word says which.
func (h *heading) takeColor(tokens []string) {
	h.role = asideRole
	for _, t := range tokens {
		if c, _ := schema.Find(schema.SurveyFile, t); c != nil && schema.ClassOf(t)&schema.ColorWord != 0 {
			h.role, h.column = otherRole, c
		}
	}
}

// countWords are the classes of all words, and the words that make it another column of
// its kind; a unit of length, an ISO speed and an ordinal are kept.
func (h *heading) countWords(tokens []string) (all schema.WordClass, rest []string) {
	counts := false
	for i, t := range tokens {
		class := schema.ClassOf(t)
		if (t == "iso" || t == "ei" || t == "asa") && i+1 < len(tokens) {
			h.iso = tokens[i+1]
		}
		if _, ok := table.LengthFactor(t); ok && i > 0 && h.length == "" {
			h.length = t
			continue
		}
		all |= class
		_, err := strconv.Atoi(t)
		counts = counts || err == nil && t != h.iso
		h.ordinal = h.ordinal || class&schema.OrdinalWord != 0
		if class&(schema.LevelColumnWord|schema.UnitWord|schema.OrdinalWord) == 0 && err != nil && t != "iso" && class&schema.SummaryCompanion == 0 && len(t) > 1 {
			rest = append(rest, t)
		}
	}
	h.ordinal = h.ordinal || counts && h.length == "" && (all&(schema.LevelColumnWord|schema.UnitWord) != 0 || len(tokens) == 1)
	return all, rest
}

// takeUnitWord finds the unit of levels that a header names among other words.
func (h *heading) takeUnitWord(text string, tokens []string) {
	if open := strings.LastIndexAny(text, "(["); open >= 0 {
		if u, times := unitOf(strings.Trim(text[open:], "()[] ")); u != photometry.NoUnit {
			h.unit, h.times = u, times
			return
		}
	}
	for i, t := range tokens {
		class := schema.ClassOf(t)
		pair := ""
		if i+1 < len(tokens) {
			pair = t + "-" + tokens[i+1]
		}
		switch u, ok := photometry.ParseUnit(pair); {
		case ok && pair != "":
			h.unit = u
		case evAtISO.MatchString(t):
			h.unit, h.iso = photometry.EV, evAtISO.FindStringSubmatch(t)[1]
		case class&schema.KiloluxWord != 0:
			h.unit, h.times = photometry.LX, 1000
		case class&(schema.LuxWord|schema.FootcandleWord|schema.EVWord|schema.RelativeWord) != 0:
			h.unit, _ = unitOf(t)
		case len(tokens) == 1 && t == "f", t == "blende" || t == "diaphragme" || t == "fstop" || t == "aperture":
			h.unit = photometry.FStop
		default:
			continue
		}
		return
	}
}

// IsSummary reports whether a text names a row or column that sums up others: Average,
// Mittelwert.
func IsSummary(text string) bool { return isSummary(schema.Words(text)) }

// isSummary reports whether words are those of a row or column that sums up others: all
// of them, besides numbers.
func isSummary(tokens []string) bool {
	found := false
	for _, t := range tokens {
		class := schema.ClassOf(t)
		_, err := strconv.Atoi(t)
		switch {
		case class&schema.SummaryWord != 0:
			found = true
		case class&schema.SummaryCompanion != 0 || err == nil:
		default:
			return false
		}
	}
	if !found {
		return slices.Contains([]string{"valeur moyenne", "valore medio", "valor medio", "niveau moyen"}, strings.Join(tokens, " "))
	}
	return true
}

// unitIn is the unit of levels that a title names, NoUnit where there is none.
func unitIn(text string) (photometry.Unit, float64) {
	h := heading{times: 1}
	h.takeUnitWord(text, schema.Words(text))
	if h.unit == photometry.Percent || h.unit == photometry.Plain {
		h.unit = photometry.NoUnit
	}
	return h.unit, h.times
}
