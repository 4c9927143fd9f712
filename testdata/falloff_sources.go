package testdata

// SourceFigure is the illuminance from one Lambertian source at one point. The
// source's middle is at the origin, its front looks along +z; a rectangle's
// width runs along x.
type SourceFigure struct {
	Name string `csv:"name"`
	// Shape is "rectangle" (WidthM by HeightM) or "disc" (RadiusM).
	Shape   string  `csv:"shape"`
	WidthM  float64 `csv:"width_m"`
	HeightM float64 `csv:"height_m"`
	RadiusM float64 `csv:"radius_m"`
	// Luminance in cd/m².
	Luminance float64 `csv:"luminance"`
	// At is the receiver's place in meters, Normal its unit normal.
	At, Normal [3]float64 `csv:"-"`
	// Expected is the illuminance in lx, good to RelativeTolerance.
	Expected          float64 `csv:"expected"`
	RelativeTolerance float64 `csv:"relative_tolerance"`
	// Source is the mark of the source in SOURCES.md.
	Source string `csv:"source"`
}

// ViewFactor is a published configuration factor from a small patch, a strip or
// an area to a rectangle or a disc: the mean over the patch of E/(π·L).
type ViewFactor struct {
	Name string `csv:"name"`
	// Shape is "rectangle" (WidthM by HeightM) or "disc" (RadiusM), DistanceM
	// the distance between the planes or, for a perpendicular patch, from the
	// patch to the plane of the source.
	Shape     string  `csv:"shape"`
	WidthM    float64 `csv:"width_m"`
	HeightM   float64 `csv:"height_m"`
	RadiusM   float64 `csv:"radius_m"`
	DistanceM float64 `csv:"distance_m"`
	// Patch is "disc" (coaxial and parallel), "strip" (parallel, under the
	// bottom edge) or "perpendicular strip" (level with the bottom edge, looking
	// up).
	Patch        string  `csv:"patch"`
	PatchWidthM  float64 `csv:"patch_width_m"`
	PatchRadiusM float64 `csv:"patch_radius_m"`
	// Expected is the factor, good to Tolerance (the last digit printed).
	Expected  float64 `csv:"expected"`
	Tolerance float64 `csv:"tolerance"`
	// Source is the mark of the source in SOURCES.md.
	Source string `csv:"source"`
}

// Sources returns the illuminances of rectangles and discs, freshly read on
// each call.
func Sources() []SourceFigure {
	var out []SourceFigure
	for _, r := range rows[struct {
		SourceFigure
		AtX     float64 `csv:"at_x"`
		AtY     float64 `csv:"at_y"`
		AtZ     float64 `csv:"at_z"`
		NormalX float64 `csv:"normal_x"`
		NormalY float64 `csv:"normal_y"`
		NormalZ float64 `csv:"normal_z"`
	}]("falloff_sources.csv") {
		r.At, r.Normal = [3]float64{r.AtX, r.AtY, r.AtZ}, [3]float64{r.NormalX, r.NormalY, r.NormalZ}
		out = append(out, r.SourceFigure)
	}
	return out
}

// ViewFactors returns the published configuration factors, freshly read on each
// call.
func ViewFactors() []ViewFactor { return rows[ViewFactor]("falloff_viewfactors.csv") }
