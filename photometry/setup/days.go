package setup

import (
	"bytes"
	"cmp"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
)

// takeTyped finds whether a table without a known header is a survey as package sheet reads
// it, and takes the day of a survey as people type it, the title above it and its places.
func (s *sighted) takeTyped(content []byte) {
	tables, err := sheet.Read(bytes.NewReader(content), s.name, nil)
	if err != nil || len(tables) == 0 {
		return // whoever reads the file says why
	}
	if s.kind == unknownTable && !areReadings(tables[0]) {
		return
	}
	s.kind = aSurvey
	notes := tables[0].Notes
	s.typed, s.date = schema.Text(schema.SurveyFile, notes, schema.Title), schema.Text(schema.SurveyFile, notes, schema.Date)
	var places []string
	for i := range tables[0].Rows {
		places = append(places, photometry.NameKey(tables[0].Cell(i, 0).Text))
	}
	slices.Sort(places)
	s.places = strings.Join(places, "\x00")
}

// titleDays makes the titles that were typed above tables those of one surface on several
// days: where they are the same, with another date each and the same places. A title alone
// may be that of a production, whose surfaces are not to be joined.
func titleDays(surveys []sighted) {
	of := map[string][]*sighted{}
	for i := range surveys {
		s := &surveys[i]
		title := photometry.NameKey(cmp.Or(s.title, s.typed))
		of[title] = append(of[title], s)
	}
	for title, all := range of {
		if title == "" || len(all) < 2 || !areDays(all) {
			continue
		}
		for _, s := range all {
			s.title = cmp.Or(s.title, s.typed)
		}
	}
}

// areDays reports whether surveys that a title was typed above have another date than each
// of the others, and the same places as those.
func areDays(all []*sighted) bool {
	places := ""
	for i, s := range all {
		if s.title != "" {
			continue // a note says which surface it is
		}
		places = cmp.Or(places, s.places)
		if s.date == "" || s.places != places || slices.ContainsFunc(all, func(other *sighted) bool { return other != all[i] && other.date == s.date }) {
			return false
		}
	}
	return true
}

// datesOf puts the days of each surface in order, by photometry.NameKey of its title.
func datesOf(surveys []SurveyFiles) map[string]schema.Days {
	dates := map[string][]string{}
	for _, s := range surveys {
		title := photometry.NameKey(s.Title)
		dates[title] = append(dates[title], s.Date)
	}
	days := map[string]schema.Days{}
	for title, of := range dates {
		days[title] = schema.DaysOf(of...)
	}
	return days
}
