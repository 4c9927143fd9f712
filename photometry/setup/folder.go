package setup

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
	"evenfall/photometry/table"
)

// Folder is the files of a set-up, found in one folder by their names and
// contents. Each is optional, and none is read beyond its header. Names are
// within the folder; files in folders of it, and names that begin with a dot, do
// not count.
//
// setup, lamps, ratio, gels, cameras, dimmers and screen (.csv or .xlsx) are known by their names.
// Other tables are known by their columns: places (labels, x and y, or a grid) are
// a survey, distances without places a distance series, angles or filters a check
// of the meter. Files of one surface on one day are one survey: those whose notes
// “surface” and “date” agree, and those without a surface that are named after
// one (cloth-lamps.csv with cloth.csv) on the same day or none.
type Folder struct {
	Setup, Lamps, Ratio, Gels, Cameras, Dimmers, Screen string // "" where there is none
	Surveys                                             []SurveyFiles
	Distances, Meters                                   []string
	Photos                                              []string // pictures of the set; Evenfall's own are not among them
	Others                                              []string // tables that are none of these
	Files                                               []string // all plain files, whatever they are, in the order of their names
	Irregular                                           []string // what is no regular file, such as a link or a pipe: it is not read
	Problems                                            []Problem

	copies []photometry.Finding // tables that are the same as others and are not read
}

// SurveyFiles are the files of one survey, the main one first.
type SurveyFiles struct {
	Title, Date string // of the notes, "" where they do not say
	Files       []string
	Alone       bool // some file names the lamp of each reading
}

// Problem is a file of a folder whose kind cannot be found, and why.
type Problem struct {
	File string
	Err  error
}

// tableEndings are what the names of tables end in, and photoEndings those of
// photos. Evenfall writes pictures as png, svg and pdf, so that those are no
// photos unless the table of the set-up names them.
var (
	tableEndings = []string{".csv", ".tsv", ".xlsx"}
	photoEndings = []string{".jpg", ".jpeg", ".webp", ".heic", ".avif"}
)

// Hidden reports whether a name does not count in a folder: it begins with a dot, or a
// spreadsheet program has the file there only while it has another one open.
func Hidden(name string) bool { return strings.HasPrefix(name, ".") || strings.HasPrefix(name, "~$") }

// IsTable reports whether a file is a table by what its name ends in.
func IsTable(name string) bool { return slices.Contains(tableEndings, strings.ToLower(path.Ext(name))) }

// named are the tables that are known by their names, without their endings.
func (f *Folder) named() map[string]*string {
	return map[string]*string{"setup": &f.Setup, "lamps": &f.Lamps, "ratio": &f.Ratio, "gels": &f.Gels, "cameras": &f.Cameras, "dimmers": &f.Dimmers, "screen": &f.Screen}
}

// IsNamed reports whether a file of a name in lower case, without its ending, is known by
// it, so that nothing else in a folder can have it.
func IsNamed(stem string) bool { return (&Folder{}).named()[stem] != nil }

// OpenFolder finds the files of a folder. Two files that claim to be the same table
// are an error, and so is a folder that cannot be listed; a table that cannot be
// read is a problem of its own file.
func OpenFolder(fsys fs.FS) (*Folder, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, err
	}
	f := &Folder{}
	copies := copyFinder{fsys: fsys}
	named := f.named()
	var claims []error
	var tables []sighted
	for _, entry := range entries {
		name := entry.Name()
		if entry.IsDir() || Hidden(name) {
			continue
		}
		if !entry.Type().IsRegular() {
			f.Irregular = append(f.Irregular, name)
			continue
		}
		f.Files = append(f.Files, name)
		ending := strings.ToLower(path.Ext(name))
		switch {
		case slices.Contains(photoEndings, ending):
			f.Photos = append(f.Photos, name)
			continue
		case !IsTable(name):
			continue
		}
		base := strings.ToLower(strings.TrimSuffix(name, path.Ext(name)))
		if slot, known := named[base]; known {
			if *slot != "" {
				if copies.found(name, []string{*slot}, 1) {
					continue
				}
				claims = append(claims, fmt.Errorf("%s and %s both claim to be the table “%s”, expected one of them", *slot, name, base))
			}
			*slot = name
			continue
		}
		s, err := sight(fsys, name)
		switch {
		case err != nil:
			f.Problems = append(f.Problems, Problem{name, err})
		case s.kind == unknownTable:
			f.Others = append(f.Others, name)
		default:
			tables = append(tables, s)
		}
	}
	f.sortTables(tables, &copies)
	return f, errors.Join(claims...)
}

// sortTables keeps the tables of readings by what they are; copies of others are left out.
func (f *Folder) sortTables(tables []sighted, copies *copyFinder) {
	// The shorter of two names is the file, the other its copy: cloth (1).csv.
	slices.SortStableFunc(tables, func(a, b sighted) int { return cmp.Compare(len(a.name), len(b.name)) })
	var surveys []sighted
	named := map[sort][]string{}
	like := map[string][]string{} // names of the files that may be copies of each other
	for _, s := range tables {
		if copies.found(s.name, like[s.likeness], table.FewestCopied) {
			continue
		}
		like[s.likeness] = append(like[s.likeness], s.name)
		named[s.kind] = append(named[s.kind], s.name)
		if s.kind == aSurvey {
			surveys = append(surveys, s)
		}
	}
	f.Distances, f.Meters = named[aDistance], named[aMeter]
	// Of any name: one is taken, of several nobody knows which counts.
	for kind, slot := range map[sort]*string{aDimmer: &f.Dimmers, aScreen: &f.Screen, aRatio: &f.Ratio} {
		if *slot == "" && len(named[kind]) == 1 {
			*slot = named[kind][0]
		} else {
			f.Others = append(f.Others, named[kind]...)
		}
	}
	slices.Sort(f.Others)
	slices.Sort(f.Distances)
	slices.Sort(f.Meters)
	slices.SortFunc(surveys, func(a, b sighted) int { return strings.Compare(a.name, b.name) })
	titleDays(surveys)
	f.Surveys, f.copies = group(surveys), copies.all
}

// Findings are what a person should know about the files of a folder whatever is
// read of it.
func (f *Folder) Findings() (out []photometry.Finding) {
	if len(f.Irregular) > 0 {
		out = append(out, photometry.Found("folder.irregular", "files", f.Irregular))
	}
	days := datesOf(f.Surveys)
	for _, of := range f.Days() {
		if title := photometry.NameKey(of[0].Title); title != "" && !days[title].Sure {
			out = append(out, photometry.Found("folder.days_unsure", "surface", of[0].Title, "newest", of[0].Date, "before", of[1].Date))
		}
	}
	return append(out, f.copies...)
}

// Empty reports whether the folder has nothing that any command could use.
func (f *Folder) Empty() bool {
	return f.Setup == "" && f.Lamps == "" && f.Ratio == "" && f.Gels == "" && f.Cameras == "" && f.Dimmers == "" && f.Screen == "" &&
		len(f.Surveys)+len(f.Distances)+len(f.Meters) == 0
}

// Days are the surveys of each surface, the newest day first. Surveys are of one
// surface where their titles agree in any case; one without a title is
// alone.
func (f *Folder) Days() [][]SurveyFiles {
	var out [][]SurveyFiles
	for i, s := range f.Surveys { // in the order of title and day
		if i > 0 && s.Title != "" && photometry.SameName(f.Surveys[i-1].Title, s.Title) {
			last := &out[len(out)-1]
			*last = append([]SurveyFiles{s}, *last...)
			continue
		}
		out = append(out, []SurveyFiles{s})
	}
	return out
}

// sort of a table, by its columns.
type sort uint8

const (
	unknownTable sort = iota
	aSurvey
	aDistance
	aMeter
	aDimmer
	aScreen
	aRatio
)

// sighted is a table of readings as far as its header and notes say.
type sighted struct {
	name, title, date string
	kind              sort
	lamps             bool   // has a column of lamps, or a note of one
	likeness          string // which copies have in common
	typed, places     string // of a sheet as people type it: the title above its table, and the names of its places
}

// sight reads a table's header and notes.
func sight(fsys fs.FS, name string) (sighted, error) {
	s := sighted{name: name}
	file, err := fsys.Open(name)
	if err != nil {
		return s, err
	}
	defer file.Close()
	notes, header, err := headerOf(file, name)
	s.title, s.date = schema.Text(schema.SurveyFile, notes, schema.Title), schema.Text(schema.SurveyFile, notes, schema.Date)
	h := columnsOf(header)
	if s.kind = h.sort(); err == nil && s.kind == unknownTable {
		head, whole := headOfFile(fsys, name)
		if typed, kind := typedHeader(head, whole, name); kind == aRatio || typed != nil && !h.isOther() {
			header, h, s.kind = typed, typedColumnsOf(typed), kind
		}
		if whole && (s.kind == aSurvey || s.kind == unknownTable && !h.isOther()) {
			s.takeTyped(head)
		}
	}
	s.likeness = likeness(s, notes, header)
	s.lamps = schema.Text(schema.SurveyFile, notes, schema.Lamp) != "" || h.known[schema.LampOf]
	return s, err
}

// headerOf is the notes and header of a table, in the first sheet that has any.
func headerOf(r io.Reader, file string) (notes []table.Note, header []table.Cell, err error) {
	_, err = table.ReadColumns(r, file, func(n []table.Note, h []table.Cell) ([]table.Want, error) {
		if header == nil {
			notes, header = n, h
		}
		return nil, table.ErrSkipSheet
	})
	return notes, header, err
}

// mostTyped is how many bytes of a table are read to find a header below titles or in
// words of other languages. A workbook can be read as a whole alone: a longer one is not.
const mostTyped = 1 << 18

// headOfFile is the first part of a file, and whether that is all of it.
func headOfFile(fsys fs.FS, name string) (head []byte, whole bool) {
	file, err := fsys.Open(name)
	if err != nil {
		return nil, false
	}
	defer file.Close()
	head, err = io.ReadAll(io.LimitReader(file, mostTyped+1))
	return head[:min(len(head), mostTyped)], err == nil && len(head) <= mostTyped
}

// typedHeader is the first row that, as package sheet understands names of columns, is the
// header of a table of readings, with numbers below it, and the sort of that; nil where
// there is none.
func typedHeader(head []byte, whole bool, name string) ([]table.Cell, sort) {
	if !whole && strings.EqualFold(path.Ext(name), ".xlsx") {
		return nil, unknownTable
	}
	sheets, err := table.ReadCells(bytes.NewReader(head), name)
	if err != nil {
		return nil, unknownTable
	}
	for _, s := range sheets {
		for i, row := range s.Rows[:min(mostTitles, len(s.Rows))] {
			header := plainCells(row, 0)
			kind := typedColumnsOf(header).sort()
			if (kind == unknownTable || kind == aSurvey) && sheet.AreLights(cellTexts(row), firstTexts(s.Rows[i+1:])) {
				kind = aRatio
			}
			if kind != unknownTable && i+1 < len(s.Rows) {
				return header, kind
			}
		}
	}
	return nil, unknownTable
}

// fewestTyped is how many places with a unit make a table without a known header one of
// readings.
const fewestTyped = 4

// areReadings reports whether a table whose header names none has readings of a surface with
// their unit, such as a grid under left, middle and right.
func areReadings(t *sheet.Table) bool {
	_, _, places, unit := t.Figures()
	return places >= fewestTyped && unit != photometry.NoUnit && unit != photometry.Plain
}

func cellTexts(row []table.RawCell) (all []string) {
	for _, c := range row {
		all = append(all, c.Text)
	}
	return all
}

// firstTexts are the names before the rows of a table.
func firstTexts(rows [][]table.RawCell) (all []string) {
	for _, row := range rows {
		if len(row) > 0 && row[0].Text != "" {
			all = append(all, row[0].Text)
		}
	}
	return all
}

// typedColumnsOf are the columns of a header in words of sheets. One of levels has to be
// among them.
func typedColumnsOf(header []table.Cell) columns {
	h := columns{known: map[*schema.Column]bool{}}
	for _, cell := range header {
		if c := sheet.ColumnOf(cell.Text); c != nil {
			h.known[c] = true
			h.measured = h.measured || c.IsLevel()
		}
		h.dial = h.dial || isDial(cell.Text)
	}
	if !h.measured {
		return columns{}
	}
	return h
}

// isOther reports whether a header is that of a table of something else than readings.
func (h columns) isOther() bool {
	return h.own["kind"] || h.own["type"] || h.own["mark"] || h.own["key"] || h.own["camera"]
}

// IsRatios reports whether a table is one of lights at marks: it has the columns mark
// and role. A table that cannot be read is none.
func IsRatios(r io.Reader, file string) bool {
	_, header, _ := headerOf(r, file)
	h := columnsOf(header)
	return h.own["mark"] && h.own["role"]
}

// IsDimmers reports whether a table is of lamps over their own dimmers, by its header.
func IsDimmers(r io.Reader, file string) bool {
	_, header, _ := headerOf(r, file)
	return columnsOf(header).sort() == aDimmer
}

// columns are the properties of a table that its header has.
type columns struct {
	known    map[*schema.Column]bool // of readings
	own      map[string]bool         // names as they are written, without their units
	measured bool                    // has a column of levels or of color
	light    bool                    // has a column of illuminance
	along    bool                    // has a column of distances by a word of series alone, such as feet
	grid     bool                    // positions all along
	dial     bool                    // has a column of the settings of a dimmer
}

func columnsOf(header []table.Cell) columns {
	h := columns{known: map[*schema.Column]bool{}, own: map[string]bool{}, grid: len(header) > 1}
	for i, cell := range header {
		name, _ := table.ParseHeader(cell.Text)
		h.own[name] = true
		if c, unit := schema.Find(schema.SurveyFile, cell.Text); c != nil {
			h.known[c] = true
			h.light = h.light || c == schema.Lux || c == schema.Kilolux || c == schema.Foot || c == schema.Illuminance || c == schema.AnyLevel && (unit == "lx" || unit == "fc" || unit == "klx")
			h.measured = h.measured || c.IsLevel() || c == schema.CCT || c == schema.Mired || c == schema.CIEX || c == schema.UPrime
		}
		if c, _ := schema.Find(schema.SeriesFile, cell.Text); c == schema.Distance {
			h.along = true
		}
		h.dial = h.dial || isDial(cell.Text)
		if _, err := table.ParseLength(cell.Text, "m"); i > 0 && cell.Text != "" {
			h.grid = h.grid && err == nil
		}
	}
	return h
}

// isDial reports whether a column has the settings of a dimmer, as such a table calls it.
func isDial(head string) bool {
	c, _ := schema.Find(schema.DimmersFile, head)
	return c != nil && c.Name == "dimmer"
}

// sort tells what a header is of. Words that may be in any table, such as name or
// width, say places beside what was measured there alone.
func (h columns) sort() sort {
	switch has := h.known; {
	case h.isOther():
		return unknownTable
	case h.measured && (h.own["dimmer"] || h.dial && !slices.ContainsFunc([]*schema.Column{schema.Label, schema.X, schema.Y, schema.Distance, schema.Angle, schema.Density}, func(c *schema.Column) bool { return has[c] })):
		return aDimmer
	case h.light && h.known[schema.Luminance]:
		return aScreen
	case has[schema.X] && has[schema.Y] && (h.measured || h.own["x"] && h.own["y"]), h.grid:
		return aSurvey
	case has[schema.Angle] || has[schema.Density]:
		return aMeter
	case has[schema.Distance]:
		return aDistance
	case has[schema.Label] && (h.measured || h.own["label"]):
		return aSurvey
	case h.along && h.measured && !has[schema.X] && !has[schema.Y]:
		return aDistance
	}
	return unknownTable
}

// group puts files of one surface and day together, in the order of title, then
// date, then name.
func group(files []sighted) (out []SurveyFiles) {
	base := func(s sighted) string { return strings.ToLower(strings.TrimSuffix(s.name, path.Ext(s.name))) }
	shorter := func(a, b sighted) int { return len(base(a)) - len(base(b)) }
	var groups [][]sighted
	var nameless []sighted
	at := map[string]int{}
	for _, s := range files {
		if s.title == "" {
			nameless = append(nameless, s)
			continue
		}
		key := photometry.NameKey(s.title) + "\x00" + s.date
		i, known := at[key]
		if !known {
			i = len(groups)
			at[key], groups = i, append(groups, nil)
		}
		groups[i] = append(groups[i], s)
	}
	for _, g := range groups {
		slices.SortStableFunc(g, shorter) // the file that the others are named after is the main one
	}
	slices.SortStableFunc(nameless, shorter) // so that a file can be named after one without a title
	for _, s := range nameless {
		found := -1
		for i, g := range groups {
			main := base(g[0])
			after := strings.HasPrefix(base(s), main+"-") || strings.HasPrefix(base(s), main+" ") || strings.HasPrefix(base(s), main+"_")
			if after && (s.date == "" || g[0].date == "" || s.date == g[0].date) && (found < 0 || len(main) > len(base(groups[found][0]))) {
				found = i
			}
		}
		if found < 0 {
			found, groups = len(groups), append(groups, nil)
		}
		groups[found] = append(groups[found], s)
	}
	for _, g := range groups {
		one := SurveyFiles{Title: g[0].title, Date: g[0].date}
		for _, s := range g {
			one.Files, one.Alone = append(one.Files, s.name), one.Alone || s.lamps
		}
		out = append(out, one)
	}
	days := datesOf(out)
	slices.SortStableFunc(out, func(a, b SurveyFiles) int {
		title := photometry.NameKey(a.Title)
		return cmp.Or(strings.Compare(title, photometry.NameKey(b.Title)), days[title].Compare(a.Date, b.Date), strings.Compare(a.Files[0], b.Files[0]))
	})
	return out
}
