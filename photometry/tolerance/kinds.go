// Package tolerance knows what is usually asked of a kind of surface, and what one is judged
// by.
package tolerance

import (
	"strings"

	"evenfall/photometry"
)

// Kind is a sort of surface and what is usually asked of it: total spread in
// stops, good and acceptable, and color. Common practice, no source.
type Kind struct {
	Name             string
	Good, Acceptable float64 // stops
	Mired, Duv       float64
}

// Kinds are the surfaces known by name.
var Kinds = []Kind{
	{"screen", 0.3, 0.5, 15, 0.003},
	{"cyc", 0.2, 0.33, 10, 0.003},
	{"backdrop", 0.5, 1, 10, 0.003},
	{"artwork", 0.05, 0.1, 5, 0.003},
}

// Any is any other surface, with no name and no "good" figure.
var Any = Kind{"", 0, 0.5, 10, 0.003}

// Named finds a kind by its name in any case; the empty name is any
// surface.
func Named(name string) (Kind, error) {
	name = strings.TrimSpace(name)
	if name == "" {
		return Any, nil
	}
	names := make([]string, len(Kinds))
	for i, k := range Kinds {
		if strings.EqualFold(k.Name, name) {
			return k, nil
		}
		names[i] = k.Name
	}
	return Any, &photometry.SyntaxError{Found: name, Expected: "one of " + strings.Join(names, ", ")}
}

// Limits is what a surface of this kind is judged by.
func (k Kind) Limits() Limits {
	l := Limits{Stops: k.Acceptable, Mired: k.Mired, Duv: k.Duv}
	if k.Good > 0 && k.Good < k.Acceptable {
		l.GoodStops = &k.Good
	}
	return l
}

// Limits is what the surface is judged by.
type Limits struct {
	Stops     float64  `json:"stops"`                // total spread, or each side where EachSide
	EachSide  bool     `json:"each_side"`            // a ± tolerance about the reference
	GoodStops *float64 `json:"good_stops,omitempty"` // a note, never the verdict
	Mired     float64  `json:"mired"`
	Duv       float64  `json:"duv"`
	Assumed   bool     `json:"-"` // nobody asked for a kind of surface or a tolerance
}

// Total is how far the brightest and the darkest place may be apart, in stops.
func (l Limits) Total() float64 {
	if l.EachSide {
		return 2 * l.Stops
	}
	return l.Stops
}
