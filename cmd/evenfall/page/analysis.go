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

// analysis is the result for one state of a file. It is computed once, by whoever asks
// first, and kept for the others.
type analysis struct {
	name    string
	content []byte

	whole, glanced judged

	mu   sync.Mutex
	maps map[mapKey]*picture
}

// mapKey is a kind of map; a narrow one is for phones.
type mapKey struct {
	kind   string
	narrow bool
}

// picture is a map, drawn and written once for all who ask for it.
type picture struct {
	drawn   func() (*plots.Picture, error)
	written map[string]func() ([]byte, error) // by format, svg or png
}

var errUnjudged = errors.New("this program could not judge these readings")

// judged is a result once it is computed.
type judged struct {
	once   sync.Once
	survey *survey.Survey
	result *evenness.Result
	err    error
}

func (j *judged) by(a *analysis, analyze func(*survey.Survey) (*evenness.Result, error)) (*survey.Survey, *evenness.Result, error) {
	j.once.Do(func() {
		j.err = errUnjudged // stays where judging panics
		s, err := survey.Read([]survey.Input{{Name: a.name, Reader: bytes.NewReader(a.content)}}, survey.ReadOptions{})
		if err != nil {
			j.err = err
			return
		}
		r, err := analyze(s)
		j.survey, j.result, j.err = s, r, err
		answers.Describe(r)
	})
	return j.survey, j.result, j.err
}

// judge reads and analyzes the file.
func (a *analysis) judge() (*survey.Survey, *evenness.Result, error) {
	return a.whole.by(a, evenness.Analyze)
}

// glance is judge without causes, in a fraction of its time.
func (a *analysis) glance() (*survey.Survey, *evenness.Result, error) {
	return a.glanced.by(a, evenness.Judge)
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

// picture is a map; its drawing waits until it is asked for.
func (a *analysis) picture(kind string, narrow bool) *picture {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.maps == nil {
		a.maps = map[mapKey]*picture{}
	}
	key := mapKey{kind, narrow}
	p := a.maps[key]
	if p == nil {
		p = &picture{drawn: sync.OnceValues(func() (*plots.Picture, error) { return a.draw(kind, narrow) }), written: map[string]func() ([]byte, error){}}
		for _, format := range []string{"svg", "png"} {
			p.written[format] = sync.OnceValues(func() ([]byte, error) { return p.write(format) })
		}
		a.maps[key] = p
	}
	return p
}

func (a *analysis) draw(kind string, narrow bool) (*plots.Picture, error) {
	s, r, err := a.judge()
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
	return plots.Surface(r, plots.SurfaceOptions{Kind: of, Unit: s.UnitFor(photometry.NoUnit), Narrow: narrow,
		Say: func(f photometry.Finding) string { return answers.Sentence(answers.SI, f) }})
}

// write renders a map in a format.
func (p *picture) write(format string) ([]byte, error) {
	drawn, err := p.drawn()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = drawn.Write(&b, format)
	return b.Bytes(), err
}
