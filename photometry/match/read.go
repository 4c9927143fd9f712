package match

import (
	"bytes"
	"fmt"
	"io"
	"slices"

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
	var names [3][]string
	for i, inputs := range []*[]survey.Input{&files.Before, &files.After, &files.Lamps} {
		for _, in := range *inputs {
			names[i] = append(names[i], in.Name)
		}
		if err := buffer(inputs); err != nil {
			return nil, err
		}
	}
	if marks, err := files.areMarks(); err != nil {
		return nil, err
	} else if marks {
		return readMarks(files.Before[0], files.After[0], files.Flags, o)
	}
	options := survey.ReadOptions{Flags: files.Flags}
	before, err := survey.Read(files.Before, options)
	if err != nil {
		return nil, err
	}
	after, err := survey.Read(files.After, options)
	if err != nil {
		return nil, err
	}
	if len(files.Lamps) > 0 || len(before.Lamps) > 0 {
		if o.Lamps, err = files.lampSet(len(before.Lamps) > 0, options); err != nil {
			return nil, err
		}
	}
	r, err := Compare(before, after, o)
	if err != nil {
		return nil, fmt.Errorf("%s and %s: %w", names[0][0], names[1][0], err)
	}
	r.Before.Files, r.After.Files = slices.Concat(names[0], names[2]), names[1]
	return r, nil
}

// buffer takes inputs into memory, since a file is read for more than one thing.
func buffer(inputs *[]survey.Input) error {
	*inputs = slices.Clone(*inputs)
	for i, in := range *inputs {
		content, err := io.ReadAll(in.Reader)
		if err != nil {
			return fmt.Errorf("%s: %w", in.Name, err)
		}
		(*inputs)[i].Reader = bytes.NewReader(content)
	}
	return nil
}

// again is a buffered input from its beginning.
func again(in survey.Input) survey.Input {
	in.Reader.(*bytes.Reader).Seek(0, io.SeekStart)
	return in
}

// areMarks reports whether the files are of lights at marks, as both must be then.
func (f Files) areMarks() (bool, error) {
	if len(f.Before) != 1 || len(f.After) != 1 {
		return false, nil
	}
	a, b := f.Before[0], f.After[0]
	first, second := setup.IsRatios(a.Reader, a.Name), setup.IsRatios(b.Reader, b.Name)
	again(a)
	again(b)
	switch {
	case first != second:
		return false, fmt.Errorf("one of %s and %s is of lights at marks, the other of a surface: expected the same on both days", a.Name, b.Name)
	case first && len(f.Lamps) > 0:
		return false, fmt.Errorf("%s and %s are of lights at marks, which --lamp does not go with", a.Name, b.Name)
	}
	return first, nil
}

// lampSet reads what each lamp gave alone on the day before; named is whether the
// day's own files name lamps, else all of their readings are of all lamps.
func (f Files) lampSet(named bool, options survey.ReadOptions) (*survey.LampSet, error) {
	var lamps []survey.LampInput
	for _, in := range f.Before {
		l := survey.LampInput{Input: again(in)}
		if !named {
			l.Lamp = "all"
		}
		lamps = append(lamps, l)
	}
	for _, in := range f.Lamps {
		lamps = append(lamps, survey.LampInput{Input: in})
	}
	return survey.ReadLampSet(lamps, options)
}
