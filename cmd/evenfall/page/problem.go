package page

import (
	"errors"
	"io/fs"
	"syscall"
)

// problem is an error that a person on the page is told: a status, a code for
// programs and a text for people.
type problem struct {
	status int
	code   string
	text   string
}

func (p problem) Error() string { return p.text }

// fileProblem tells what is wrong with a file without naming folders of this
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
	case errors.Is(err, fs.ErrPermission):
		p.text = "No permission for " + name + " on this program's machine."
	case errors.Is(err, syscall.ENOSPC):
		p.status, p.text = 507, "The disk of this program's machine is full. What was sent is not kept; it will be sent again."
	case errors.Is(err, fs.ErrNotExist):
		p.text = "The folder of " + name + " is gone from this program's machine."
	}
	return p
}
