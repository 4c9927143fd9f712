package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/cmd/evenfall/infile"
	"evenfall/cmd/evenfall/outfile"
	"evenfall/photometry"
	"evenfall/plots/answers"
	"evenfall/plots/document"
	"evenfall/plots/report"
)

func (a *app) reportCommand() *cobra.Command {
	var before, zip, verify, intent string
	var sheet bool
	command := &cobra.Command{
		Use:   "report [FOLDER]",
		Short: "Hand over the whole set-up as one HTML file",
		Long: `Report gathers a folder, this one where none is named, into one HTML file that
stands alone. It has verdict, exposure, lamps, ratios, maps, fall-off, plan view,
the day before, cautions and all readings. Whoever has only the report can put the
lamps back. It reads what the other commands read, each where it is there. Those
are setup.csv, lamps.csv, ratio.csv, surveys, distance series, gels.csv,
cameras.csv and photos. A file that cannot be used is named in the report.

It writes report.html into the folder unless --out says where. With --format md or
json it is for those who keep notes elsewhere. With --zip it hands the folder's
files over with the report among them. It exits with the worst verdict: 1 where
something is out of tolerance, unsettled or cannot be read.

The report has the SHA-256 of each file beside the verdict that rests on it. With
--verify it writes nothing, but says whether the folder is still as a report found
it. That report may be HTML, JSON or a hand-over. It exits with 0 where the folder
is, and 1 where a file was changed, is gone or is new. A day before in another folder
is looked at too, where it was from this one or where --before says; where it is not
found, nothing is said to be the same.

With --sheet it writes the first page alone, from which the lamps are put back.
That is HTML, or for print PDF or SVG, on A4, or Letter where lengths are in feet.`,
		Example:     "  evenfall report\n  evenfall report --format md --out notes.md\n  evenfall report --zip handover.zip",
		Args:        atMostOne("report", "folders", "one"),
		Annotations: map[string]string{formatsOf: strings.Join(slices.Concat(report.Formats, report.SheetFormats[1:]), ",")},
		RunE: func(_ *cobra.Command, args []string) error {
			if verify != "" {
				return a.verify(firstOr(args, "."), verify, before)
			}
			return a.report(firstOr(args, "."), before, zip, intent, sheet)
		},
	}
	flags := command.Flags()
	flags.StringVar(&a.out, "out", "", "write the report to this `file` or into this folder (default: report.html in the folder)")
	flags.StringVar(&a.format, "format", "", "write the report as html, md, json or zip, the sheet as html, svg or pdf")
	flags.BoolVar(&sheet, "sheet", false, "write the reset sheet alone, one page from which the lamps are put back")
	flags.StringVar(&zip, "zip", "", "hand over the folder's files with the report in this `file`")
	flags.StringVar(&verify, "verify", "", "say whether the folder is still that of the report in this `file`")
	flags.StringVar(&before, "before", "", "compare with the day that this `folder` holds")
	intentFlag(command, &intent)
	must(command.RegisterFlagCompletionFunc("format", cobra.FixedCompletions(slices.Concat(report.Formats, report.SheetFormats[1:]), cobra.ShellCompDirectiveNoFileComp)))
	return command
}

// report reads the folder, writes the report and says where.
func (a *app) report(folder, before, zip, intent string, sheet bool) error {
	if err := checkIntent(intent); err != nil {
		return err
	}
	root, err := openFolder(folder, aSetUp)
	if err != nil {
		return err
	}
	defer root.Close()
	outputs, err := a.reportOutputs(folder, zip, sheet)
	if err != nil {
		return err
	}
	o := report.Options{Intent: intent}
	for _, out := range outputs {
		if name, ok := inFolder(folder, out.path); ok {
			o.Skip = append(o.Skip, name)
		}
	}
	if before != "" {
		day, err := openFolder(before, aSetUp)
		if err != nil {
			return fmt.Errorf("--before: %w", err)
		}
		defer day.Close()
		o.Before, o.BeforeName, o.BeforeAt = day, before, from(folder, before)
	}
	r, err := report.Read(root, o)
	if err != nil {
		return fmt.Errorf("%s: %w", folder, cause(err))
	}
	a.judged(r.Verdict.Overall)
	if a.json && a.out == "" && a.format == "" && zip == "" {
		outputs = nil // JSON alone was asked for
	}
	words := a.words()
	words.Feet = words.Feet || words.AsTyped && r.InFeet()
	words.AsTyped = false // one unit throughout
	if words.Unit == photometry.NoUnit && r.InFootcandles() {
		words.Unit = photometry.FC
	}
	for _, out := range outputs {
		if err := outfile.Replace(out.path, a.force, func(w io.Writer) error { return a.write(out, r, root, w, words) }); err != nil {
			return err
		}
	}
	err = a.answer(r, r.Summary(words))
	for _, out := range outputs {
		if err == nil {
			err = a.tellFile(map[bool]string{true: "hand-over", false: "report"}[out.format == "zip"], out.path)
		}
	}
	return err
}

// verify says whether a folder is still that of a report, and that of the day before
// too, which before names where it is no longer where it was.
func (a *app) verify(folder, path, before string) error {
	root, err := openFolder(folder, aSetUp)
	if err != nil {
		return err
	}
	defer root.Close()
	file, err := infile.Open(path)
	if err != nil {
		return fmt.Errorf("--verify: %s: %w, expected a report", path, cause(err))
	}
	defer file.Close()
	content, err := io.ReadAll(file)
	if err != nil {
		return fmt.Errorf("--verify: %s: %w", path, cause(err))
	}
	listed, day, err := report.Inputs(content)
	if err == nil {
		// JSON of standard output has no mark.
		if err = outfile.Check(content); errors.Is(err, outfile.ErrNotOurs) && bytes.HasPrefix(content, []byte("{")) {
			err = nil
		}
	}
	if err != nil {
		return fmt.Errorf("--verify: %s: %w", path, err)
	}
	v, err := report.Verify(root, listed)
	if err != nil {
		return fmt.Errorf("%s: %w", folder, cause(err))
	}
	if err := a.verifyDay(v, folder, day, before); err != nil {
		return err
	}
	a.outcome(v.Unchanged)
	return a.answer(v, v.Document(a.words()))
}

// verifyDay holds the folder of the day before to what a report lists of it. It is
// looked for where before says, or else where it was from the report's own folder.
func (a *app) verifyDay(v *report.Verification, folder string, day *report.DayFolder, before string) error {
	if day == nil {
		if before != "" {
			return fmt.Errorf("--before: found %q, expected no folder: the report compares with none outside its own", before)
		}
		return nil
	}
	at := before
	if at == "" {
		at = filepath.FromSlash(day.Folder)
		if filepath.IsAbs(at) || filepath.VolumeName(at) != "" { // a report leads nowhere by itself
			return v.Before(nil, filepath.ToSlash(at), day)
		}
		at = filepath.Join(folder, at)
	}
	root, err := openFolder(at, aSetUp)
	switch {
	case err != nil && before != "":
		return fmt.Errorf("--before: %w", err)
	case err != nil:
		return v.Before(nil, filepath.ToSlash(at), day)
	}
	defer root.Close()
	return v.Before(root, filepath.ToSlash(at), day)
}

// output is a file that the report is written to.
type output struct {
	path, format string
	sheet        bool // the reset sheet alone
}

// reportOutputs says what is written where.
func (a *app) reportOutputs(folder, zip string, sheet bool) ([]output, error) {
	var out []output
	if zip != "" {
		if !strings.EqualFold(filepath.Ext(zip), ".zip") {
			return nil, fmt.Errorf("--zip: found %q, expected a name that ends in .zip", zip)
		}
		out = append(out, output{path: zip, format: "zip"})
		if a.out == "" && a.format == "" {
			return out, nil
		}
	}
	name, formats, format := "report", report.Formats, a.format
	if sheet {
		name, formats = "reset-sheet", report.SheetFormats
	}
	ending := strings.TrimPrefix(strings.ToLower(filepath.Ext(a.out)), ".")
	if ending == "htm" {
		ending = "html"
	}
	isFolder := a.out == "" || os.IsPathSeparator(a.out[len(a.out)-1]) || isFolder(a.out)
	switch {
	case isFolder && format == "":
		format = "html"
	case isFolder && !slices.Contains(formats, format):
		return nil, fmt.Errorf("--format: found %q, expected %s", format, strings.Join(formats, ", "))
	case isFolder:
	case !slices.Contains(formats, ending), format != "" && format != ending:
		wanted := "." + format
		if format == "" {
			wanted = "." + strings.Join(formats, ", .") + ", or a folder"
		}
		return nil, fmt.Errorf("--out: found %q, expected a name that ends in %s", a.out, wanted)
	default:
		format = ending
	}
	path := a.out
	switch {
	case a.out == "":
		path = filepath.Join(folder, name+"."+format)
	case isFolder:
		path = filepath.Join(a.out, name+"."+format)
	}
	return append(out, output{path, format, sheet}), nil
}

// write writes the report in its format.
func (a *app) write(o output, r *report.Report, folder fs.FS, w io.Writer, words document.Words) error {
	if o.sheet {
		undrawable, err := r.ResetSheet(w, words, o.format)
		a.tellUndrawable(filepath.Base(o.path), undrawable)
		return err
	}
	switch o.format {
	case "md":
		return r.Markdown(w, words)
	case "zip":
		return r.Zip(w, folder, words)
	case "json":
		encoder := json.NewEncoder(w)
		encoder.SetIndent("", "  ")
		return encoder.Encode(answers.Describe(r))
	}
	return r.HTML(w, words)
}

// from is where a folder is from another one, with slashes; on another drive its name.
func from(folder, other string) string {
	full, err1 := filepath.Abs(folder)
	to, err2 := filepath.Abs(other)
	rel, err3 := filepath.Rel(full, to)
	if errors.Join(err1, err2, err3) != nil {
		return filepath.ToSlash(other)
	}
	return filepath.ToSlash(rel)
}

// inFolder is a path's name within a folder, where it stands directly in it.
func inFolder(folder, path string) (string, bool) {
	folder, err1 := filepath.Abs(folder)
	path, err2 := filepath.Abs(path)
	if err1 != nil || err2 != nil {
		return "", false
	}
	return filepath.Base(path), filepath.Dir(path) == folder
}
