package falloff

import (
	"math"

	"evenfall/photometry"
)

// Codes of the answer to where the inverse square holds.
const (
	HoldsAllTheWay = "inverse_square_all_the_way" // at all distances read
	HoldsFrom      = "inverse_square_from"        // from within the readings on
	HoldsBeyond    = "inverse_square_beyond"      // only farther than was read
	HoldsBy        = "inverse_square_by"          // from no farther than the mark on
	HoldsUnsettled = "inverse_square_unsettled"   // from somewhere within an interval on
	NoLawFits      = "no_law_fits"                // no law fits the readings
	NoInverse      = "no_inverse_square"          // the level rises with distance
)

// noLaw is by how many times their own scatter readings stray from the best law
// for there to be none.
const noLaw = 3.0

// answer says from where on the inverse square holds.
func (a *answers) answer() {
	switch {
	case a.upward:
		a.Answer = photometry.Found(NoInverse)
	case a.suspect != nil:
		a.Answer = photometry.Found("suspect.no_law_fits", "suspect", *a.suspect)
	case a.region.misfit > noLaw:
		a.Answer = photometry.Found(NoLawFits)
	default:
		a.Answer = a.inverseSquareAnswer()
	}
}

// inverseSquareAnswer says from where on, how exactly, counted from where, and
// what light there is besides.
func (a *answers) inverseSquareAnswer() Finding {
	iv := a.known.inverseSquare
	from, latest := photometry.Length(a.InverseSquareFromM), photometry.Length(iv.Hi)
	sure := photometry.Range{From: photometry.Length(iv.Lo), To: latest}
	counted, besides := a.counted(), a.besides()
	tapeZero := a.law.OffsetM // from the light's own center to where the tape starts
	switch {
	case iv.Hi-tapeZero <= a.NearM:
		read := photometry.Range{From: photometry.Length(a.NearM), To: photometry.Length(a.FarM)}
		return photometry.Found(HoldsAllTheWay, "read", read, "counted", counted, "besides", besides)
	case math.IsInf(iv.Hi, 1):
		return photometry.Found("anywhere.inverse_square_unsettled", "besides", besides)
	case a.known.excess[inverseSquare] > 1:
		return photometry.Found(HoldsUnsettled, "latest", latest, "counted", counted, "besides", besides)
	case a.known.startExcess > 1:
		return photometry.Found(HoldsBy, "latest", latest, "counted", counted, "besides", besides)
	case a.InverseSquareFromM-tapeZero <= a.FarM:
		return photometry.Found(HoldsFrom, "from", from, "sure", sure, "counted", counted, "besides", besides)
	}
	return photometry.Found(HoldsBeyond, "from", from, "sure", sure, "counted", counted, "besides", besides)
}

// counted says from where distances count, where that is surely not the tape's
// zero.
func (a *answers) counted() Finding {
	if !a.caused("origin_behind", "origin_ahead") {
		return Finding{}
	}
	return photometry.Found("counted", "offset", photometry.Length(a.law.OffsetM))
}

// besides says what light there is besides the source's own; nothing where none
// is sure.
func (a *answers) besides() Finding {
	switch at := a.AmbientFromM; {
	case at == nil || *at >= a.FarM:
		return Finding{}
	case *at <= a.NearM:
		return photometry.Found("besides")
	default:
		return photometry.Found("beyond.besides", "beyond", photometry.Length(*at))
	}
}
