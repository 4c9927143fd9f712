package survey

import (
	"bytes"
	"fmt"
	"io"

	"evenfall/photometry/setup"
	"evenfall/photometry/table"
)

// MatchFiles are the files of a match: those of the survey of each day, and
// readings of single lamps on the day before, beside those that its own files may
// have.
type MatchFiles struct {
	Before, After, Lamps []Input
	// Notes override those of all files, as on a command line.
	Notes []table.Note
}

// ReadMatch reads both surveys and what each lamp gave alone, and matches them;
// o.Lamps is set from the files. Each reader is read once.
func ReadMatch(files MatchFiles, o MatchOptions) (*MatchResult, error) {
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
			return readMarks(inputsOf(kept)[0], inputsOf(today)[0], files.Notes, o)
		case a && b:
			return nil, fmt.Errorf("%s and %s are of lights at marks, which --lamp does not go with", kept[0].name, today[0].name)
		case a != b:
			return nil, fmt.Errorf("one of %s and %s is of lights at marks, the other of a surface: expected the same on both days", kept[0].name, today[0].name)
		}
	}
	options := ReadOptions{Notes: files.Notes}
	before, err := Read(inputsOf(kept), options)
	if err != nil {
		return nil, err
	}
	after, err := Read(files.After, options)
	if err != nil {
		return nil, err
	}
	if len(files.Lamps) > 0 || len(before.Lamps) > 0 {
		var lamps []LampInput
		for _, in := range inputsOf(kept) {
			l := LampInput{Input: in}
			if len(before.Lamps) == 0 {
				l.Lamp = "all"
			}
			lamps = append(lamps, l)
		}
		for _, in := range files.Lamps {
			lamps = append(lamps, LampInput{Input: in})
		}
		if o.Lamps, err = ReadLampSet(lamps, options); err != nil {
			return nil, err
		}
	}
	r, err := Match(before, after, o)
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

func keptInputs(inputs []Input) ([]keptInput, error) {
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

func inputsOf(kept []keptInput) []Input {
	var out []Input
	for _, k := range kept {
		out = append(out, Input{Name: k.name, Reader: bytes.NewReader(k.content)})
	}
	return out
}
