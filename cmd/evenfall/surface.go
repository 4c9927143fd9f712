package main

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/cmd/evenfall/outfile"
	"evenfall/photometry"
	"evenfall/photometry/blank"
	"evenfall/photometry/evenness"
	"evenfall/photometry/schema"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/answers"
	"evenfall/plots/report"
	"evenfall/plots/steps"
)

// surfaceFlags are the notes that a command line may give in place of a file's.
type surfaceFlags struct {
	notes     noteFlags
	lamp      string
	newGrid   string
	size      string
	intent    string
	withColor bool
	next      bool
}

func (a *app) surfaceCommand() *cobra.Command {
	var flags surfaceFlags
	command := &cobra.Command{
		Use:   "surface [FILE…]",
		Short: "Judge a measured surface: evenness, color, cause, and what to change",
		Long: `Surface judges the readings of one surface from CSV, .xlsx or text files, a row a
reading or a grid. It says whether the surface is even enough, where it is
brightest and darkest, why, and what to change. Several files of the same places, a
grid in lx and a grid in K, are one survey. Where no file is named, it reads the
survey of this folder, or of the folder named. What to do is then one list of all
that the folder has. "-" reads standard input.

With --next it says which few further readings would settle the verdict or tell
causes apart. They are in walking order, with what each outcome would mean.

With --out or --format the maps are written as pictures too. With --new a blank
sheet to fill is printed instead, in walking order, or written as CSV or .xlsx.`,
		Example: "  evenfall surface cloth.csv\n  evenfall surface cloth.csv --tolerance 0.3 --out maps\n" +
			"  evenfall surface --new 9x5 --size 4.8x2.4",
		RunE: func(_ *cobra.Command, args []string) error {
			if err := checkIntent(flags.intent); err != nil {
				return err
			}
			if flags.newGrid != "" {
				return a.newSheet(flags, args)
			}
			return a.surface(flags, args)
		},
	}
	flags.notes.register(command, append(slices.Clone(surfaceNotes), noteFlag{"iso", schema.ISO}, noteFlag{"shutter", schema.Shutter})...)
	command.Flags().Lookup("iso").Usage = "ISO `speed` that the exposure is for, with --shutter (800)"
	command.Flags().Lookup("shutter").Usage = "`time` that the exposure is for, with --iso (1/50)"
	command.Flags().StringVar(&flags.lamp, "lamp", "", "the readings of this `lamp` alone, where a file has several")
	command.Flags().StringVar(&flags.newGrid, "new", "", "print a blank sheet of places across and up, such as `9x5`")
	command.Flags().StringVar(&flags.size, "size", "", "width and height of the surface, such as `4.8x2.4`")
	intentFlag(command, &flags.intent)
	command.Flags().BoolVar(&flags.next, "next", false, "which few further readings would settle it, in walking order")
	command.Flags().BoolVar(&flags.withColor, "color", false, "with --new: columns for color as well")
	return command
}

// given are the notes from the command line.
func (f surfaceFlags) given(lengthUnit string) ([]*schema.Source, error) {
	size, err := sizeNotes(f.size, lengthUnit)
	return append(f.notes.sources(lengthUnit), size...), err
}

// surface reads, analyzes and shows.
func (a *app) surface(flags surfaceFlags, paths []string) error {
	folder := folderOf(paths)
	paths, err := a.files(needSurvey, paths)
	if err != nil {
		return err
	}
	r, err := a.analyze(flags, paths)
	if err != nil {
		return err
	}
	a.outcome(r.Verdict.Overall == uncertainty.Pass)
	if flags.next {
		return a.answer(&nextReadings{r.Next()}, answers.Next(r, a.words()))
	}
	d := answers.Surface(r, a.words(), a.full)
	result := &surfaceResult{Result: *r}
	// The list goes by the notes of the folder's files: with others it would contradict.
	if given, _ := flags.given(a.lengthName); folder != "" && len(given) == 0 && flags.lamp == "" {
		if result.ToDo, err = a.toDo(folder, flags.intent, r); err != nil {
			return err
		}
		answers.WithSteps(d, result.ToDo)
	}
	settle := ""
	if r.Verdict.Overall == uncertainty.Unsure && len(r.Next()) > 0 {
		settle = a.typed(a.args[0], append(slices.Clone(a.args[1:]), "--next")) + " (the few readings that would settle it)"
	}
	a.next(d, paths, r.Verdict.Overall, settle)
	return a.present(result, d, pictureName(paths[0], "surface"))
}

// surfaceResult is a judged surface, with what to do by all that its folder has.
type surfaceResult struct {
	evenness.Result
	ToDo *steps.List `json:"to_do,omitempty"`
}

// toDo is the list of a folder, nil where that is of another surface.
func (a *app) toDo(folder, intent string, r *evenness.Result) (*steps.List, error) {
	root, err := openFolder(folder, aSetUp)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	whole, err := report.Read(root, report.Options{Intent: intent})
	if err != nil || whole.ToDoOf != r.Title {
		return nil, err
	}
	return whole.ToDo, nil
}

// nextReadings are the further readings in JSON.
type nextReadings struct {
	Next []evenness.Next `json:"next"`
}

// analyze reads the files of one survey and judges it.
func (a *app) analyze(flags surfaceFlags, paths []string) (*evenness.Result, error) {
	notes, err := flags.given(a.plainLengths())
	if err != nil {
		return nil, err
	}
	s, err := a.readSurvey(paths, survey.ReadOptions{Flags: notes, Lamp: flags.lamp})
	if err != nil {
		return nil, err
	}
	r, err := evenness.Analyze(s)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", inputName(paths[0]), err)
	}
	return r, nil
}

// newSheet prints a blank sheet, or writes it into a file that is not there yet.
func (a *app) newSheet(flags surfaceFlags, paths []string) error {
	columns, rows, err := schema.ParseGridSize(flags.newGrid)
	if err != nil {
		return fmt.Errorf("--new: %w", err)
	}
	if flags.size == "" {
		return fmt.Errorf("--new: no size given, expected --size with the surface's width and height, such as --size 4.8x2.4")
	}
	width, height, err := schema.ParseSize(flags.size, a.lengthName)
	if err != nil {
		return fmt.Errorf("--size: %w", err)
	}
	sides := strings.FieldsFunc(flags.size, func(r rune) bool { return r == 'x' || r == '×' })
	inFeet := !a.lengthGiven && table.InFeet(sides[len(sides)-1])
	sheet := blank.Sheet{Columns: columns, Rows: rows, WidthM: width, HeightM: height, Unit: a.unit, Feet: a.feet || inFeet, Color: flags.withColor}
	for _, note := range flags.notes.written(a.lengthName) {
		// The head of the column of levels has their unit.
		unit, ok := photometry.ParseUnit(note.Value)
		if note.Key == schema.LevelUnit.Name && ok && (unit == photometry.LX || unit == photometry.FC) {
			sheet.Unit = cmp.Or(a.unit, unit)
			continue
		}
		sheet.Notes = append(sheet.Notes, note)
	}
	if flags.lamp != "" {
		sheet.Notes = append(sheet.Notes, table.Note{Key: schema.Lamp.Name, Value: flags.lamp})
	}
	write := sheet.Write
	if len(paths) == 1 && strings.EqualFold(filepath.Ext(paths[0]), ".xlsx") {
		write = sheet.WriteWorkbook
	}
	switch {
	case len(paths) == 0 || len(paths) == 1 && paths[0] == "-":
		return sheet.Write(a.stdout)
	case len(paths) == 1 && !slices.Contains([]string{".csv", ".xlsx"}, strings.ToLower(filepath.Ext(paths[0]))):
		return fmt.Errorf("--new: found %q, expected a name that ends in .csv or .xlsx", paths[0])
	case len(paths) == 1:
		if err := outfile.Create(paths[0], write); err != nil {
			return err
		}
		return say(a.stdout, "sheet: %s", paths[0])
	}
	return fmt.Errorf("--new: %d files given, expected one or none", len(paths))
}
