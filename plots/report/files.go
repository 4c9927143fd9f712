package report

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strings"
)

// Photos larger than mostPhoto, or than mostPhotos together, are named and not
// shown: a page has to open on a phone.
const (
	mostPhoto  = 6 << 20
	mostPhotos = 30 << 20
)

// shownKinds are the photos that every browser shows.
var shownKinds = []string{"image/jpeg", "image/png", "image/webp", "image/gif"}

// photos takes the photos of the folder and those that the set-up names.
func (g *gatherer) photos() {
	var names []string
	for _, name := range append(slices.Clone(g.settings.Photos), g.folder.Photos...) {
		in, ok := within(name)
		if !ok {
			g.Problems = append(g.Problems, Problem{name, "a photo outside of the folder is not shown"})
			continue
		}
		if !slices.Contains(names, in) {
			names = append(names, in)
		}
	}
	total := int64(0)
	for _, name := range names {
		photo, err := readPhoto(g.fsys, name, mostPhotos-total)
		if err != nil {
			g.problem(name, err)
			continue
		}
		total += int64(len(photo.content))
		g.Photos = append(g.Photos, photo)
		g.used = append(g.used, name)
	}
}

// readPhoto reads a photo of which the page has room bytes left.
func readPhoto(fsys fs.FS, name string, room int64) (Photo, error) {
	info, err := fs.Stat(fsys, name)
	if err != nil {
		return Photo{}, err
	}
	if !info.Mode().IsRegular() {
		return Photo{}, fmt.Errorf("found a folder, expected a photo")
	}
	p := Photo{File: name, Bytes: info.Size()}
	switch {
	case p.Bytes > mostPhoto:
		p.NotShown = fmt.Sprintf("%s; the page shows photos of up to %s", size(p.Bytes), size(mostPhoto))
		return p, nil
	case p.Bytes > room:
		p.NotShown = fmt.Sprintf("%s; the page shows %s of photos in all", size(p.Bytes), size(mostPhotos))
		return p, nil
	}
	content, err := fs.ReadFile(fsys, name)
	if err != nil {
		return Photo{}, err
	}
	// What a file is, not what its name says, decides.
	if p.kind = http.DetectContentType(content); !slices.Contains(shownKinds, p.kind) {
		p.NotShown = "a format that not every browser shows"
		if ending := strings.TrimPrefix(strings.ToLower(path.Ext(name)), "."); slices.Contains([]string{"jpg", "jpeg", "png", "webp", "gif"}, ending) {
			p.NotShown = "it is no picture, whatever its name says"
		}
		return p, nil
	}
	p.content = content
	return p, nil
}

// files lists the folder's files with what tells whether they are still the same.
// Links are not followed.
func (g *gatherer) files() {
	g.Warnings = append(g.Warnings, g.folder.Findings()...)
	names := slices.DeleteFunc(slices.Clone(g.folder.Files), g.skips)
	for _, name := range g.used {
		if !slices.Contains(names, name) && strings.Contains(name, "/") && !linked(g.fsys, name) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		if f, err := copyFile(io.Discard, g.fsys, name); err != nil {
			g.problem(name, err)
		} else {
			g.Files = append(g.Files, f)
		}
	}
	g.noteChanged(g.found, g.fsys, "", g.Files)
}

// noteChanged notes those of the files of a folder that were written to since they were found.
func (g *gatherer) noteChanged(found map[string]stamp, in fs.FS, folder string, files []File) {
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	now := stamps(in, names)
	for _, name := range names {
		if before, known := found[name]; known && before != now[name] {
			g.problem(path.Join(folder, name), errChanged)
		}
	}
}

// errChanged is for a file whose checksum may not be that of what was read.
var errChanged = errors.New("changed while it was read; make the report again")

// stamp tells, without reading it, whether a file was written to.
type stamp struct {
	bytes    int64
	modified int64 // nanoseconds
}

// stamps are those of a folder's files.
func stamps(fsys fs.FS, names []string) map[string]stamp {
	all := map[string]stamp{}
	for _, name := range names {
		if info, err := fs.Stat(fsys, name); err == nil {
			all[name] = stamp{info.Size(), info.ModTime().UnixNano()}
		}
	}
	return all
}

// skips tells whether a file of the folder does not belong to the set-up: a report,
// or one that the options name.
func (g *gatherer) skips(name string) bool {
	format, is := strings.CutPrefix(name, "report.")
	sheet, ofSheet := strings.CutPrefix(name, "reset-sheet.")
	return is && slices.Contains(Formats, format) || ofSheet && slices.Contains(SheetFormats, sheet) || slices.Contains(g.options.Skip, name)
}

// linked tells whether a file, or a folder on the way to it, is a link or no file
// at all.
func linked(fsys fs.FS, name string) bool {
	for at := name; at != "."; at = path.Dir(at) {
		info, err := fs.Lstat(fsys, at)
		if err != nil || info.Mode()&fs.ModeSymlink != 0 || at == name && !info.Mode().IsRegular() {
			return true
		}
	}
	return false
}

// copyFile copies a file and returns its size and checksum.
func copyFile(w io.Writer, fsys fs.FS, name string) (File, error) {
	file, err := fsys.Open(name)
	if err != nil {
		return File{}, err
	}
	defer file.Close()
	hash := sha256.New()
	n, err := io.Copy(io.MultiWriter(w, hash), file)
	return File{name, n, hex.EncodeToString(hash.Sum(nil))}, err
}

// size is a number of bytes for people.
func size(bytes int64) string {
	switch {
	case bytes >= 1<<20:
		return fmt.Sprintf("%.1f MB", float64(bytes)/(1<<20))
	case bytes >= 1<<10:
		return fmt.Sprintf("%.1f kB", float64(bytes)/(1<<10))
	}
	return fmt.Sprintf("%d bytes", bytes)
}
