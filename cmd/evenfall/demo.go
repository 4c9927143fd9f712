package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"evenfall/cmd/evenfall/demo"
)

func (a *app) demoCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "demo [FOLDER]",
		Short: "Write an invented set-up and run the whole job on it",
		Long: `Demo writes an invented set-up into a folder (evenfall-demo where none is named):
a small puppet theatre films its series in front of a green cloth. Then it judges
the cloth as surface does and writes its maps. It never replaces a file that it
did not write itself, and exits with 0 once everything is computed.`,
		Example: "  evenfall demo\n  evenfall demo try --format svg",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			folder := "evenfall-demo"
			if len(args) > 0 {
				folder = args[0]
			}
			return a.demo(folder)
		},
	}
}

// demo writes the set-up and walks through the job.
func (a *app) demo(folder string) error {
	files, err := demo.Files()
	if err != nil {
		return err
	}
	if err := demo.Write(folder, files); err != nil {
		return err
	}
	if !a.json {
		fmt.Fprintf(a.stdout, "A puppet theatre films in front of a green cloth. Its readings are in %s:\n", folder)
		for _, f := range files {
			fmt.Fprintf(a.stdout, "  %s\n", filepath.Join(folder, f.Name))
		}
		fmt.Fprintf(a.stdout, "\n$ evenfall surface %s --out %s\n\n", filepath.Join(folder, files[0].Name), folder)
	}
	if a.out == "" {
		a.out = folder
	}
	err = a.surface(surfaceFlags{}, []string{filepath.Join(folder, files[0].Name)})
	if err == nil {
		a.status = exitDone
	}
	return err
}
