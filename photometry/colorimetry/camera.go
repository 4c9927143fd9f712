package colorimetry

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// CameraReading is one row of a comparison of a camera with the meter: a light as
// the meter reads it, and the setting at which the camera renders white in it as
// neutral. Tint is in the camera's own units; positive is toward magenta, that
// is, it makes up for a green light.
type CameraReading struct {
	Camera         string  `json:"camera"`
	MeasuredKelvin float64 `json:"measured_k"`
	MeasuredDuv    float64 `json:"measured_duv"`
	CameraKelvin   float64 `json:"camera_k"`
	CameraTint     float64 `json:"camera_tint"`
}

// CameraOffset is how one camera differs from the meter: its setting is Mired
// warmer-reading than the light (mired of the setting minus mired of the light),
// and its tint is Tint + TintPerPoint × the magenta CC points that the light
// needs.
//
// Spreads are standard deviations of a single row about the offset; they are
// absent (zero) with one row.
type CameraOffset struct {
	Camera       string  `json:"camera"`
	Rows         int     `json:"rows"`
	Mired        float64 `json:"offset_mired"`
	MiredSpread  float64 `json:"offset_mired_spread,omitempty"`
	Tint         float64 `json:"offset_tint"`
	TintSpread   float64 `json:"offset_tint_spread,omitempty"`
	TintPerPoint float64 `json:"tint_per_cc_point"`
	TintFitted   bool    `json:"tint_fitted"` // TintPerPoint comes from the rows; else it is 1, common practice, no source
}

// tintRows and tintRange are how many rows, over how many CC points, it takes to
// fit a camera's tint units instead of assuming them.
const (
	tintRows  = 3
	tintRange = 4.0
)

// cameraRows are one camera's rows: by how many mired its settings are off, and
// its tints beside the CC points of magenta that the lights need.
type cameraRows struct {
	name                  string
	shifts, points, tints []float64
}

// CameraOffsets returns the offset of each camera in the rows, by name in any
// case. The offset in mired is the mean over the rows. Tint is fitted by least
// squares on the CC points that the lights need where at least three rows span
// at least four points; otherwise a unit of tint is taken for a CC point and
// only the mean offset is used. Errors name the row, counted from 1.
func CameraOffsets(rows []CameraReading) ([]CameraOffset, error) {
	byName := map[string]*cameraRows{}
	for i, r := range rows {
		name := strings.TrimSpace(r.Camera)
		if name == "" {
			return nil, fmt.Errorf("camera row %d: it names no camera", i+1)
		}
		if !photometry.Finite(r.CameraKelvin, r.CameraTint) || r.CameraKelvin <= 0 {
			return nil, fmt.Errorf("camera row %d: setting %v K, tint %v is not a camera's", i+1, r.CameraKelvin, r.CameraTint)
		}
		needs, err := CCNeeded(CCT{r.MeasuredKelvin, r.MeasuredDuv})
		if err != nil {
			return nil, fmt.Errorf("camera row %d: %w", i+1, err)
		}
		c := byName[strings.ToLower(name)]
		if c == nil {
			c = &cameraRows{name: name}
			byName[strings.ToLower(name)] = c
		}
		c.shifts = append(c.shifts, Mired(r.CameraKelvin)-Mired(r.MeasuredKelvin))
		c.points, c.tints = append(c.points, -float64(needs)), append(c.tints, r.CameraTint)
	}
	var out []CameraOffset
	for _, c := range byName {
		out = append(out, c.offset())
	}
	slices.SortFunc(out, func(a, b CameraOffset) int { return cmp.Compare(a.Camera, b.Camera) })
	return out, nil
}

func (c *cameraRows) offset() CameraOffset {
	n := len(c.shifts)
	o := CameraOffset{Camera: c.name, Rows: n, TintPerPoint: 1}
	if n >= tintRows && slices.Max(c.points)-slices.Min(c.points) >= tintRange {
		_, o.TintPerPoint = stat.LinearRegression(c.points, c.tints, nil, false)
		o.TintFitted = true
	}
	left := floats.AddScaledTo(make([]float64, n), c.tints, -o.TintPerPoint, c.points)
	o.Mired, o.Tint = stat.Mean(c.shifts, nil), stat.Mean(left, nil)
	if n > 1 {
		o.MiredSpread, o.TintSpread = stat.StdDev(c.shifts, nil), stat.StdDev(left, nil)
		if o.TintFitted { // the slope has used up one more degree of freedom
			o.TintSpread *= math.Sqrt(float64(n-1) / float64(n-2))
		}
	}
	return o
}

// CameraNamed finds a camera's offset by name, in any case. The error for one
// that is not there lists those that are.
func CameraNamed(offsets []CameraOffset, name string) (CameraOffset, error) {
	var known []string
	for _, o := range offsets {
		if photometry.SameName(name, o.Camera) {
			return o, nil
		}
		known = append(known, o.Camera)
	}
	if len(known) == 0 {
		return CameraOffset{}, fmt.Errorf("camera %q is not in the table of cameras, which is empty", name)
	}
	return CameraOffset{}, fmt.Errorf("camera %q is not in the table of cameras; it has %s", name, strings.Join(known, ", "))
}

// CameraSetting is the white balance at which a camera renders a light neutral.
type CameraSetting struct {
	Camera      string  `json:"camera,omitempty"`
	Kelvin      float64 `json:"camera_k"`
	Tint        float64 `json:"camera_tint"`                   // positive toward magenta
	MiredSpread float64 `json:"camera_mired_spread,omitempty"` // standard deviation of one row of the comparison
	TintSpread  float64 `json:"camera_tint_spread,omitempty"`
	TintUnknown bool    `json:"camera_tint_unknown,omitempty"` // only kelvins of the light are known
}

// SettingFor returns the camera setting for a light as the meter reads it. With
// a nil offset the camera is taken to agree with the meter and to count tint in
// CC points. Errors as in CCNeeded, or a setting that no color temperature has.
func SettingFor(light CCT, offset *CameraOffset) (CameraSetting, error) {
	needs, err := CCNeeded(light)
	if err != nil {
		return CameraSetting{}, err
	}
	o := CameraOffset{TintPerPoint: 1}
	if offset != nil {
		o = *offset
	}
	mired := light.Mired() + o.Mired
	if mired <= 0 {
		return CameraSetting{}, fmt.Errorf("an offset of %+.0f mired leaves camera %q no setting for %v", o.Mired, o.Camera, light)
	}
	return CameraSetting{
		Camera:      o.Camera,
		Kelvin:      Kelvin(mired),
		Tint:        o.Tint - o.TintPerPoint*float64(needs),
		MiredSpread: o.MiredSpread,
		TintSpread:  o.TintSpread,
	}, nil
}
