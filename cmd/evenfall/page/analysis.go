package page

import (
	"bytes"
	"errors"
	"sync"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/plots"
	"evenfall/plots/answers"
)

// analysis is the result for one state of a file. What is asked for is computed once, by
// whoever asks first, and kept for the others.
type analysis struct {
	name    string
	content []byte

	judged  memo[bool, *evenness.Result] // true with causes
	drawn   memo[mapKey, *plots.Picture]
	written memo[mapKey, []byte]
}

// mapKey is a kind of map; a narrow one is for phones. The format is that of a file, svg or
// png.
type mapKey struct {
	kind   string
	narrow bool
	format string
}

// memo keeps what was computed for each key; who asks meanwhile waits for it.
type memo[K comparable, V any] struct {
	mu   sync.Mutex
	kept map[K]func() (V, error)
}

func (m *memo[K, V]) get(key K, compute func() (V, error)) (V, error) {
	m.mu.Lock()
	if m.kept == nil {
		m.kept = map[K]func() (V, error){}
	}
	of := m.kept[key]
	if of == nil {
		of = sync.OnceValues(compute)
		m.kept[key] = of
	}
	m.mu.Unlock()
	return of()
}

var errUnjudged = errors.New("this program could not judge these readings")

// judge reads and analyzes the file.
func (a *analysis) judge() (*evenness.Result, error) { return a.by(true, evenness.Analyze) }

// glance is judge without causes, in a fraction of its time.
func (a *analysis) glance() (*evenness.Result, error) { return a.by(false, evenness.Judge) }

func (a *analysis) by(whole bool, analyze func(*survey.Survey) (*evenness.Result, error)) (*evenness.Result, error) {
	return a.judged.get(whole, func() (r *evenness.Result, err error) {
		defer func() {
			if recover() != nil { // whoever asks later is told the same
				r, err = nil, errUnjudged
			}
		}()
		s, err := survey.Read([]survey.Input{{Name: a.name, Reader: bytes.NewReader(a.content)}}, survey.ReadOptions{})
		if err != nil {
			return nil, err
		}
		if r, err = analyze(s); err != nil {
			return nil, err
		}
		answers.Describe(r)
		return r, nil
	})
}

// quick reports whether the analysis is small enough to be made while somebody waits.
func (a *analysis) quick() bool { return len(a.content) < quickBytes }

// quickBytes is about 200 readings.
const quickBytes = 12_000

// mapKinds are the maps that a result has figures for.
func mapKinds(r *evenness.Result) []string {
	kinds := []string{"level"}
	if r.Color == nil || r.Color.Points == 0 {
		return kinds
	}
	if r.Color.MaxMiredShift != nil {
		kinds = append(kinds, "mired")
	}
	if r.Color.MaxDuvShift != nil {
		kinds = append(kinds, "duv")
	}
	return append(kinds, "uv")
}

// picture is a map of a kind.
func (a *analysis) picture(kind string, narrow bool) (*plots.Picture, error) {
	return a.drawn.get(mapKey{kind: kind, narrow: narrow}, func() (*plots.Picture, error) {
		r, err := a.judge()
		if err != nil {
			return nil, err
		}
		if kind == "uv" {
			return plots.Chromaticity(r, false, false)
		}
		of, known := map[string]plots.Kind{"level": plots.Level, "mired": plots.Mired, "duv": plots.Duv}[kind]
		if !known {
			return nil, errors.New("no such map")
		}
		return plots.Surface(r, plots.SurfaceOptions{Kind: of, Unit: r.Survey.UnitFor(photometry.NoUnit), Narrow: narrow,
			Say: func(f photometry.Finding) string { return answers.Sentence(answers.SI, f) }})
	})
}

// file is a map as a file.
func (a *analysis) file(of mapKey) ([]byte, error) {
	return a.written.get(of, func() ([]byte, error) {
		p, err := a.picture(of.kind, of.narrow)
		if err != nil {
			return nil, err
		}
		var b bytes.Buffer
		err = p.Write(&b, of.format)
		return b.Bytes(), err
	})
}
