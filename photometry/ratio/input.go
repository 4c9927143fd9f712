package ratio

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
)

// Role is what a light does for a subject, or a sum of roles joined with "+",
// such as key+fill, for a reading with these lights on together.
type Role string

// The roles of lights and of places that are read. Spill is the light on the
// subject with its own lights off.
const (
	KeyRole        Role = "key"
	FillRole       Role = "fill"
	BackRole       Role = "back"
	HairRole       Role = "hair"
	KickerRole     Role = "kicker"
	BackgroundRole Role = "background"
	ScreenRole     Role = "screen"
	PracticalRole  Role = "practical"
	AmbientRole    Role = "ambient"
	SpillRole      Role = "spill"
)

// Roles are the single roles in the order in which they are told.
var Roles = []Role{KeyRole, FillRole, BackRole, HairRole, KickerRole, BackgroundRole, ScreenRole, PracticalRole, AmbientRole, SpillRole}

// keyPlusFill is the sum that both conventions rest on.
const keyPlusFill = KeyRole + "+" + FillRole

// SumRole joins single roles into one, in the order of Roles.
func SumRole(parts ...Role) Role {
	var out []string
	for _, r := range Roles {
		for _, p := range parts {
			if p == r {
				out = append(out, string(r))
			}
		}
	}
	return Role(strings.Join(out, "+"))
}

// Parts are the single roles of a sum; of a single role, itself.
func (r Role) Parts() []Role {
	var out []Role
	for part := range strings.SplitSeq(string(r), "+") {
		out = append(out, Role(part))
	}
	return out
}

// IsSum reports whether the role is a sum.
func (r Role) IsSum() bool { return strings.Contains(string(r), "+") }

// Has reports whether a single role is in the sum.
func (r Role) Has(part Role) bool { return slices.Contains(r.Parts(), part) }

// continuous reports whether the light of a role is continuous even where flash is
// in use: an f-number of it holds for the shutter.
func (r Role) continuous() bool { return r == AmbientRole || r == PracticalRole }

// LightMeter is the meter for a reading of the role: an f-number of ambient
// light or a practical is of continuous light at the meter's shutter.
func (r Role) LightMeter(m photometry.Meter) photometry.Meter {
	m.Continuous = m.Continuous || r.continuous()
	return m
}

// Reading is one reading of one light, or of several together, at a mark.
type Reading struct {
	Mark     string
	Role     Role
	Lamp     string // "" for all lamps of the role
	Level    photometry.Level
	Receptor photometry.Receptor
	// ReceptorNoted says that the table or its notes have the receptor; else it is taken to
	// be flat.
	ReceptorNoted bool
	Aim           string // what the receptor faced: camera, lamp, …; "" where not said
	CCTK          *float64
	Duv           *float64
	// DistanceM is from the lamp to the mark in meters, 0 where not said.
	DistanceM float64
	Note      string // what somebody wrote beside it
	Line      int    // of the table, for messages; 0 without one
	// Conflicting is one of several first readings of its light, of which nobody said yet
	// which one counts.
	Conflicting bool
}

// Camera is how the camera of all marks is set; zero is not said.
type Camera struct {
	ISO             float64
	ShutterS        float64
	FramesPerSecond float64
	NDStops         float64 // lost to neutral density
	FilterFactor    float64 // 1 or more
	Transmittance   float64 // of the lens, to 1
	SetStop         float64 // T-stop or f-number that the lens is set to, exact
	SetInT          bool    // it is a T-stop
}

// Exposure is the camera as the exposure equation takes it.
func (c Camera) Exposure() photometry.Exposure {
	e := photometry.Exposure{ISO: c.ISO, ShutterS: c.ShutterS, LossStops: c.NDStops, Transmittance: c.Transmittance}
	if c.FilterFactor > 0 {
		e.LossStops += photometry.FilterFactorStops(c.FilterFactor)
	}
	return e
}

// Input is what a comparison of lights starts from.
type Input struct {
	Title string
	Date  string
	photometry.Taken
	For      string // what is lit, for people to read
	Readings []Reading
	ReadAs   *photometry.ReadAs // of a sheet that is not in the plain form, else nil
	Camera   Camera
	// Constant replaces the constant C of ISO 2720; 0 takes it by receptor.
	Constant float64
	Target   *Target
	// AreaTargets are wanted levels of other lights in stops from the key.
	AreaTargets []AreaTarget
	// ToleranceStops is how far a ratio may be from its target on each side; 0
	// is DefaultTolerance.
	ToleranceStops float64
	Repeatability  *float64 // of one reading, as a fraction; nil is not said
	Resolution     float64  // step of the display in stops
	ExposeFor      Role     // what the exposure is for; "" is key plus fill
	MainsHz        float64  // 0 for both 50 and 60
	Inferred       []photometry.Remark
	Warnings       []photometry.Finding // of reading, which those of the result begin with
}

// DefaultTolerance is a third of a stop on each side: common practice, no
// source.
const DefaultTolerance = 1.0 / 3

// AreaTarget is a wanted level of a light in stops from the key.
type AreaTarget struct {
	Role  Role    `json:"role"`
	Stops float64 `json:"stops"`
}

// The parts of a reading that can be wrong, besides its level.
const (
	ReceptorField photometry.InputField = "receptor"
	AimField      photometry.InputField = "aim"
	RoleField     photometry.InputField = "role"
)

// MostLights is how many lights one mark may have: each is held against the others.
const MostLights = 200

// Check finds what cannot be compared: levels that are no levels, a sum of zero, too many
// lights at one mark, quantities that do not mix there, and two readings that claim the
// same with another receptor, aim or quantity. The error is photometry.InputErrors.
func (in Input) Check() error {
	var errs photometry.InputErrors
	fail := func(i int, field photometry.InputField, found, expected string) {
		errs = append(errs, &photometry.InputError{Index: i, Field: field, Found: found, Expected: expected})
	}
	if len(in.Readings) == 0 {
		fail(-1, "", "no readings", "at least a key and a fill")
	}
	// The readings of each mark that are not alike, so that a long table takes no longer
	// than its lights need.
	kinds := map[string][]int{}
	for i, r := range in.Readings {
		switch {
		case !(r.Level.Value >= 0) || math.IsInf(r.Level.Value, 0):
			fail(i, photometry.LevelField, fmt.Sprint(r.Level.Value), "a level of 0 or more")
			continue
		case r.Level.Value == 0 && r.Role.IsSum():
			fail(i, photometry.LevelField, "0", "a level above 0 for lights together; only a light alone may read 0")
		}
		mark := photometry.NameKey(r.Mark)
		known := false
		for _, j := range kinds[mark] {
			before := in.Readings[j]
			known = known || alike(r, before)
			if expected := unlike(before, r); expected != "" {
				fail(i, photometry.LevelField, r.Level.Quantity.String(), expected)
				break
			}
			if r.Role != before.Role || !photometry.SameName(r.Lamp, before.Lamp) {
				continue
			}
			what := fmt.Sprintf("the %s of %s, which is a repeat of %s", r.Role, r.Mark, photometry.ReadingName(before.Line, j))
			switch {
			case r.Level.Quantity != before.Level.Quantity:
				fail(i, photometry.LevelField, r.Level.Quantity.String(), fmt.Sprintf("%s as in %s", before.Level.Quantity, what))
			case r.Receptor != before.Receptor:
				fail(i, ReceptorField, r.Receptor.String(), fmt.Sprintf("%s as in %s; leave one of them out, or name another lamp", before.Receptor, what))
			case !photometry.SameName(r.Aim, before.Aim):
				fail(i, AimField, r.Aim, fmt.Sprintf("%q as in %s; leave one of them out, or name another lamp", before.Aim, what))
			default:
				continue
			}
			break
		}
		switch {
		case known:
		case len(kinds[mark]) == MostLights:
			fail(i, RoleField, string(r.Role), fmt.Sprintf("no more than %d lights at one mark", MostLights))
		default:
			kinds[mark] = append(kinds[mark], i)
		}
	}
	return errs.OrNil()
}

// unlike says what was expected of a reading whose quantity cannot be compared
// with that of another at the same mark, "" where it can.
func unlike(before, r Reading) string {
	a, b := before.Level.Quantity, r.Level.Quantity
	onSubject := func(role Role) bool { return role.Has(KeyRole) || role.Has(FillRole) || role.IsSum() }
	switch {
	case a == b:
		return ""
	case a == photometry.Relative || b == photometry.Relative:
		return fmt.Sprintf("the same quantity at one mark; the %s is a %s", before.Role, a)
	case onSubject(before.Role) && onSubject(r.Role) && (a == photometry.Luminance || b == photometry.Luminance):
		return fmt.Sprintf("%s like the %s: incident and reflected light cannot be divided", a, before.Role)
	}
	return ""
}

// alike reports whether two readings are of one light, read in one way.
func alike(a, b Reading) bool {
	return a.Role == b.Role && a.Level.Quantity == b.Level.Quantity && a.Receptor == b.Receptor && photometry.SameName(a.Lamp, b.Lamp) && photometry.SameName(a.Aim, b.Aim)
}
