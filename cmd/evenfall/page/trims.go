package page

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"evenfall/cmd/evenfall/outfile"
	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// trimsFolder contains what was read while lamps were checked and trimmed: no command takes
// it for surveys, since files in folders of a folder do not count.
const trimsFolder = "trims"

// checkSurvey accepts names of surveys of the folder, and of what was read while they were
// trimmed.
func checkSurvey(name string) error {
	return checkFile(strings.TrimPrefix(strings.TrimPrefix(name, trimsFolder+"/"), trialFolder+"/"))
}

// numbered is a name with a number behind it.
var numbered = regexp.MustCompile(`^(.+)-[0-9]{1,3}$`)

// readColumns are the columns of a row that a reading fills.
var readColumns = []string{"time", "level", "CCT", "mired", "Duv", "CC", "cie x", "cie y", "u'", "v'", "flicker", "note", "status"}

// anew is the same survey, or the same lights at marks, to be read again: its notes with
// another date, and a row for each place that is wanted, without readings but for those that
// hold for the light as it is now.
func (b *editor) anew(date time.Time, wanted func(label string) bool, since map[string]reread) ([]byte, error) {
	again, err := newEditor(b.name, b.text.bytes(), date, b.zone)
	if err != nil {
		return nil, err
	}
	gone, seen := map[*record]bool{}, map[cellKey]bool{}
	for _, x := range again.rows {
		key := keyOf(x.Label, x.Lamp)
		if x.Lamp != "" && b.lights == nil || seen[key] || !wanted(x.Label) {
			gone[x.record] = true
			continue
		}
		seen[key] = true
		for _, name := range readColumns {
			again.set(x, name, "")
		}
		if r, ok := since[photometry.NameKey(x.Label)]; ok {
			again.fill(x, r.Reading, r.at, false)
		}
	}
	again.text.remove(gone)
	text := again.text
	head, dated := text.mark, "# date: "+date.In(b.zone).Format("2006-01-02 15:04")
	if b.form.Title == "" {
		head += "# surface: " + stem(b.name) + text.end
	}
	notes := text.records[:slices.Index(text.records, text.header)]
	if at := slices.IndexFunc(notes, isDate); at >= 0 {
		notes[at].cells = []string{dated}
	} else {
		head += dated + text.end
	}
	text.mark = ""
	return append([]byte(head), text.bytes()...), nil
}

// isDate reports whether a remark is the note of the date.
func isDate(r *record) bool {
	key, value, _ := strings.Cut(strings.TrimLeft(r.cells[0], "# "), ":")
	return schema.Text(schema.SurveyFile|schema.RatioFile, []table.Note{{Key: strings.TrimSpace(key), Value: value}}, schema.Date) != ""
}

// reread is a reading that holds for the light as it is now.
type reread struct {
	Reading
	at int64
}

// again begins the survey anew for the light as it is now: after a trim with what was read
// since the lamp last changed.
func (s *server) again(l *live, asked struct {
	From string `json:"from"` // the trims
}) (string, error) {
	since := map[string]reread{}
	if t, err := s.store.open(asked.From); err == nil && trimOfSurvey(asked.From) == l.name {
		t.filling(func(b *editor) error { since = b.sinceChange(); return nil })
	}
	base := stem(l.name)
	if found := numbered.FindStringSubmatch(base); found != nil {
		base = found[1]
	}
	return s.begunAnew(l, func(string) bool { return true }, since, numberedNames(base, ".csv", 2))
}

// begunAnew writes a survey anew by the first of some names that is free.
func (s *server) begunAnew(l *live, wanted func(string) bool, since map[string]reread, names []string) (name string, err error) {
	err = l.filling(func(b *editor) error {
		content, err := b.anew(s.store.now(), wanted, since)
		if err != nil {
			return inFiles(err, "bad_survey")
		}
		name, err = s.store.begin(outfile.Bytes(content), tooManyNames, names...)
		return err
	})
	return name, err
}
