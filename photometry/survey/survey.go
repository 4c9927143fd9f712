package survey

import (
	"fmt"
	"math"

	"evenfall/photometry"
	"evenfall/photometry/sheet"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
	"evenfall/photometry/tolerance"
)

// Survey is what was read on one surface, or predicted for it: columns of
// equal length, one entry a point. A point read several times is one entry, with
// its mean. Positions are in meters, x to camera right, y up, origin at the
// surface's lower left corner.
type Survey struct {
	Title    string
	Date     string // of the notes, as it was written; "" where they do not say
	Quantity photometry.Quantity
	photometry.Taken
	X, Y  []float64 // m
	Level []float64 // SI unit of Quantity, zero or more

	// U and V are CIE 1976 u', v'; nil without color, NaN where a point has
	// none. DuvRead is false where only a color temperature was read, so that
	// the points lie on the Planckian locus by assumption.
	U, V    []float64
	DuvRead bool

	// Minutes is when each point was read (a point read several times: its first
	// reading), in minutes from any start, NaN where unknown; nil without times.
	Minutes []float64

	// Label names the points; nil where none has a name and the points form no
	// grid. Use Name for a name that is always there.
	Label []string
	// Repeats is how many readings each point has; nil is one each.
	Repeats []int32
	// Replicates are all readings of the points that were read more than once.
	Replicates []Replicate
	// ColorReplicates are all colors of the points whose color was read more than
	// once.
	ColorReplicates []ColorReplicate
	// Lamps are readings of single lamps at some of the places, where there are
	// any beside those of all together.
	Lamps []Lamp
	// Notes are what people wrote beside readings, in the order of the files.
	Notes []photometry.PlaceNote
	// Bounds are readings known only to one side, at places that are no points.
	Bounds []Bound
	// ReadingCount and Missing count the readings taken and the places left empty.
	ReadingCount, Missing int
	// Planned is set where the file plans places: by a grid of the notes, or by rows
	// without a level. UnreadX and UnreadY are those that were not read, in meters,
	// NaN where it is not known where they are.
	Planned          bool
	UnreadX, UnreadY []float64

	// Extent is the surface; Area the part in shot, nil for the whole.
	Extent spatial.Box
	Area   *spatial.Box
	// Reference is the index of the reference point, -1 where there is none.
	Reference int
	// Placing is how the places are known. Where it is not InMeters, X and Y are rows
	// and columns, or stand for nothing.
	Placing Placing
	Feet    bool // its file has lengths in feet or inches
	// Lattice is set where the points are in rows and columns.
	Lattice   *spatial.Lattice
	Predicted bool // computed from lamps, not read
	// Over names what relative levels are times of, such as the plan; empty where
	// they are parts of a whole of their own.
	Over string

	// Settings is what the notes said, or what a caller set.
	Settings Settings
	// ReadAs is how a sheet was read that is not in the plain form, else nil.
	ReadAs *sheet.ReadAs
	// Inferred are assumptions that the figures rest on, ParseLog how the files
	// were understood, and Warnings what came up on the way.
	Inferred, ParseLog []photometry.Remark
	Warnings           []photometry.Finding

	confirmed map[writtenLevel]bool
	// conflict is by how many stops the level of each point may be off either way, since
	// several readings claim to be the first one there; nil where none do.
	conflict []float64

	lines  []int32          // of each point's first reading; nil where unknown
	lineOf func(i int) int  // the same where rows and points are one
	found  map[int32]string // text of cells that were not plain numbers
}

// Placing is how the places of a survey are known.
type Placing uint8

// The ways to know places.
const (
	InMeters Placing = iota // by positions
	InGrid                  // by rows and columns: X and Y count these, a step each
	Nowhere                 // by names or not at all: X tells them apart
)

// Replicate is one of several readings at a point.
type Replicate struct {
	Point   int32
	Level   float64 // SI unit of the survey's quantity
	Minutes float64 // NaN where unknown
	Line    int     // in its file, 0 where unknown
}

// ColorReplicate is one of several colors read at a point, CIE 1976 u', v'.
type ColorReplicate struct {
	Point int32
	U, V  float64
}

// Settings is what the notes of a survey say. Its zero value is any surface
// with the default tolerance and an assumed repeatability.
type Settings struct {
	Kind          tolerance.Kind
	Limits        tolerance.Limits // tolerance in force
	Repeatability *float64         // relative, of one reading to the next; nil where not stated
	Resolution    float64          // stops, 0 where not stated
	Meter         photometry.Meter // that f-numbers and EV were read with
	ReceptorNoted bool             // the notes say which receptor the meter had; else it is taken to be flat
	MeterName     string           // which meter was read, "" where not noted
	Approved      string           // yes, or whoever approved the light; "" where not noted
	ISO, ShutterS float64          // of the camera by the notes, 0 where they do not say; seconds
	Sized         bool             // width and height were given
	Edges         bool             // grid: edges
	TapeChecked   bool             // tape: checked, of a series of distances
	Line          bool             // the notes give one length alone, or a height of a tenth of the width or less
	// CameraISO and CameraShutterS (seconds) are those of the set-up; the exposure
	// takes them where the notes give none. How readings were understood does not
	// depend on them. Zero is not known.
	CameraISO, CameraShutterS float64
}

// Len is the number of points.
func (s *Survey) Len() int { return len(s.Level) }

// InShot reports whether a place lies in the part in shot, where one is set.
func (s *Survey) InShot(x, y float64) bool { return s.Area == nil || s.Area.Contains(x, y) }

// Unlit is how many points get no light.
func (s *Survey) Unlit() int {
	zeros := 0
	for _, v := range s.Level {
		if v == 0 {
			zeros++
		}
	}
	return zeros
}

func (s *Survey) infer(key string, values ...any) {
	s.Inferred = append(s.Inferred, photometry.Remarked(key, values...))
}

func (s *Survey) note(key string, values ...any) {
	s.ParseLog = append(s.ParseLog, photometry.Remarked(key, values...))
}

func (s *Survey) warn(key string, values ...any) {
	s.Warnings = append(s.Warnings, photometry.Found(key, values...))
}

// XYZ is the position in meters and the level of point i, so that a Survey can
// be drawn as it is.
func (s *Survey) XYZ(i int) (x, y, level float64) { return s.X[i], s.Y[i], s.Level[i] }

// TimeOf is when point i was read, as table.FormatMinutes has it; "" where that is not
// known.
func (s *Survey) TimeOf(i int) string { return table.FormatMinutes(valueAt(s.Minutes, i)) }

// XY is the position of point i in meters.
func (s *Survey) XY(i int) (x, y float64) { return s.X[i], s.Y[i] }

// HasColor reports whether any point has a chromaticity.
func (s *Survey) HasColor() bool { return s.U != nil }

// Name is the label of point i, or its position where it has none.
func (s *Survey) Name(i int) string {
	if label := s.LabelOf(i); label != "" {
		return label
	}
	if s.Placing == Nowhere {
		return fmt.Sprintf("line %d", s.LineOf(i))
	}
	return "(" + photometry.FormatFigure(s.X[i]) + ", " + photometry.FormatFigure(s.Y[i]) + ")"
}

// LabelOf is the label of point i: its own, or that of its row and column; ""
// where it has neither.
func (s *Survey) LabelOf(i int) string {
	if s.Label != nil && s.Label[i] != "" {
		return s.Label[i]
	}
	if s.Lattice == nil {
		return ""
	}
	column := spatial.NearestIndex(s.Lattice.Xs, s.X[i])
	row := spatial.NearestIndex(s.Lattice.Ys, s.Y[i])
	return spatial.GridLabel(column, len(s.Lattice.Ys)-1-row)
}

// Point is a place by its label and its position.
func (s *Survey) Point(i int) photometry.Point {
	if s.Placing != InMeters {
		return photometry.Point{Label: s.Name(i), X: math.NaN(), Y: math.NaN()}
	}
	return photometry.Point{Label: s.LabelOf(i), X: s.X[i], Y: s.Y[i]}
}

// LineOf is the line in its file of point i's first reading, 0 where unknown.
func (s *Survey) LineOf(i int) int {
	switch {
	case s.lineOf != nil:
		return s.lineOf(i)
	case s.lines != nil:
		return int(s.lines[i])
	}
	return 0
}
