package plan

import (
	"slices"
	"strings"

	"evenfall/photometry/setup"
)

// Material is a nominal sheet or board: what light does on it where the table
// gives no figures of its own. The figures are common practice, no source; real
// sheets differ by a third of a stop and more.
type Material struct {
	Name         string
	Kind         setup.LampKind // frame, bounce or net
	Transmission float64        // share of the light that passes, 0 to 1
	Undiffused   float64        // share of that which goes straight on
	Lobe         float64        // m of the cosᵐ lobe of the rest
	Reflectance  float64        // of a bounce, 0 to 1
}

// Materials are the nominal materials, by name.
var Materials = []Material{
	{"full diffusion", setup.Frame, 0.36, 0, 1, 0},
	{"half diffusion", setup.Frame, 0.60, 0.10, 2, 0},
	{"quarter diffusion", setup.Frame, 0.80, 0.35, 4, 0},
	{"grid cloth", setup.Frame, 0.32, 0, 1, 0},
	{"silk", setup.Frame, 0.45, 0.10, 1.5, 0},
	{"muslin", setup.Frame, 0.25, 0, 1, 0},
	{"frost", setup.Frame, 0.85, 0.30, 10, 0},
	{"white board", setup.Bounce, 0, 0, 1, 0.85},
	{"muslin", setup.Bounce, 0, 0, 1, 0.70},
	{"grid cloth", setup.Bounce, 0, 0, 1, 0.60},
	{"gray card", setup.Bounce, 0, 0, 1, 0.18},
	{"black cloth", setup.Bounce, 0, 0, 1, 0.03},
	{"single net", setup.Net, 0.71, 1, 1, 0},
	{"double net", setup.Net, 0.50, 1, 1, 0},
}

// MaterialNamed finds a nominal material for a kind of row by its name in any
// case.
func MaterialNamed(kind setup.LampKind, name string) (Material, bool) {
	if kind == setup.Flag {
		kind = setup.Net
	}
	name = strings.ToLower(strings.Join(strings.Fields(name), " "))
	i := slices.IndexFunc(Materials, func(m Material) bool { return m.Kind == kind && m.Name == name })
	if i < 0 {
		return Material{}, false
	}
	return Materials[i], true
}

// materialNames lists those of a kind for messages.
func materialNames(kind setup.LampKind) string {
	if kind == setup.Flag {
		kind = setup.Net
	}
	var names []string
	for _, m := range Materials {
		if m.Kind == kind {
			names = append(names, m.Name)
		}
	}
	return strings.Join(names, ", ")
}
