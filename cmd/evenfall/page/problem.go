package page

import (
	"errors"
	"io/fs"
	"strings"
	"syscall"
	"unicode"
	"unicode/utf8"

	"evenfall/photometry/table"
)

// problem is an error shown to a person on the page: a status, a code for
// programs and a text for people.
type problem struct {
	status int
	code   string
	text   string
}

func (p problem) Error() string { return p.text }

// fileProblem describes what is wrong with a file without naming folders of this
// machine.
func fileProblem(name string, err error) error {
	var known problem
	if errors.As(err, &known) {
		return known
	}
	p := problem{500, "disk", "The disk did not take " + name + ". What was sent is not kept; it will be sent again."}
	var on *fs.PathError
	if errors.As(err, &on) {
		err = on.Err
	}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		p.status, p.code, p.text = 507, "disk_full", "The disk of this program's machine is full: make room there."
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		p.code, p.text = "read_only", "No permission for "+name+" on this program's machine: the folder or the file is read-only, or another user's."
	case errors.Is(err, fs.ErrNotExist):
		p.code, p.text = "folder_gone", "The folder of "+name+" is gone from this program's machine."
	}
	return p
}

// words are an error about a file, its first line, without the file's name, which
// the page shows beside.
func words(file string, err error) string {
	var at *table.Error
	if errors.As(err, &at) && at.File == file && at.Line > 0 {
		return trimmed(at.Within(file))
	}
	text := err.Error()
	if file != "" {
		text = strings.TrimPrefix(text, file+": ")
	}
	return trimmed(text)
}

// trimmed is the first line of a text, without its full stop.
func trimmed(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return strings.TrimSuffix(line, ".")
}

// sentence is words as a sentence of its own.
func sentence(file string, err error) string {
	text := words(file, err)
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:] + "."
}
