package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/cmd/evenfall/infile"
	"evenfall/photometry/setup"
)

// start is what the program does without a command: it says what to type, or does what
// files ask for by their columns.
func (a *app) start(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		for _, word := range a.args {
			if name, _, _ := strings.Cut(strings.TrimLeft(word, "-"), "="); strings.HasPrefix(word, "--") && c.Flags().Lookup(name) == nil {
				return flagError(c, fmt.Errorf("unknown flag: --%s", name))
			}
		}
		_, err := fmt.Fprintf(a.stdout, `Evenfall turns the readings of a handheld light meter into decisions about the
lights: is this surface even enough, why not, what to change, what to expose at.

  %[1]s demo         an invented set, judged and put right: start here
  %[1]s cloth.csv    your own readings: places in a column, levels beside
  %[1]s page --lan   readings typed on a phone, with a live map
  %[1]s report       a folder as one document, the reset sheet first
  %[1]s surface --new 3x3 --size 4.8x2.4   a sheet to fill in
  %[1]s help         every command
`, a.program())
		return err
	}
	if _, err := os.Stat(args[0]); err != nil && args[0] != "-" {
		if strings.ContainsAny(args[0], `./\`) {
			return fmt.Errorf("%s: %w, expected a command, or a file or folder of readings%s", args[0], cause(err), meantFile(args[0]))
		}
		return unknownCommand(c, args[0])
	}
	command, err := commandFor(args[0])
	if err != nil {
		return err
	}
	a.note("%s", a.typed(command, args))
	inner := app{stdin: a.stdin, stdout: a.stdout, stderr: a.stderr, env: a.env, until: a.until, called: a.called}
	a.status = inner.run(append([]string{command}, a.args...))
	return nil
}

func unknownCommand(c *cobra.Command, name string) error {
	meant := ""
	if near := c.SuggestionsFor(name); len(near) > 0 {
		meant = "; did you mean " + strings.Join(near, " or ") + "?"
	} else {
		meant = meantFile(name)
	}
	return fmt.Errorf("found %q, expected a command, or a file or folder of readings%s", name, meant)
}

// commandFor is the command that a file asks for by its name and columns, or a folder by
// its files: what is no other table is readings of a surface.
func commandFor(path string) (string, error) {
	info, err := os.Stat(path)
	if err != nil || !info.IsDir() && !info.Mode().IsRegular() {
		return needSurvey.command, nil // standard input or a pipe
	}
	in := path
	if !info.IsDir() {
		// A person may name a link; a folder has none.
		if path, err = filepath.EvalSymlinks(path); err != nil {
			return "", err
		}
		if info, err = os.Lstat(path); err != nil {
			return "", err
		}
		in = filepath.Dir(path)
	}
	opened, err := openFolder(in, "a folder of readings")
	if err != nil {
		return "", err
	}
	defer opened.Close()
	fsys := fs.FS(opened)
	if !info.IsDir() {
		fsys = oneFile{opened, info.Name(), fs.FileInfoToDirEntry(info)}
	}
	folder, err := setup.OpenFolder(fsys)
	if err != nil {
		return "", fmt.Errorf("%s: %w", path, cause(err))
	}
	for _, n := range []need{needSurvey, needRatio, needDistance, needMeter, needDimmers, needScreen, needLamps} {
		if len(n.pick(folder)) > 0 {
			return n.command, nil
		}
	}
	switch {
	case info.IsDir():
		return "report", nil
	case folder.Gels != "" || folder.Cameras != "":
		return "", fmt.Errorf("%s: a table of gels or cameras alone asks for nothing, expected readings or lamps beside it (see evenfall correct --help)", path)
	}
	file, err := infile.Open(path)
	if err != nil {
		return "", fmt.Errorf("%s: %w", path, cause(err))
	}
	defer file.Close()
	if setup.IsRatios(file, path) {
		return needRatio.command, nil
	}
	return needSurvey.command, nil
}

// oneFile is a folder in which one file alone is seen, as a table whatever its name ends in.
type oneFile struct {
	folder fs.FS
	name   string
	fs.DirEntry
}

// Name is that of the file, as a table's.
func (o oneFile) Name() string {
	if setup.IsTable(o.name) {
		return o.name
	}
	return o.name + ".csv"
}

func (o oneFile) Open(name string) (fs.File, error) {
	if name == o.Name() {
		name = o.name
	}
	return o.folder.Open(name)
}

func (o oneFile) ReadDir(string) ([]fs.DirEntry, error) { return []fs.DirEntry{o}, nil }
