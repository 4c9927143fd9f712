package answers

import (
	"cmp"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
)

// aims are what the receptor faces where nobody says: the camera for what makes the
// exposure, the lamp for what is read against it; common practice, no source.
var aims = map[ratio.Role]string{ratio.BackRole: "lamp", ratio.HairRole: "lamp", ratio.KickerRole: "lamp", ratio.SpillRole: "screen"}

// UsualAim is what the receptor faces for a light where nobody says.
func UsualAim(role ratio.Role) string { return cmp.Or(aims[role], "camera") }

// HowToRead says which lights alone are on for a reading, and where the receptor points.
// aim and receptor are as the table has them, "" where it does not say.
func HowToRead(role ratio.Role, lamp, aim, receptor string, of photometry.Quantity) string {
	on := map[ratio.Role]string{
		ratio.BackgroundRole: "Only the background's light on, read there.",
		ratio.ScreenRole:     "Only the screen's lights on, read at the screen.",
		ratio.PracticalRole:  "Only the practical on.",
		ratio.AmbientRole:    "All lamps off.",
		ratio.SpillRole:      "The lights on the subject off, the others on.",
	}[role]
	parts := strings.ReplaceAll(string(role), "+", " and ")
	switch {
	case on != "":
	case lamp != "" && lamp != string(role):
		on = "Only the " + parts + " on: " + lamp + "."
	case role.IsSum():
		on = "Only " + parts + " on."
	default:
		on = "Only the " + parts + " light on."
	}
	if of == photometry.Luminance {
		return on + " Spot meter from the camera."
	}
	return on + " " + Capital(FilledIn(" ", receptor, "receptor")) + " toward the " + cmp.Or(aim, UsualAim(role)) + "."
}
