package page

import (
	"errors"
	"path"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"evenfall/photometry/setup"
	"evenfall/plots/document"
)

// reserved are names that some systems keep for devices, whatever their ending.
var reserved = regexp.MustCompile(`^(?i:con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9¹²³])$`)

// stem is a file's name without its ending.
func stem(name string) string { return strings.TrimSuffix(name, path.Ext(name)) }

func isWorkbook(name string) bool { return strings.EqualFold(path.Ext(name), ".xlsx") }

// checkFile accepts names of files that every system can have in a folder, and
// nothing that leads out of it.
func checkFile(name string) error {
	switch {
	case name == "" || len(name) > 120 || !utf8.ValidString(name):
		return errors.New("a name of 1 to 120 bytes")
	case strings.ContainsAny(name, `/\:*?"<>|`) || strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }):
		return errors.New(`a name without / \ : * ? " < > |`)
	case setup.Hidden(name) || name[0] == ' ':
		return errors.New("a name that does not begin with a dot or a blank")
	case !setup.IsTable(name):
		return errors.New("a name that ends in .csv")
	}
	base, _, _ := strings.Cut(name, ".")
	if reserved.MatchString(strings.TrimSpace(base)) {
		return errors.New("a name that no system keeps for a device")
	}
	if stem := stem(name); strings.TrimRight(stem, " .") != stem || stem == "" {
		return errors.New("a name that does not end in a dot or a blank")
	}
	return nil
}

// fileName makes a file's name of a title: "Green cloth, day 2" is
// green-cloth-day-2.csv.
func fileName(title string) string {
	stem := document.FileStem(strings.ToLower(title))
	if stem == "" {
		stem = "survey"
	}
	if reserved.MatchString(stem) || setup.IsNamed(stem) {
		stem += "-survey"
	}
	return stem + ".csv"
}
