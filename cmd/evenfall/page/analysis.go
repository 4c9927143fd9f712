package page

import (
	"bytes"
	"errors"
	"sync"

	"evenfall/cmd/evenfall/screen"
	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/plots"
)

// analysis is what one state of a file comes to. It is computed once, by who asks
// first, and kept for the others.
type analysis struct {
	name    string
	content []byte

	once   sync.Once
	survey *survey.Survey
	result *survey.Result
	err    error

	mu   sync.Mutex
	maps map[string]*picture
}

type picture struct {
	once  sync.Once
	title string
	alt   string
	svg   []byte
	drawn *plots.Picture
	err   error
}

var errUnjudged = errors.New("this program could not judge these readings")

// judge reads and analyzes the file.
func (a *analysis) judge() (*survey.Survey, *survey.Result, error) {
	a.once.Do(func() {
		a.err = errUnjudged // stands where judging panics
		s, err := survey.Read([]survey.Input{{Name: a.name, Reader: bytes.NewReader(a.content)}}, survey.ReadOptions{})
		if err != nil {
			a.err = err
			return
		}
		r, err := survey.Analyze(s)
		a.survey, a.result, a.err = s, r, err
	})
	return a.survey, a.result, a.err
}

// quick tells whether the analysis is small enough to be made while somebody waits.
func (a *analysis) quick() bool { return len(a.content) < quickBytes }

// quickBytes is about 200 readings.
const quickBytes = 12_000

// lines is the answer in words, as the command prints it.
func (a *analysis) lines() []screen.Line {
	s, r, err := a.judge()
	if err != nil {
		return nil
	}
	return screen.SurfaceLines(s, r, plainLines)
}

// kinds are the maps that the survey supports.
func (a *analysis) kinds() []string {
	_, r, err := a.judge()
	if err != nil {
		return nil
	}
	kinds := []string{"level"}
	if r.Color != nil && r.Color.Points > 0 {
		if r.Color.MaxMiredShift != nil {
			kinds = append(kinds, "mired")
		}
		if r.Color.MaxDuvShift != nil {
			kinds = append(kinds, "duv")
		}
		kinds = append(kinds, "uv")
	}
	return kinds
}

// picture is a map, described; its drawing waits until it is asked for. A narrow
// one is for phones.
func (a *analysis) picture(kind string, narrow bool) (*picture, error) {
	s, r, err := a.judge()
	if err != nil {
		return nil, err
	}
	a.mu.Lock()
	if a.maps == nil {
		a.maps = map[string]*picture{}
	}
	key := kind
	if narrow {
		key += " narrow"
	}
	p := a.maps[key]
	if p == nil {
		p = &picture{}
		a.maps[key] = p
	}
	a.mu.Unlock()
	p.once.Do(func() {
		of := map[string]plots.Kind{"level": plots.Level, "mired": plots.Mired, "duv": plots.Duv}
		switch k, known := of[kind]; {
		case known:
			p.drawn, p.err = plots.Surface(s, r, plots.SurfaceOptions{Kind: k, Unit: s.UnitFor(photometry.NoUnit), Narrow: narrow})
		case kind == "uv":
			p.drawn, p.err = plots.Chromaticity(s, r, plots.ChromaticityOptions{})
		default:
			p.err = errNoMap
		}
		if p.err == nil {
			p.title, p.alt = p.drawn.Title, p.drawn.Alt
		}
	})
	return p, p.err
}

var errNoMap = errors.New("no such map")

// write renders a map as svg or png.
func (a *analysis) write(kind, format string, narrow bool) ([]byte, error) {
	p, err := a.picture(kind, narrow)
	if err != nil {
		return nil, err
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if format == "svg" && p.svg != nil {
		return p.svg, nil
	}
	var b bytes.Buffer
	if err := p.drawn.Write(&b, format); err != nil {
		return nil, err
	}
	if format == "svg" {
		p.svg = b.Bytes()
	}
	return b.Bytes(), nil
}
