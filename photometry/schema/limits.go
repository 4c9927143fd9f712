package schema

import (
	"fmt"

	"evenfall/photometry/ratio"
)

// MostLights is how many lights one mark may have: each is held against the others.
const MostLights = ratio.MostLights

// MostLamps is how many lamps may be read alone on one surface: the search for their
// trims grows with the cube of their number.
const MostLamps = 200

// MostShapers is how many frames, boards, flags and nets a set-up may have: each is looked
// at on the way of every light, and each board and frame sends some on.
const MostShapers = 40

// MostPassedOn is how many lights frames and boards may send on together: one for each lamp
// that lights a frame, and as many again where a frame stands behind a frame.
const MostPassedOn = 60

// MostFree is how many cells of a set-up may hold a range: the search for their values
// grows with the square of their number.
const MostFree = 100

// MostLooks is how many parts of lamps, frames and boards, with what may be in the way of
// each, a plan may look at: what they are shaped like and where they stand decides that
// more than their number does.
const MostLooks = 20_000_000

// MostFitted is how many readings, times the square of how many lamps, a plan may be held
// to: that is what a step of the fit costs.
const MostFitted = 10_000_000

// Where lamps are read alone at some places of a surface only, MostShared is how many
// places it may have and MostSharing how many lamps; MostShares is how many places, times
// the square of how many lamps. Their shares of the light are fitted over and over with
// some places left out, and each two places are held against each other.
const (
	MostShared  = 2000
	MostSharing = 80
	MostShares  = 1_000_000
)

// TooManyShares is what is wrong with so many places of a surface and lamps read alone at
// some of them, "" where nothing is.
func TooManyShares(places, lamps int) string {
	switch {
	case lamps > MostSharing:
		return fmt.Sprintf("found %d lamps read alone at some places only, expected at most %d", lamps, MostSharing)
	case places > min(MostShared, MostShares/max(1, lamps*lamps)):
		return fmt.Sprintf("found %d places, expected at most %d where %d lamps are read alone at some of them only", places, min(MostShared, MostShares/max(1, lamps*lamps)), lamps)
	}
	return ""
}

// MostSpills is at how many marks what comes of a screen is figured, the first of a table:
// each takes thousands of looks at parts of the screen.
const MostSpills = 100

// mostRows are the most rows of a table of things, which are compared with each other.
// Readings of a surface and of a series have no limit of their own.
var mostRows = map[File]int{RatioFile: 20_000, LampsFile: 1000, GelsFile: 5000, CamerasFile: 1000, SetupFile: 1000, DimmersFile: 10_000, ScreenFile: 10_000}

// MostRows is the most rows that a sort of file may have, 0 for as many as there are.
func MostRows(in File) int { return mostRows[in] }
