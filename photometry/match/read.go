package match

import (
	"bytes"
	"fmt"
	"io"

	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
)

// Files are the files of a match: those of the survey of each day, and
// readings of single lamps on the day before, beside those that its own files may
// have.
type Files struct {
	Before, After, Lamps []survey.Input
	// Flags are notes of a command line, which count before those of all files.
	Flags []*schema.Source
}

// Read reads both surveys and what each lamp gave alone, and matches them;
// o.Lamps is set from the files. Each reader is read once.
func Read(files Files, o Options) (*Result, error) {
	kept, err := keptInputs(files.Before)
	if err != nil {
		return nil, err
	}
	if today, err := keptInputs(files.After); err != nil {
		return nil, err
	} else if files.After = inputsOf(today); len(kept) == 1 && len(today) == 1 {
		is := func(k keptInput) bool { return setup.IsRatios(bytes.NewReader(k.content), k.name) }
		switch a, b := is(kept[0]), is(today[0]); {
		case a && b && len(files.Lamps) == 0:
			return readMarks(inputsOf(kept)[0], inputsOf(today)[0], files.Flags, o)
		case a && b:
			return nil, fmt.Errorf("%s and %s are of lights at marks, which --lamp does not go with", kept[0].name, today[0].name)
		case a != b:
			return nil, fmt.Errorf("one of %s and %s is of lights at marks, the other of a surface: expected the same on both days", kept[0].name, today[0].name)
		}
	}
	options := survey.ReadOptions{Flags: files.Flags}
	before, err := survey.Read(inputsOf(kept), options)
	if err != nil {
		return nil, err
	}
	after, err := survey.Read(files.After, options)
	if err != nil {
		return nil, err
	}
	if len(files.Lamps) > 0 || len(before.Lamps) > 0 {
		var lamps []survey.LampInput
		for _, in := range inputsOf(kept) {
			l := survey.LampInput{Input: in}
			if len(before.Lamps) == 0 {
				l.Lamp = "all"
			}
			lamps = append(lamps, l)
		}
		for _, in := range files.Lamps {
			lamps = append(lamps, survey.LampInput{Input: in})
		}
		if o.Lamps, err = survey.ReadLampSet(lamps, options); err != nil {
			return nil, err
		}
	}
	r, err := Compare(before, after, o)
	if err != nil {
		return nil, fmt.Errorf("%s and %s: %w", files.Before[0].Name, files.After[0].Name, err)
	}
	for _, in := range files.Before {
		r.Before.Files = append(r.Before.Files, in.Name)
	}
	for _, in := range files.Lamps {
		r.Before.Files = append(r.Before.Files, in.Name)
	}
	for _, in := range files.After {
		r.After.Files = append(r.After.Files, in.Name)
	}
	return r, nil
}

// keptInput is a file that can be read more than once.
type keptInput struct {
	name    string
	content []byte
}

func keptInputs(inputs []survey.Input) ([]keptInput, error) {
	var out []keptInput
	for _, in := range inputs {
		content, err := io.ReadAll(in.Reader)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", in.Name, err)
		}
		out = append(out, keptInput{in.Name, content})
	}
	return out, nil
}

func inputsOf(kept []keptInput) []survey.Input {
	var out []survey.Input
	for _, k := range kept {
		out = append(out, survey.Input{Name: k.name, Reader: bytes.NewReader(k.content)})
	}
	return out
}
