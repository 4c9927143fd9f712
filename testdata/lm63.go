package testdata

// ZoneConstant is the flux in lm that one candela, the same all round, sends
// into the zone between two angles from the axis.
type ZoneConstant struct {
	FromDeg   float64 `csv:"from_deg"`
	ToDeg     float64 `csv:"to_deg"`
	Lumens    float64 `csv:"lumens_per_candela"`
	Tolerance float64 `csv:"-"`
}

// ZoneConstants returns the zonal constants of the IES Lighting Handbook for
// zones of 10° from 0 to 90° (mark P1 in SOURCES.md).
func ZoneConstants() []ZoneConstant {
	out := rows[ZoneConstant]("lm63_zones.csv")
	for i := range out {
		out[i].Tolerance = 5e-5
	}
	return out
}

// LuminaireDirection is a direction in the angles of a photometric type (A, B
// or C) and in space: x toward C = 0 or positive H, y toward C = 90 or positive
// V, z along the aim.
type LuminaireDirection struct {
	Type                       string
	HorizontalDeg, VerticalDeg float64
	Direction                  [3]float64
	Tolerance                  float64
}

// LuminaireDirections returns directions by the definitions of LM-63 (mark P2 in
// SOURCES.md).
func LuminaireDirections() []LuminaireDirection {
	return []LuminaireDirection{
		{"A", 30, 40, [3]float64{0.383022, 0.642788, 0.663414}, 5e-7},
		{"B", 30, 40, [3]float64{0.5, 0.556670, 0.663414}, 5e-7},
		{"C", 30, 40, [3]float64{0.556670, 0.321394, 0.766044}, 5e-7},
		{"C", 0, 0, [3]float64{0, 0, 1}, 1e-15},
		{"C", 0, 90, [3]float64{1, 0, 0}, 1e-15},
		{"C", 90, 90, [3]float64{0, 1, 0}, 1e-15},
		{"A", 90, 0, [3]float64{1, 0, 0}, 1e-15},
		{"A", 0, 90, [3]float64{0, 1, 0}, 1e-15},
		{"B", 90, 0, [3]float64{1, 0, 0}, 1e-15},
		{"B", 0, 90, [3]float64{0, 1, 0}, 1e-15},
	}
}

// IsotropicCandelaPerKilolm is the intensity in cd of a source that sends 1000 lm
// evenly in all directions, 1000/4π (mark P3 in SOURCES.md).
const IsotropicCandelaPerKilolm = 79.577
