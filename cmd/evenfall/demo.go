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
	if a.format == "" {
		a.format = "png"
	}
	var pictures []string
	if a.out == "" {
		a.out = folder
		for _, kind := range []string{"level", "mired", "duv", "uv"} {
			pictures = append(pictures, "cloth-"+kind+"."+a.format)
		}
	}
	if err := demo.Write(folder, files, pictures); err != nil {
		return err
	}
	cloth, lamps := filepath.Join(folder, "cloth.csv"), filepath.Join(folder, "cloth-lamps.csv")
	if !a.json {
		fmt.Fprintf(a.stdout, "A puppet theatre films in front of a green cloth. Its files are in %s:\n", folder)
		for _, f := range files {
			fmt.Fprintf(a.stdout, "  %s\n", f.Name)
		}
		fmt.Fprintf(a.stdout, "\n$ evenfall surface %s %s --out %s\n\n", cloth, lamps, a.out)
	}
	if err := a.surface(surfaceFlags{}, []string{cloth, lamps}); err != nil {
		return err
	}
	a.status = exitDone
	return demo.Remember(folder, pictures...)
}
