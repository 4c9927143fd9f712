package setup

import "evenfall/photometry"

// Change is one difference between the tables of two days, with a sentence for
// people. From and To are the cells as they would be written, empty where there
// is none.
type Change struct {
	Table string `json:"table"`          // lamps or setup
	Name  string `json:"name"`           // of the lamp, or the key
	Code  string `json:"code"`           // what changed: a Change… constant
	From  string `json:"from,omitempty"` // the day before
	To    string `json:"to,omitempty"`   // today
	// Amount is by how much, today less the day before, in Unit: m, deg, %, K,
	// stop, W or lm. A move in space has no sign. Absent where there is no number.
	Amount *float64 `json:"amount,omitempty"`
	Unit   string   `json:"unit,omitempty"`
	// Text is the change in a sentence.
	Text photometry.Remark `json:"text"`
}

// What a Change is of.
const (
	ChangeAdded        = "added"   // a row that the day before does not have
	ChangeMissing      = "missing" // a row that today does not have
	ChangeMoved        = "moved"   // x, y, z or the stand's height
	ChangeAim          = "aim"     // aim, pan or tilt
	ChangeDimmer       = "dimmer"
	ChangeScrims       = "scrims"
	ChangeGel          = "gel"
	ChangeDiffusion    = "diffusion"
	ChangeTrim         = "trim"
	ChangePower        = "power"
	ChangeSpotFlood    = "spot_flood"
	ChangeBeam         = "beam"  // beam, or the file of intensities
	ChangeSize         = "size"  // width or height of the source
	ChangeColor        = "color" // CCT or Duv of the table
	ChangeLevel        = "level" // flux, intensity or E of the table
	ChangeBehind       = "behind"
	ChangeTransmission = "transmission"
	ChangeKind         = "kind"
	ChangeSetting      = "setting" // a key of the set-up's table
)
