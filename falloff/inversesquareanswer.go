package falloff

import (
	"math"

	"evenfall/photometry"
)

// Codes of the answer to whether the inverse square holds.
const (
	HoldsAllTheWay = "inverse_square_all_the_way" // at all distances read, as far as the readings tell
	HoldsFrom      = "inverse_square_from"        // from within the readings on
	HoldsBeyond    = "inverse_square_beyond"      // only farther than was read
	HoldsElsewhere = "inverse_square_elsewhere"   // with distances from another zero
	NoLawFits      = "inverse_square_untold"      // no law fits the readings
	NoInverse      = "no_inverse_square"          // the level rises with distance
)

// noLaw is by how many times their own scatter readings stray from the best law
// for there to be none.
const noLaw = 3.0

// answer says whether the inverse square holds and from which distance on.
func (a *answers) answer() {
	if a.upward {
		a.Answer = photometry.Found(NoInverse)
		return
	}
	a.Answer = a.inverseSquareAnswer()
}

// inverseSquareAnswer says where the inverse square holds, and how exactly.
func (a *answers) inverseSquareAnswer() Finding {
	from, sure := a.InverseSquareFromM, *a.InverseSquareFromIntervalM
	misfit := a.best.misfit()
	start, surely := photometry.Length(from), photometry.Range{From: photometry.Length(sure.Lo), To: photometry.Length(sure.Hi)}
	subject, besides := a.subject(), a.besides()
	switch {
	case a.caused("origin_behind", "origin_ahead"):
		return photometry.Found(HoldsElsewhere, "holds", subject, "offset", photometry.Length(a.law.OffsetM), "from", start, "besides", besides)
	case from > a.NearM && misfit > noLaw:
		return photometry.Found(NoLawFits, "whether", a.doubting(photometry.Found("whether_holds")), "besides", besides)
	// An interval that was stretched because nothing fits is no leave to say so.
	case from <= a.NearM, sure.Lo <= a.NearM && misfit == 1:
		read := photometry.Range{From: photometry.Length(a.NearM), To: photometry.Length(a.FarM)}
		return photometry.Found(HoldsAllTheWay, "holds", subject, "read", read, "exactly", a.exactly(sure), "besides", besides)
	case from <= a.FarM:
		return photometry.Found(HoldsFrom, "holds", subject, "from", start, "sure", surely, "besides", besides)
	}
	return photometry.Found(HoldsBeyond, "holds", subject, "from", start, "sure", surely, "besides", besides)
}

// byItself reports whether the answer is about the light without what is around it.
func (a *answers) byItself() bool { return a.caused("ambient") && a.suspect == nil }

// subject is that the inverse square holds, as surely as the readings tell.
func (a *answers) subject() Finding {
	switch {
	case a.byItself() && a.Settled:
		return photometry.Found("by_itself.holds")
	case a.byItself():
		return photometry.Found("by_itself.seems")
	case a.Settled:
		return a.doubting(photometry.Found("holds"))
	}
	return a.doubting(photometry.Found("seems"))
}

// doubting puts the reading in doubt, where there is one, before what is said.
func (a *answers) doubting(said Finding) Finding {
	if a.suspect == nil {
		return said
	}
	return photometry.Found("in_doubt", "suspect", *a.suspect, "said", said)
}

// besides says what light there is besides the source's own; nothing where none
// matters.
func (a *answers) besides() Finding {
	switch at := a.AmbientFromM; {
	case !a.byItself():
		return Finding{}
	case at == nil || *at <= a.NearM:
		return photometry.Found("besides")
	case *at < a.FarM:
		return photometry.Found("beyond.besides", "beyond", photometry.Length(*at))
	}
	return Finding{}
}

// exactly says how surely the inverse square holds at all distances read.
func (a *answers) exactly(sure Interval) Finding {
	switch {
	case a.best.shape == point && a.SourceRadiusIntervalM == nil:
		return photometry.Found("few.exactly")
	case math.IsInf(sure.Hi, 1):
		return photometry.Found("nowhere.exactly")
	case sure.Hi > a.NearM:
		return photometry.Found("from.exactly", "from", photometry.Length(sure.Hi))
	}
	return photometry.Found("exactly")
}
