// Package outfile writes files whole or not at all. Every command that leaves
// something behind uses it, so that a full disk or a pulled plug never leaves
// half a file under a name that somebody trusts.
package outfile

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"sync"
	"syscall"
	"time"
)

// Write puts what content writes into the file at path, replacing one that is
// there. The folder is made where it is missing. Until content and the disk
// have accepted everything the old file stays as it was; on an error nothing is
// left behind.
func Write(path string, content func(io.Writer) error) error {
	return write(path, content, false, public, 0o777)
}

// WritePrivate is Write for a file, in a folder, that nobody but its user may read, such as
// a key.
func WritePrivate(path string, content func(io.Writer) error) error {
	return write(path, content, false, 0o600, 0o700)
}

// Create is Write for a file that must not exist yet: fs.ErrExist where it
// does.
func Create(path string, content func(io.Writer) error) error {
	return write(path, content, true, public, 0o777)
}

// Bytes is a content that is there already.
func Bytes(content []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	}
}

// WriteIn is Write for a file in a folder that is open, which the file cannot
// leave whatever its name says. It returns once the disk has the file and its
// name, so that what was written outlasts a pulled plug.
func WriteIn(root *os.Root, name string, content func(io.Writer) error) error {
	return writeIn(root, name, name, content, false, public)
}

// CreateIn is WriteIn for a file that must not exist yet: fs.ErrExist where it
// does.
func CreateIn(root *os.Root, name string, content func(io.Writer) error) error {
	return writeIn(root, name, name, content, true, public)
}

// public is who may read a file: as the system's mask has it.
const public fs.FileMode = 0o666

func write(path string, content func(io.Writer) error, fresh bool, mode, folderMode fs.FileMode) error {
	folder, name := filepath.Split(path)
	if folder == "" {
		folder = "."
	}
	if err := os.MkdirAll(folder, folderMode); err != nil {
		return explained(path, err)
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		return explained(path, err)
	}
	defer root.Close()
	Sweep(root, Stale)
	return writeIn(root, name, path, content, fresh, mode)
}

// writeIn writes a file of an open folder; displayName is its name in messages.
func writeIn(root *os.Root, name, displayName string, content func(io.Writer) error, fresh bool, mode fs.FileMode) (err error) {
	if fresh {
		if _, err := root.Lstat(name); err == nil {
			return fmt.Errorf("%s: %w", displayName, fs.ErrExist)
		}
	}
	folder, base := filepath.Split(name)
	temporary := folder + "." + base + "." + token() + ".part"
	file, done, err := begin(root, temporary, mode)
	if err != nil {
		return explained(displayName, err)
	}
	placed := false
	defer func() {
		if !placed { // after a panic of content too
			root.Remove(temporary)
		}
		done()
	}()
	if err = errors.Join(fill(file, content), file.Close()); err != nil {
		return explained(displayName, err)
	}
	if fresh {
		// A link never replaces a file that somebody else made meanwhile.
		if err = root.Link(temporary, name); err == nil {
			root.Remove(temporary)
			placed = true
			return syncFolder(root, folder)
		}
		if errors.Is(err, fs.ErrExist) {
			return fmt.Errorf("%s: %w", displayName, fs.ErrExist)
		}
		// Some file systems have no links.
	}
	if err = root.Rename(temporary, name); err != nil {
		return explained(displayName, err)
	}
	placed = true
	return syncFolder(root, folder)
}

// Stale is an age of a temporary file that no writer needs.
const Stale = time.Hour

// writing are the temporary files of this moment, each with how it is removed.
var writing = struct {
	sync.Mutex
	remove map[string]func()
}{remove: map[string]func(){}}

// begin makes a temporary file, which is noted until done is called.
func begin(root *os.Root, temporary string, mode fs.FileMode) (file *os.File, done func(), err error) {
	writing.Lock()
	defer writing.Unlock()
	if file, err = root.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode); err != nil {
		return nil, nil, err
	}
	writing.remove[temporary] = func() { root.Remove(temporary) }
	return file, func() {
		writing.Lock()
		defer writing.Unlock()
		delete(writing.remove, temporary)
	}, nil
}

// Abandon removes what is half written, for a program that is about to end. Nothing is
// written after it.
func Abandon() {
	writing.Lock()
	for _, remove := range writing.remove {
		remove()
	}
}

// part is what a temporary file is called: the file's name, a token, and an ending
// that no program opens.
var part = regexp.MustCompile(`^\..+\.[0-9a-f]{12}\.part$`)

// Sweep removes from an open folder what writers left behind that were killed in
// the middle, once it is older than an age that no writer needs.
func Sweep(root *os.Root, age time.Duration) {
	entries, _ := fs.ReadDir(root.FS(), ".")
	for _, e := range entries {
		if !e.Type().IsRegular() || !part.MatchString(e.Name()) {
			continue
		}
		if info, err := e.Info(); err == nil && time.Since(info.ModTime()) > age {
			root.Remove(e.Name())
		}
	}
}

// syncFolder waits until the disk has the names of a folder. Where the system
// cannot do that for folders, renaming has to be enough.
func syncFolder(root *os.Root, folder string) error {
	if folder == "" {
		folder = "."
	}
	opened, err := root.Open(folder)
	if err != nil {
		return nil
	}
	defer opened.Close()
	if err := opened.Sync(); err != nil && errors.Is(err, syscall.EIO) {
		return fmt.Errorf("cannot keep the names of the folder: %w", err)
	}
	return nil
}

// fill writes the content and waits until the disk has it.
func fill(file *os.File, content func(io.Writer) error) error {
	if err := content(file); err != nil {
		return err
	}
	return file.Sync()
}

// token makes a name that no other writer of the same file has.
func token() string {
	var b [6]byte
	rand.Read(b[:])
	return hex.EncodeToString(b[:])
}

// explained names the file once, without the temporary name of the attempt.
func explained(path string, err error) error {
	var on *fs.PathError
	if errors.As(err, &on) {
		err = on.Err
	}
	return fmt.Errorf("cannot write %s: %w", path, err)
}
