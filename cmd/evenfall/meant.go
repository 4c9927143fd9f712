package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"evenfall/photometry/table"
)

// meant asks whether one of some names was meant by one that is none of them: at most two
// letters off, and one in three of it; "" where none is near.
func meant(name string, names []string) string {
	var fields []table.Field
	for _, known := range names {
		fields = append(fields, table.Field{Name: known})
	}
	if nearest, edits := table.Nearest(fields, name); edits <= 2 && 3*edits <= len(strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))) && nearest != "" {
		return "; did you mean " + nearest + "?"
	}
	return ""
}

// meantFile is the file beside one that is not there whose name is near.
func meantFile(path string) string {
	folder := filepath.Dir(path)
	entries, err := os.ReadDir(folder)
	if err != nil {
		return ""
	}
	var names []string
	for _, e := range entries {
		name := filepath.Join(folder, e.Name())
		if strings.TrimSuffix(name, filepath.Ext(name)) == filepath.Clean(path) {
			return "; did you mean " + name + "?"
		}
		names = append(names, name)
	}
	return meant(filepath.Clean(path), names)
}

var unknownFlag = regexp.MustCompile(`^unknown flag: --([\w-]+)`)

// flagError names the flag that was probably meant by an unknown one, or where flags are
// told.
func flagError(c *cobra.Command, err error) error {
	found := unknownFlag.FindStringSubmatch(err.Error())
	if found == nil {
		return err
	}
	var names []string
	c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
	if near := meant("--"+found[1], names); near != "" {
		return fmt.Errorf("%w%s", err, near)
	}
	return fmt.Errorf("%w; type %s --help for those that there are", err, c.CommandPath())
}
