package schema

import (
	"strings"
)

// AllFiles are all sorts of files.
const AllFiles = SurveyFile | SeriesFile | RatioFile | LampsFile | GelsFile | CamerasFile | SetupFile | DimmersFile | ScreenFile

// Line is what help and README say of a word.
type Line struct {
	Name    string // with the unit that it has as a rule, x (m)
	Also    string // other names, with commas between
	Abroad  string // those in other languages
	Example string
	Help    string
	In      File
}

func (w *Word) line(in File) Line {
	also := w.Also
	for _, o := range w.Only {
		if o.In&in != 0 {
			also = strings.TrimPrefix(also+", "+o.Names, ", ")
		}
	}
	return Line{Name: w.Name, Also: also, Abroad: w.Abroad, Example: w.Example, Help: strings.ReplaceAll(w.Help, "`", ""), In: w.In}
}

// LineOf is the line of one note.
func LineOf(n Declared) Line { return n.Declaration().line(AllFiles) }

// NoteLines are the lines of the notes of some sorts of files, in order.
func NoteLines(in File) (lines []Line) {
	first := ""
	for _, n := range notesIn(in) {
		l := n.Declaration().line(in)
		if strings.HasSuffix(l.Name, " target") { // one of each role
			if first != "" {
				last := &lines[len(lines)-1]
				last.Also = strings.TrimPrefix(last.Also+", "+l.Name, ", ")
				continue
			}
			first = l.Name
		}
		lines = append(lines, l)
	}
	return lines
}

// ColumnLines are the lines of the columns of some sorts of files, in order.
func ColumnLines(in File) (lines []Line) {
	for _, c := range columnsIn(in) {
		l := c.line(in)
		if len(c.Units) > 0 && c.Unit == 0 && !c.level {
			l.Name += " (" + c.Units[0] + ")"
		}
		lines = append(lines, l)
	}
	return lines
}

// Files are the single sorts of files among several.
func (f File) Files() (files []File) {
	for i := range fileNames {
		if one := File(1) << i; f&one != 0 {
			files = append(files, one)
		}
	}
	return files
}
