package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/photometry/match"
	"evenfall/photometry/schema"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/answers"
)

// matchFlags are what belongs to a match, as typed.
type matchFlags struct {
	notes  noteFlags
	lamps  []string
	within string
}

func (a *app) matchCommand() *cobra.Command {
	var flags matchFlags
	command := &cobra.Command{
		Use:   "match [BEFORE AFTER]",
		Short: "Compare today's light with another day's, and restore it",
		Long: `Match says how today's light differs from another day's and what to do about it.
It gives the offset over all, the pattern that no change of exposure takes out, and
the shift of color. Then it gives the steps that restore the light, in the order
that works.

BEFORE and AFTER are two files of readings of one surface, two ratio files, or two
folders. Of folders it matches surveys of the same title, the marks, and the lamps
that were read alone. It compares their lamps.csv and setup.csv row by row. One
folder, or none, is matched with the day that its setup.csv names (before). Without
that note the last two days of a surface in it are matched.

With readings of each lamp alone on the day before it finds each lamp's level
today. It also finds the lamp whose color changed. They come by --lamp or in a lamp
column; today's readings of a lamp alone count too. Places are paired by label,
else by position. The pattern may be as large as the surface's tolerance, the
offset half of it either way. Its color tolerance counts for any place.`,
		Example: "  evenfall match cloth.csv cloth-day2.csv --lamp cloth-lamps.csv\n" +
			"  evenfall match cloth.csv cloth-day2.csv --tolerance 0.2 --within 0.1 --out maps\n" +
			"  evenfall match",
		Args: cobra.MaximumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error { return a.match(flags, args) },
	}
	f := command.Flags()
	f.StringArrayVar(&flags.lamps, "lamp", nil, "a `file` of readings of single lamps on the day before, named by its lamp column or its name; repeatable")
	f.StringVar(&flags.within, "within", "", "pair places no more than this `distance` apart (default a quarter of their spacing)")
	flags.notes.register(command, slices.Concat([]noteFlag{{"repeatability", schema.Repeatability}}, judgedNotes, sheetNotes)...)
	return command
}

// match reads both days, holds them against each other and shows the result.
func (a *app) match(flags matchFlags, paths []string) error {
	var o match.Options
	var err error
	if flags.within != "" {
		if o.WithinM, err = schema.ParseLength(flags.within, a.lengthName); err != nil || !(o.WithinM > 0) {
			return fmt.Errorf("--within: found %q, expected a distance above zero such as 0.1 or 10 cm", flags.within)
		}
	}
	notes := flags.notes.sources(a.plainLengths())
	r, name, err := a.matched(flags, paths, notes, o)
	if err != nil {
		return err
	}
	a.outcome(r.Verdict.Worst() == uncertainty.Pass)
	if r.Dials, err = a.dials(folderOfLast(paths), answers.MatchChanges(r)); err != nil {
		return err
	}
	d := answers.Match(r, a.words(), a.full)
	answers.WithDials(d, r.Dials)
	a.next(d, paths, r.Verdict.Worst(), "")
	return a.present(r, d, name)
}

// folderOfLast is the folder of today's files: the last that is named, or that of the last
// file; this one where nothing is.
func folderOfLast(paths []string) string {
	if len(paths) == 0 {
		return "."
	}
	last := paths[len(paths)-1]
	return cmp.Or(folderOf([]string{last}), filepath.Dir(last))
}

// matched makes the match of two files or two folders, and a name for pictures.
func (a *app) matched(flags matchFlags, paths []string, notes []*schema.Source, o match.Options) (*match.Result, string, error) {
	folders := 0
	for _, path := range paths {
		if isFolder(path) {
			folders++
		}
	}
	switch {
	case len(paths) == 1 && folders == 0:
		return nil, "", fmt.Errorf("match: found one file, %s, expected two, BEFORE and AFTER (see evenfall match --help)", paths[0])
	case len(paths) == 2 && folders == 1:
		return nil, "", fmt.Errorf("match: found a file and a folder, expected two files or two folders")
	case len(paths) == 2 && folders == 0:
		r, err := a.matchFiles(flags, paths, notes, o)
		return r, pictureName(paths[1], "surface") + "-match", err
	case len(flags.lamps) > 0:
		return nil, "", fmt.Errorf("--lamp: goes with two files; a folder's readings of lamps are found by themselves")
	}
	before, after, survey := ".", ".", ""
	if len(paths) > 0 {
		before, after = paths[0], paths[len(paths)-1]
	}
	if len(paths) < 2 {
		var err error
		if before, survey, err = dayBefore(after); err != nil {
			return nil, "", err
		}
	}
	var days [2]*match.Folder
	for i, path := range []string{before, after} {
		if i > 0 && survey == "" && sameFile(before, after) {
			break
		}
		root, err := openFolder(path, aSetUp)
		if err != nil {
			return nil, "", err
		}
		defer root.Close()
		found, err := a.filesOf(root, path)
		if err != nil {
			return nil, "", err
		}
		if days[i] = (&match.Folder{Folder: found, FS: root}); path != "." {
			days[i].Name = path
		}
	}
	days[0].Survey = survey
	r, err := match.CompareFolders(days[0], days[1], notes, o)
	if err != nil {
		return nil, "", err
	}
	for _, m := range append([]*match.Result{r}, r.More...) {
		a.note("reading %s against %s", strings.Join(m.After.Files, ", "), strings.Join(m.Before.Files, ", "))
	}
	return r, "match", nil
}

// dayBefore is the day that the set-up of a folder names as the one before: a folder,
// and a survey in it where it names one; the folder itself where it names none.
func dayBefore(folder string) (day, survey string, err error) {
	s, err := setupBeside(filepath.Join(folder, "setup.csv"))
	if err != nil || s == nil || s.Before == "" {
		return folder, "", err
	}
	day = filepath.Join(folder, filepath.FromSlash(s.Before))
	if info, err := os.Stat(day); err != nil {
		return "", "", fmt.Errorf("%s: before: found %q, expected the folder or the survey of the day before", filepath.Join(folder, "setup.csv"), s.Before)
	} else if info.IsDir() {
		return day, "", nil
	}
	return filepath.Dir(day), filepath.Base(day), nil
}

// matchFiles opens and matches two files.
func (a *app) matchFiles(flags matchFlags, paths []string, notes []*schema.Source, o match.Options) (*match.Result, error) {
	if paths[0] == paths[1] || sameFile(paths[0], paths[1]) {
		return nil, fmt.Errorf("match: %s is given twice, expected the files of two days", paths[0])
	}
	inputs, closeAll, err := a.openInputs(append(slices.Clone(paths), flags.lamps...)...)
	defer closeAll()
	if err != nil {
		return nil, err
	}
	files := match.Files{Flags: notes, Before: inputs[:1], After: inputs[1:2], Lamps: inputs[2:]}
	return match.Read(files, o)
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// sameFile tells whether two paths lead to one file or folder.
func sameFile(a, b string) bool {
	one, err1 := os.Stat(a)
	two, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(one, two)
}
