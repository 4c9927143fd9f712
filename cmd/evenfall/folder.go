package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/cmd/evenfall/infile"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/plots/answers"
)

// need is what a command looks for in a folder where no file is named.
type need struct {
	command, what string
	// pick names the files of each candidate.
	pick func(*setup.Folder) []setup.SurveyFiles
}

var (
	needSurvey   = need{"surface", "readings of a surface", newest}
	needLampMaps = need{"balance", "readings of each lamp alone", func(f *setup.Folder) []setup.SurveyFiles {
		f.Surveys = slices.DeleteFunc(f.Surveys, func(s setup.SurveyFiles) bool { return !s.Alone })
		return newest(f)
	}}
	needDistance = need{"distance", "readings at several distances", func(f *setup.Folder) []setup.SurveyFiles { return each(f.Distances) }}
	needMeter    = need{"meter", "readings that check a meter", func(f *setup.Folder) []setup.SurveyFiles { return each(f.Meters) }}
	needRatio    = need{"ratio", "a table of lights at marks, ratio.csv", func(f *setup.Folder) []setup.SurveyFiles { return each([]string{f.Ratio}) }}
	needDimmers  = need{"dimmer", "a table of lamps over their dimmers, dimmers.csv", func(f *setup.Folder) []setup.SurveyFiles { return each([]string{f.Dimmers}) }}
	needScreen   = need{"screen", "a table of a screen with light and luminance, screen.csv", func(f *setup.Folder) []setup.SurveyFiles { return each([]string{f.Screen}) }}
	needLamps    = need{"plan", "a table of lamps, lamps.csv", func(f *setup.Folder) []setup.SurveyFiles { return each([]string{f.Lamps}) }}
)

// atMostOne refuses several files or folders.
func atMostOne(command, what, expected string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) > 1 {
			return fmt.Errorf("%s: %d %s given, expected %s (see evenfall %s --help)", command, len(args), what, expected, command)
		}
		return nil
	}
}

// firstOr is the first of the arguments, or what stands for none.
func firstOr(args []string, none string) string {
	if len(args) == 0 {
		return none
	}
	return args[0]
}

// each makes a candidate of each file.
func each(files []string) (out []setup.SurveyFiles) {
	for _, name := range files {
		if name != "" {
			out = append(out, setup.SurveyFiles{Files: []string{name}})
		}
	}
	return out
}

// newest leaves of the surveys of one surface the last day's.
func newest(f *setup.Folder) (out []setup.SurveyFiles) {
	for _, days := range f.Days() {
		out = append(out, days[0])
	}
	return out
}

// folderOf is the folder that files looks in: the one that is named, or this one where
// nothing is; "" where files are named.
func folderOf(paths []string) string {
	if len(paths) == 0 {
		return "."
	}
	if len(paths) == 1 && isFolder(paths[0]) {
		return paths[0]
	}
	return ""
}

// intentFlag is what the list of steps is for.
func intentFlag(command *cobra.Command, intent *string) {
	values := []string{schema.IntentMatch, schema.IntentImprove}
	command.Flags().StringVar(intent, "intent", "", "`goal` of the list of steps, match or improve (default: as the folder says)")
	must(command.RegisterFlagCompletionFunc("intent", cobra.FixedCompletions(values, cobra.ShellCompDirectiveNoFileComp)))
}

// checkIntent refuses what is neither.
func checkIntent(intent string) error {
	if intent != "" && intent != schema.IntentMatch && intent != schema.IntentImprove {
		return fmt.Errorf("--intent: found %q, expected match or improve", intent)
	}
	return nil
}

// reading is a command that reads files of a kind.
func (a *app) reading(n need, run func(paths []string) error) func(*cobra.Command, []string) error {
	return func(_ *cobra.Command, args []string) error {
		paths, err := a.files(n, args)
		if err != nil {
			return err
		}
		return run(paths)
	}
}

// files are the files that a command is to read: those named, or where none is
// named, or a folder, what that folder holds of the kind. What was chosen is told
// beside the result.
func (a *app) files(n need, paths []string) ([]string, error) {
	folder := folderOf(paths)
	if folder == "" {
		return paths, nil
	}
	f, err := a.readFolder(folder)
	if err != nil {
		return nil, err
	}
	found := n.pick(f)
	if len(found) != 1 {
		where := folder
		if where == "." {
			where = "this folder"
		}
		is, then := "nothing of the kind", fmt.Sprintf(" (see evenfall %s --help)", n.command)
		if len(found) > 0 {
			var names []string
			for _, c := range found {
				names = append(names, c.Files[0])
			}
			is, then = strings.Join(names, ", "), "; for one of them type "+a.typed(n.command, []string{filepath.Join(folder, names[0])})
		}
		return nil, fmt.Errorf("%s: no file given, and %s has %s, expected %s%s", n.command, where, is, n.what, then)
	}
	chosen := make([]string, len(found[0].Files))
	for i, name := range found[0].Files {
		chosen[i] = filepath.Join(folder, name)
	}
	a.note("reading %s", strings.Join(chosen, ", "))
	return chosen, nil
}

// readFolder finds the files of a folder, and names what it skips.
func (a *app) readFolder(folder string) (*setup.Folder, error) {
	root, err := openFolder(folder, "a folder")
	if err != nil {
		return nil, err
	}
	defer root.Close()
	return a.filesOf(root, folder)
}

// filesOf finds the files of an opened folder, and names what it skips.
func (a *app) filesOf(root openedFolder, folder string) (*setup.Folder, error) {
	f, err := setup.OpenFolder(root)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", folder, cause(err))
	}
	for _, about := range f.Findings() {
		a.note("%s", answers.Sentence(a.words(), about))
	}
	a.skipped = append(a.skipped, f.Irregular...)
	for _, p := range f.Problems {
		a.note("Not read: %v", p.Err)
	}
	return f, nil
}

// aSetUp is what a folder is expected to be that is read as a whole.
const aSetUp = "the folder of a set-up"

// openFolder opens a folder so that nothing outside of it can be reached.
func openFolder(folder, expected string) (openedFolder, error) {
	full, err := filepath.Abs(folder)
	if err != nil {
		return openedFolder{}, err
	}
	info, err := os.Stat(full)
	if err == nil && !info.IsDir() {
		err = errors.New("found a file")
	}
	if err != nil {
		return openedFolder{}, fmt.Errorf("%s: %w, expected %s", folder, cause(err), expected)
	}
	root, err := os.OpenRoot(full)
	return openedFolder{infile.Folder{Root: root}}, err
}

// openedFolder is the files of a folder that is to be closed.
type openedFolder struct{ infile.Folder }

func (f openedFolder) Close() error { return f.Root.Close() }
