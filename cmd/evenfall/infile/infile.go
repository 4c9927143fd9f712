// Package infile opens what the program reads. A file that a person names may be a
// pipe. In a folder only regular files are read: a link leads elsewhere, and a pipe,
// a socket or a device may never answer.
//
// It promises that nothing outside a folder is reached from within it, that no input
// is read beyond Most bytes, and that opening a file of a folder never waits.
package infile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// Most is the largest input that is read, in bytes: some ten million readings.
const Most = 512 << 20

// ErrTooLarge is the error for an input of more than Most bytes.
var ErrTooLarge = fmt.Errorf("more than %d MB", Most>>20)

// KindError is the error for what is no regular file, in words such as “a pipe”.
type KindError string

func (e KindError) Error() string { return "is " + string(e) }

// Kind describes what a file is that is not regular, "" for one that is.
func Kind(mode fs.FileMode) string {
	switch {
	case mode.IsRegular():
		return ""
	case mode.IsDir():
		return "a folder"
	case mode&fs.ModeSymlink != 0:
		return "a link"
	case mode&fs.ModeNamedPipe != 0:
		return "a pipe"
	case mode&fs.ModeSocket != 0:
		return "a socket"
	}
	return "a device"
}

// Open opens a file that a person named: a regular file, or a pipe or terminal,
// which is read up to Most bytes.
func Open(path string) (io.ReadCloser, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if mode := info.Mode(); mode.IsDir() || mode&fs.ModeSocket != 0 || mode&fs.ModeDevice != 0 && mode&fs.ModeCharDevice == 0 {
		return nil, KindError(Kind(mode))
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	if info, err = file.Stat(); err == nil && info.Mode().IsRegular() {
		if info.Size() > Most {
			file.Close()
			return nil, ErrTooLarge
		}
		return file, nil // its size is known to who reads it
	}
	return limited{Limit(file), file}, nil
}

// limited is an input that is read up to a limit.
type limited struct {
	io.Reader
	io.Closer
}

// Limit reads at most Most bytes and fails with ErrTooLarge where there are more.
func Limit(r io.Reader) io.Reader { return &limiter{r, Most} }

type limiter struct {
	from io.Reader
	left int64
}

func (l *limiter) Read(p []byte) (int, error) {
	n, err := l.from.Read(p)
	if l.left -= int64(n); l.left < 0 {
		return 0, ErrTooLarge
	}
	return n, err
}

// Folder is the regular files of an open folder and of folders in it, as an fs.FS.
// A link is not followed, so that nothing outside the folder is reached and no file
// is read under two names.
type Folder struct{ Root *os.Root }

// Open opens a regular file or a folder. The error of anything else has a
// KindError.
func (f Folder) Open(name string) (fs.File, error) {
	fail := func(err error) (fs.File, error) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: err}
	}
	if !fs.ValidPath(name) {
		return fail(fs.ErrInvalid)
	}
	info, err := f.Lstat(name)
	if err != nil {
		return nil, err
	}
	if mode := info.Mode(); !mode.IsRegular() && !mode.IsDir() {
		return fail(KindError(Kind(mode)))
	}
	// Whatever has taken its place meanwhile must not block either.
	file, err := f.Root.OpenFile(filepath.FromSlash(name), os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	if info, err = file.Stat(); err == nil {
		switch mode := info.Mode(); {
		case !mode.IsRegular() && !mode.IsDir():
			err = KindError(Kind(mode))
		case mode.IsRegular() && info.Size() > Most:
			err = ErrTooLarge
		}
	}
	if err != nil {
		file.Close()
		return fail(err)
	}
	return file, nil
}

// Stat describes a file; a link is described itself.
func (f Folder) Stat(name string) (fs.FileInfo, error) { return f.Lstat(name) }

// Lstat is Stat. A link anywhere in a name is an error.
func (f Folder) Lstat(name string) (fs.FileInfo, error) {
	for i, c := range name {
		if c != '/' {
			continue
		}
		if info, err := f.Root.Lstat(filepath.FromSlash(name[:i])); err == nil && info.Mode()&fs.ModeSymlink != 0 {
			return nil, &fs.PathError{Op: "open", Path: name, Err: KindError("behind a link")}
		}
	}
	return f.Root.Lstat(filepath.FromSlash(name))
}

// ReadLink is for fs.ReadLinkFS; links are not followed.
func (f Folder) ReadLink(name string) (string, error) {
	return "", &fs.PathError{Op: "readlink", Path: name, Err: errors.ErrUnsupported}
}
