package testdata

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
)

//go:embed falloff_sources.csv
var sourcesCSV string

//go:embed falloff_viewfactors.csv
var viewFactorsCSV string

// SourceFigure is the illuminance from one Lambertian source at one point. The
// source's middle is at the origin, its front looks along +z; a rectangle's
// width runs along x.
type SourceFigure struct {
	Name string
	// Shape is "rectangle" (WidthM by HeightM) or "disc" (RadiusM).
	Shape                    string
	WidthM, HeightM, RadiusM float64
	// Luminance in cd/m².
	Luminance float64
	// At is the receiver's place in metres, Normal its unit normal.
	At, Normal [3]float64
	// Expected is the illuminance in lx, good to RelativeTolerance.
	Expected, RelativeTolerance float64
	// Source is the mark of the source in SOURCES.md.
	Source string
}

// ViewFactor is a published configuration factor from a small patch, a strip or
// an area to a rectangle or a disc: the mean over the patch of E/(π·L).
type ViewFactor struct {
	Name string
	// Shape is "rectangle" (WidthM by HeightM) or "disc" (RadiusM), DistanceM
	// the distance between the planes or, for a perpendicular patch, from the
	// patch to the plane of the source.
	Shape                               string
	WidthM, HeightM, RadiusM, DistanceM float64
	// Patch is "disc" (coaxial and parallel), "strip" (parallel, under the
	// bottom edge) or "perpendicular strip" (level with the bottom edge, looking
	// up).
	Patch                     string
	PatchWidthM, PatchRadiusM float64
	// Expected is the factor, good to Tolerance (the last digit printed).
	Expected, Tolerance float64
	// Source is the mark of the source in SOURCES.md.
	Source string
}

// Sources returns the illuminances of rectangles and discs, freshly read on
// each call.
func Sources() []SourceFigure {
	var out []SourceFigure
	for _, r := range falloffRows("falloff_sources.csv", sourcesCSV) {
		out = append(out, SourceFigure{
			Name: r.text("name"), Shape: r.text("shape"),
			WidthM: r.number("width_m"), HeightM: r.number("height_m"), RadiusM: r.number("radius_m"),
			Luminance:         r.number("luminance"),
			At:                [3]float64{r.number("at_x"), r.number("at_y"), r.number("at_z")},
			Normal:            [3]float64{r.number("normal_x"), r.number("normal_y"), r.number("normal_z")},
			Expected:          r.number("expected"),
			RelativeTolerance: r.number("relative_tolerance"),
			Source:            r.text("source"),
		})
	}
	return out
}

// ViewFactors returns the published configuration factors, freshly read on each
// call.
func ViewFactors() []ViewFactor {
	var out []ViewFactor
	for _, r := range falloffRows("falloff_viewfactors.csv", viewFactorsCSV) {
		out = append(out, ViewFactor{
			Name: r.text("name"), Shape: r.text("shape"),
			WidthM: r.number("width_m"), HeightM: r.number("height_m"), RadiusM: r.number("radius_m"),
			DistanceM:   r.number("distance_m"),
			Patch:       r.text("patch"),
			PatchWidthM: r.number("patch_width_m"), PatchRadiusM: r.number("patch_radius_m"),
			Expected: r.number("expected"), Tolerance: r.number("tolerance"),
			Source: r.text("source"),
		})
	}
	return out
}

// falloffRow is a row of a table by column name; an empty number is zero.
type falloffRow struct {
	file  string
	cells map[string]string
}

func (r falloffRow) text(column string) string {
	v, ok := r.cells[column]
	if !ok {
		panic(fmt.Sprintf("testdata: %s has no column %q", r.file, column))
	}
	return v
}

func (r falloffRow) number(column string) float64 {
	s := r.text(column)
	if s == "" {
		return 0
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(fmt.Sprintf("testdata: %s, column %q: %v", r.file, column, err))
	}
	return v
}

func falloffRows(file, table string) []falloffRow {
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("testdata: %s: %v", file, err))
	}
	var out []falloffRow
	for _, row := range rows[1:] {
		cells := make(map[string]string, len(row))
		for i, name := range rows[0] {
			cells[name] = row[i]
		}
		out = append(out, falloffRow{file: file, cells: cells})
	}
	return out
}
