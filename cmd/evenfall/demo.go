package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/cmd/evenfall/demo"
	"evenfall/plots/report"
)

func (a *app) demoCommand() *cobra.Command {
	all := false
	c := &cobra.Command{
		Use:   "demo [FOLDER]",
		Short: "Write an invented set-up and tell its story: start here",
		Long: `Demo writes an invented set-up into a folder, evenfall-demo where none is named. A
small puppet theatre films its series in front of a green cloth. It judges nine
readings of a close shot and does the one thing that they ask for. Then it judges
the readings after it, and writes the report of the whole set.

With --all it walks every command instead:

  checks the meter, and sees how the key light falls off
  brings the lamps to one color, and explains the readings by the lamps
  plans a better place for them, and balances them where they stand
  compares key and fill on the puppets
  finds what changed by the second day, and judges the cloth

It never replaces a file that it did not write itself, and exits with 0 once
everything is computed.`,
		Example: "  evenfall demo\n  evenfall demo --all\n  evenfall demo try --all --format svg",
		Args:    cobra.MaximumNArgs(1),
		RunE:    func(_ *cobra.Command, args []string) error { return a.demo(firstOr(args, "evenfall-demo"), all) },
	}
	c.Flags().BoolVar(&all, "all", false, "walk every command over the set-up")
	return c
}

// demoSteps are the jobs that the demo does before it hands all over as a report,
// the cloth last, with the files that each leaves behind.
var demoSteps = []struct {
	command  string
	pictures []string // without their endings
	tables   []string
}{
	{"meter meter.csv", []string{"meter-angle"}, nil},
	{"distance key-frame.csv", []string{"key-frame-distance"}, nil},
	{"correct lamps.csv --to key --gels gels.csv", nil, nil},
	{"plan lamps.csv --against cloth.csv --against cloth-lamps.csv", nil, nil},
	{"plan lamps-free.csv --size 4.8x2.4 --level 900lx",
		[]string{"lamps-free-before", "lamps-free-after", "lamps-free-set"}, []string{"lamps-free-solved.csv"}},
	{"balance cloth.csv cloth-lamps.csv --min 600lx", nil, nil},
	{"ratio ratio.csv", nil, nil},
	{"match cloth.csv cloth-day2.csv --lamp cloth-lamps.csv", nil, nil},
	{demoAnswer, []string{"cloth-level", "cloth-mired", "cloth-duv", "cloth-uv"}, nil},
}

// demoAnswer is the job whose result the demo prints as JSON.
const demoAnswer = "surface cloth.csv cloth-lamps.csv"

// demo writes the set-up and tells its story, or walks every command over it. As JSON
// it prints the cloth alone.
func (a *app) demo(folder string, all bool) error {
	files, err := demo.Files()
	if err != nil {
		return err
	}
	format, out := a.format, a.out
	if format == "" {
		format = "png"
	}
	var later []string
	if out == "" {
		out = folder
		later = demoWrites(format)
	}
	if err := demo.Write(folder, files, later, a.force); err != nil {
		return err
	}
	page := filepath.Join(out, report.PageName)
	switch {
	case a.json:
		return a.demoStep(commandIn(folder, demoAnswer), "")
	case all:
		return a.walk(folder, files, out, format, page)
	}
	return a.story(folder, out, page)
}

// walk runs every command over the set-up.
func (a *app) walk(folder string, files []demo.File, out, format, page string) error {
	say(a.stdout, "A puppet theatre films in front of a green cloth. Its files are in %s:", folder)
	for _, f := range files {
		fmt.Fprintf(a.stdout, "  %s\n", f.Name)
	}
	for _, step := range demoSteps {
		words := commandIn(folder, step.command)
		if len(step.pictures) > 0 {
			words = append(words, "--out", out)
		}
		if err := a.demoStep(words, format); err != nil {
			return err
		}
	}
	return a.demoStep([]string{"report", folder, "--out", page}, "")
}

// commandIn is a command line with its files in a folder.
func commandIn(folder, command string) []string {
	words := strings.Fields(command)
	for i, word := range words {
		if strings.HasSuffix(word, ".csv") {
			words[i] = filepath.Join(folder, word)
		}
	}
	return words
}

// demoWrites are the files that the steps of the demo write.
func demoWrites(format string) (names []string) {
	for _, step := range demoSteps {
		for _, name := range step.pictures {
			names = append(names, name+"."+format)
		}
		names = append(names, step.tables...)
	}
	return append(names, report.PageName)
}

// demoStep runs one command line of the demo and shows it.
func (a *app) demoStep(words []string, format string) error {
	if !a.json {
		say(a.stdout, "\n$ %s %s\n", a.program(), strings.Join(words, " "))
	}
	if status := a.again(words, format); status == exitNothing {
		return fmt.Errorf("demo: %s did nothing", words[0])
	}
	return nil
}

// again runs another command line with this one's way of showing results.
func (a *app) again(words []string, format string) int {
	inner := app{stdin: a.stdin, stdout: a.stdout, stderr: a.stderr, env: a.env, called: a.called, step: true}
	if format != "" && slices.Contains(words, "--out") {
		words = append(words, "--format", format)
	}
	for flag, given := range map[string]bool{"--json": a.json, "--full": a.full, "--force": a.force} {
		if given {
			words = append(words, flag)
		}
	}
	if a.unitName != "" {
		words = append(words, "--unit", a.unitName)
	}
	return inner.run(append(words, "--length", a.lengthName))
}
