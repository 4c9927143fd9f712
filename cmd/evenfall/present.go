package main

import (
	"io"
	"path/filepath"
	"slices"
	"strings"

	"evenfall/cmd/evenfall/outfile"
	"evenfall/photometry/sheet"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/document"
)

// present gives a result: its document's pictures as files where they are asked for,
// then the result as JSON or the document as text, then where the pictures are.
// Pictures come first: where they cannot be written, nothing was done.
func (a *app) present(result any, d *document.Document, name string) error {
	var paths []string
	if a.wantsPictures() {
		for _, b := range d.Blocks {
			p, ok := b.(document.Picture)
			if !ok || p.Draw == nil {
				continue
			}
			drawn, err := p.Draw()
			if err != nil {
				return err
			}
			path, err := a.savePicture(drawn, name+"-"+p.Name)
			if err != nil {
				return err
			}
			paths = append(paths, path)
		}
		if len(paths) == 0 {
			a.note("There is no picture of this result.")
		}
	}
	err := a.answer(result, d)
	for _, path := range paths {
		if err == nil {
			err = a.tellFile("picture", path)
		}
	}
	return err
}

// next adds to a screen, as its last lines, what may be typed next: what would settle it or
// what follows a change, and what hands the folder over. What is read from standard input
// has none, nor has a step of the demo, which goes on by itself.
func (a *app) next(d *document.Document, paths []string, verdict, further string) {
	if a.step || slices.Contains(paths, "-") {
		return
	}
	folder := []string{}
	if in := folderOfLast(paths); in != "." {
		folder = append(folder, in)
	}
	if verdict == uncertainty.Fail {
		further = a.typed("page", append(folder, "--lan")) + " (read again after the change, or in a copy of the file)"
	}
	d.Gap()
	d.Line("next", further, a.typed("report", folder)+" (to hand over, the reset sheet first)")
}

// typed is a command line as it can be typed here.
func (a *app) typed(command string, args []string) string {
	line := a.program() + " " + command
	for _, arg := range args {
		line += " " + sheet.Quoted(arg)
	}
	return line
}

// answer prints a result as JSON, or its document.
func (a *app) answer(result any, d *document.Document) error {
	if a.json {
		return a.printJSON(result)
	}
	return a.show(d)
}

// tellFile says where a file is: with the result, or beside JSON.
func (a *app) tellFile(what, path string) error {
	to := a.stdout
	if a.json {
		to = a.stderr
	}
	return say(to, "%s: %s", what, path)
}

// savePicture writes one picture and returns its path.
func (a *app) savePicture(picture *plots.Picture, name string) (path string, err error) {
	format := a.format
	if format == "" {
		format = "png"
	}
	if format != "svg" {
		a.tellUndrawable(name+"."+format, picture.Undrawable())
	}
	path = filepath.Join(a.out, name+"."+format)
	return path, outfile.Replace(path, a.force, func(w io.Writer) error { return picture.Write(w, format) })
}

// tellUndrawable says which texts of a file have letters that its typeface lacks.
func (a *app) tellUndrawable(file string, missing []string) {
	if len(missing) > 0 {
		say(a.stderr, "note: %s has empty squares for letters that its typeface lacks, in %s; svg and HTML draw them", file, strings.Join(missing, ", "))
	}
}

// pictureName is a file's name without folder and ending; standard input is called
// none.
func pictureName(path, none string) string {
	if path == "-" {
		return none
	}
	base := filepath.Base(path)
	return strings.TrimSuffix(base, filepath.Ext(base))
}
