package plan

import (
	"io/fs"
	"path"
	"strings"
	"sync"

	"evenfall/falloff/lm63"
)

// Files reads files of intensities (LM-63) from a folder by the names in a table,
// each once.
func Files(folder fs.FS) func(file string) (Distribution, error) {
	var lock sync.Mutex
	type answer struct {
		d   Distribution
		err error
	}
	known := map[string]answer{}
	return func(file string) (Distribution, error) {
		lock.Lock()
		defer lock.Unlock()
		name := path.Clean(strings.ReplaceAll(file, `\`, "/"))
		if a, ok := known[name]; ok {
			return a.d, a.err
		}
		d, err := readFile(folder, name)
		known[name] = answer{d, err}
		return d, err
	}
}

func readFile(folder fs.FS, name string) (Distribution, error) {
	f, err := folder.Open(name)
	if err != nil {
		return Distribution{}, err
	}
	defer f.Close()
	l, err := lm63.Read(f, name, lm63.Options{Files: folder})
	if err != nil {
		return Distribution{}, err
	}
	out := Distribution{Intensity: l, FluxLM: l.Flux(), OpeningM: [2]float64{l.Opening.XM, l.Opening.YM}}
	out.Round = l.Opening.Shape == lm63.Disc || l.Opening.Shape == lm63.Ellipsoid || l.Opening.Shape == lm63.Cylinder && l.Opening.ZM > 0 && l.Opening.XM == l.Opening.YM
	if beam, ok := l.Beam().Mean(); ok {
		out.BeamDeg = beam
	}
	if l.Tilt != nil {
		out.Notes = append(out.Notes, "its light changes with tilt, which is not predicted: the intensities are those of the tested position")
	}
	for _, w := range l.Warnings {
		out.Notes = append(out.Notes, w.String())
	}
	return out, nil
}
