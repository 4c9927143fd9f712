package answers

import (
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
)

// Basis is what a correction rests on, for all faces.
type Basis struct {
	Schema         string                    `json:"schema"`
	Bag            string                    `json:"bag"` // nominal, or the table of gels
	Gels           int                       `json:"bag_gels"`
	On             colorimetry.Place         `json:"on,omitempty"`
	ToleranceMired float64                   `json:"tolerance_mired"`
	ToleranceDuv   float64                   `json:"tolerance_duv"`
	CameraTable    string                    `json:"camera_table,omitempty"`
	Offset         *colorimetry.CameraOffset `json:"camera_offset,omitempty"`
	Without        []string                  `json:"lamps_without_color,omitempty"`
	Inferred       []string                  `json:"inferred"`

	// FileWarnings belong to the result's own.
	FileWarnings []photometry.Finding `json:"-"`
	// Reading is how each file was understood.
	Reading []string `json:"-"`
}

// Told notes how a table was understood and what in it was not.
func (b *Basis) Told(file string, o setup.Origin) {
	b.Reading = append(b.Reading, file+": "+o.Dialect.String())
	if as := o.ReadAs; as != nil && len(as.LeftOut) > 0 {
		o.Warnings = append(o.Warnings, table.Warning{File: file, Text: "left out: " + strings.Join(texts(as.LeftOut, leftOut), ", ")})
	}
	b.FileWarnings = append(b.FileWarnings, table.Findings(o.Warnings)...)
}

// LeftOut notes which rows of a table of lamps the answer does not have.
func (b *Basis) LeftOut(lamps *setup.LampColors) {
	b.Without = lamps.Colorless
	if len(lamps.Others) > 0 {
		b.Inferred = append(b.Inferred, "light of their lamps, no color of their own: "+strings.Join(lamps.Others, ", "))
	}
	if lamps.Rated {
		b.Inferred = append(b.Inferred, "the levels are ratings at a distance and weigh nothing")
	}
}

// With is the basis with the options as they were settled.
func (b Basis) With(o colorimetry.Options) Basis {
	b.On, b.ToleranceMired, b.ToleranceDuv = o.On, o.ToleranceMired, o.ToleranceDuv
	return b
}

// OneLight is what takes one light to a target.
type OneLight struct {
	Basis
	colorimetry.Correction
}

// ManyLights is what brings a table of lamps to one color.
type ManyLights struct {
	Basis
	colorimetry.LampsCorrection
}
