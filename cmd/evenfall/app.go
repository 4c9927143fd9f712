package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/charmbracelet/colorprofile"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"evenfall/cmd/evenfall/infile"
	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// version of the program; results carry the version of their own shape.
const version = "0.1.0"

// Exit statuses.
const (
	exitDone    = 0 // done and within tolerance
	exitOutside = 1 // done, out of tolerance or unsettled
	exitNothing = 2 // nothing done
)

// app is one call of the program: where it reads and writes, and the flags
// that every command has.
type app struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	env            []string

	json, full, force    bool
	out, format          string
	unitName, lengthName string
	unit                 photometry.Unit // as chosen
	asked                photometry.Unit // of a level that was asked for
	feet, lengthGiven    bool

	called func() string // how the program was called; nil for evenfall
	lines  func() *regexp.Regexp
	args   []string // as typed
	step   bool     // one of several commands, which another one runs
	// skipped are files of a folder that were named and are not read.
	skipped []string
	status  int

	// until ends the program; nil goes on.
	until context.Context
}

// context is for what ends by itself, with what it has, once the program is told to end.
func (a *app) context() context.Context {
	endsItself.Store(true)
	if a.until != nil {
		return a.until
	}
	return context.Background()
}

// program is how the program is called in what it shows to be typed.
func (a *app) program() string {
	if a.called == nil {
		return "evenfall"
	}
	return a.called()
}

// ownLines finds the command lines of this program in what it says.
func ownLines(root *cobra.Command) *regexp.Regexp {
	var names []string
	for _, c := range root.Commands() {
		names = append(names, c.Name())
	}
	return regexp.MustCompile(`(^|[^/\\\w.-])evenfall (` + strings.Join(names, "|") + `|help)\b`)
}

// asCalled is a text with its command lines as they can be typed here.
func (a *app) asCalled(text string) string {
	if program := a.program(); program != "evenfall" {
		return a.lines().ReplaceAllString(text, "${1}"+strings.ReplaceAll(program, "$", "$$")+" $2")
	}
	return text
}

// help is where the command line's own help goes.
type help struct{ *app }

func (h help) Write(p []byte) (int, error) {
	_, err := io.WriteString(h.stdout, h.asCalled(string(p)))
	return len(p), err
}

// run runs one command line and returns the exit status.
func (a *app) run(args []string) int {
	a.args = args
	root := a.root()
	a.lines = sync.OnceValue(func() *regexp.Regexp { return ownLines(root) })
	root.SetArgs(args)
	root.SetIn(a.stdin)
	root.SetOut(help{a})
	root.SetErr(a.stderr)
	if err := root.Execute(); err != nil {
		a.note("evenfall: %s", strings.TrimSpace(err.Error()))
		return exitNothing
	}
	return a.status
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "evenfall [FILE or FOLDER]",
		Short: "Turn light meter readings into decisions about the lights",
		Long: `Evenfall turns the readings of a handheld light meter into decisions about the
lights: is this surface even enough, why not, what to change, and what to expose
at. Results go to standard output, everything else to standard error. The exit
status is 0 for within tolerance, 1 for out of tolerance or unsettled, 2 where
nothing was done.`,
		Example:       "  evenfall demo\n  evenfall surface cloth.csv\n  evenfall convert 116fc --iso 800 --fps 24",
		Version:       version,
		SilenceUsage:  true,
		SilenceErrors: true,
		// What the command of a file takes is for that command to read.
		FParseErrWhitelist: cobra.FParseErrWhitelist{UnknownFlags: true},
		Args:               cobra.ArbitraryArgs,
		RunE:               a.start,

		SuggestionsMinimumDistance: 2,
		PersistentPreRunE: func(c *cobra.Command, _ []string) error {
			a.lengthGiven = c.Flags().Changed("length")
			return a.checkFlags(c.Annotations[formatsOf])
		},
	}
	root.SetFlagErrorFunc(flagError)
	root.SetVersionTemplate("evenfall {{.Version}}\n")
	flags := root.PersistentFlags()
	flags.BoolVar(&a.json, "json", false, "print the result as JSON (levels always in SI units)")
	flags.BoolVar(&a.full, "full", false, "print all statistics and what was inferred from the files")
	flags.BoolVar(&a.force, "force", false, "replace files that evenfall did not write, or that were changed since")
	flags.StringVar(&a.out, "out", "", "write pictures into this `folder`")
	flags.StringVar(&a.format, "format", "", "write pictures as png, svg or pdf")
	flags.StringVar(&a.unitName, "unit", "", "show illuminance in `lx or fc` (default: as it was read)")
	flags.StringVar(&a.lengthName, "length", "m", "show lengths in m or ft; plain lengths on the command line are in it too")
	for name, words := range map[string][]string{"format": plots.Formats, "unit": {"lx", "fc"}, "length": {"m", "ft"}} {
		must(root.RegisterFlagCompletionFunc(name, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)))
	}
	root.AddCommand(a.surfaceCommand(), a.distanceCommand(), a.meterCommand(), a.convertCommand(), a.correctCommand(), a.planCommand(), a.balanceCommand(), a.ratioCommand(), a.matchCommand(), a.dimmerCommand(), a.screenCommand(), a.reportCommand(), a.pageCommand(), a.demoCommand(), a.selfcheckCommand())
	root.AddCommand(a.topics()...)
	return root
}

// must is for errors that only a mistake in this program can cause.
func must(err error) {
	if err != nil {
		panic(err)
	}
}

// formatsOf is the annotation of a command that writes other formats than pictures:
// their names with commas between.
const formatsOf = "formats"

// checkFlags understands the flags that every command has. formats are those that
// the command writes, empty for pictures.
func (a *app) checkFlags(formats string) error {
	if a.unitName != "" {
		unit, ok := photometry.ParseUnit(a.unitName)
		if !ok || (unit != photometry.LX && unit != photometry.FC) {
			return fmt.Errorf("--unit: found %q, expected lx or fc", a.unitName)
		}
		a.unit = unit
	}
	switch a.lengthName {
	case "m", "ft":
		a.feet = a.lengthName == "ft"
	default:
		return fmt.Errorf("--length: found %q, expected m or ft", a.lengthName)
	}
	known := plots.Formats
	if formats != "" {
		known = strings.Split(formats, ",")
	}
	if a.format != "" && !slices.Contains(known, a.format) {
		return fmt.Errorf("--format: found %q, expected %s", a.format, strings.Join(known, ", "))
	}
	return nil
}

// wantsPictures tells whether any picture was asked for.
func (a *app) wantsPictures() bool { return a.out != "" || a.format != "" }

// printJSON writes a result for tools, its sentences in SI units.
func (a *app) printJSON(result any) error {
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(answers.Describe(result)); err != nil {
		return err
	}
	_, err := io.WriteString(a.stdout, escapeInvisible(text.String()))
	return err
}

// escapeInvisible writes the characters that a terminal must not get, which JSON has
// in its strings alone, as their codes.
func escapeInvisible(text string) string {
	var b strings.Builder
	for _, c := range text {
		if photometry.IsVisible(c) {
			b.WriteRune(c)
		} else {
			fmt.Fprintf(&b, `\u%04x`, c)
		}
	}
	return b.String()
}

// words are the units that were asked for.
func (a *app) words() document.Words {
	return document.Words{Unit: cmp.Or(a.unit, a.asked), Feet: a.feet, AsTyped: !a.lengthGiven}
}

// askedIn keeps the unit of a level that was asked for, to show all levels in it.
func (a *app) askedIn(level string) {
	if _, unit, err := (photometry.Meter{}).ParseLevel(strings.TrimSpace(level)); err == nil && (unit == photometry.LX || unit == photometry.FC) {
		a.asked = unit
	}
}

// show prints a document.
func (a *app) show(d *document.Document) error {
	_, err := io.WriteString(a.stdout, a.terminal().Text(d))
	return err
}

// terminal is what is known of the terminal.
func (a *app) terminal() document.Terminal {
	o := document.Terminal{Width: 80, Profile: colorprofile.Detect(a.stdout, a.env), Unicode: document.SpeaksUnicode(a.getenv), Called: a.asCalled}
	if width, err := strconv.Atoi(a.getenv("COLUMNS")); err == nil && width > 0 {
		o.Width = width
	} else if fd, ok := terminalOf(a.stdout); ok {
		if width, _, err := term.GetSize(fd); err == nil && width > 0 {
			o.Width = width
		}
	}
	o.Width = max(32, min(o.Width, 120))
	return o
}

// getenv looks a variable up in this call's environment.
func (a *app) getenv(name string) string {
	for i := len(a.env) - 1; i >= 0; i-- {
		if value, ok := strings.CutPrefix(a.env[i], name+"="); ok {
			return value
		}
	}
	return ""
}

// note says something beside the result. A name of a file may have anything in it.
func (a *app) note(format string, values ...any) {
	fmt.Fprintln(a.stderr, a.asCalled(photometry.Visible(fmt.Sprintf(format, values...))))
}

// say writes lines that may have a name of a file or folder, without what a terminal obeys.
func say(to io.Writer, format string, values ...any) error {
	_, err := fmt.Fprintln(to, photometry.Visible(fmt.Sprintf(format, values...)))
	return err
}

// outcome notes in the exit status what is out of tolerance or unsettled.
func (a *app) outcome(within bool) {
	if !within {
		a.status = exitOutside
	}
}

// judged is outcome for a verdict, "" where nothing was asked for.
func (a *app) judged(verdict string) { a.outcome(verdict == "" || verdict == uncertainty.Pass) }

// openInput opens a file of a command line; "-" is standard input.
func (a *app) openInput(path, expected string) (name string, file io.ReadCloser, err error) {
	if path == "-" {
		return inputName(path), io.NopCloser(infile.Limit(a.stdin)), nil
	}
	file, err = infile.Open(path)
	if err != nil {
		return path, nil, fmt.Errorf("%s: %w, expected %s%s", path, cause(err), expected, meantFile(path))
	}
	return path, file, nil
}

// inputName is what a file of a command line is called in messages.
func inputName(path string) string {
	if path == "-" {
		return "standard input"
	}
	return path
}

// ofReadings is what a file is expected to be.
const ofReadings = "a file of readings"

// readInput opens a file and reads it.
func readInput[T any](a *app, path, expected string, read func(io.Reader, string) (T, error)) (out T, err error) {
	name, file, err := a.openInput(path, expected)
	if err != nil {
		return out, err
	}
	defer file.Close()
	return read(file, name)
}

// openInputs opens files of readings; the error is that of all that cannot be opened.
func (a *app) openInputs(paths ...string) (inputs []survey.Input, closeAll func(), err error) {
	var problems []error
	var files []io.Closer
	for _, path := range paths {
		name, file, err := a.openInput(path, ofReadings)
		if err != nil {
			problems = append(problems, err)
			continue
		}
		files = append(files, file)
		inputs = append(inputs, survey.Input{Name: name, Reader: file})
	}
	return inputs, func() {
		for _, file := range files {
			file.Close()
		}
	}, errors.Join(problems...)
}

// readSurvey reads files as one survey.
func (a *app) readSurvey(paths []string, o survey.ReadOptions) (*survey.Survey, error) {
	inputs, closeAll, err := a.openInputs(paths...)
	defer closeAll()
	if err != nil {
		return nil, err
	}
	return survey.Read(inputs, o)
}

// cause is a file error without the path that the message names already.
func cause(err error) error {
	var on *os.PathError
	if errors.As(err, &on) {
		return on.Err
	}
	return err
}
