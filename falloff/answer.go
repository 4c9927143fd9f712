package falloff

import "math"

// Codes of the answer to whether the inverse square holds.
const (
	HoldsAllTheWay = "inverse_square_all_the_way" // at all distances read, as far as the readings tell
	HoldsFrom      = "inverse_square_from"        // from within the readings on
	HoldsBeyond    = "inverse_square_beyond"      // only farther than was read
	HoldsElsewhere = "inverse_square_elsewhere"   // with distances from another zero
	HoldsUntold    = "inverse_square_untold"      // no law fits the readings
	NoInverse      = "no_inverse_square"          // the level rises with distance
)

// noLaw is by how many times their own scatter readings stray from the best law
// for there to be none.
const noLaw = 3.0

// answer says whether the inverse square holds and from which distance on.
func (a *answers) answer() {
	if a.upward {
		a.Answer = say(NoInverse)
		return
	}
	subject, besides := choose(a.Settled, "holds", "seems"), ""
	if a.caused("ambient") && a.suspect == "" {
		subject += "/by_itself"
		switch at := a.AmbientFromM; {
		case at == nil || *at <= a.NearM:
			besides = say("besides").Text
		case *at < a.FarM:
			besides = say("besides/beyond", a.o.length(*at)).Text
		}
	}
	holds, exactly := a.holds(say(subject).Text)
	if a.suspect != "" {
		holds.Text = say("in_doubt", a.suspect, holds.Text).Text
	}
	holds.Text = upperFirst(holds.Text) + exactly + besides + "."
	a.Answer = holds
}

// holds says where the inverse square holds, and how exactly.
func (a *answers) holds(subject string) (holds Finding, exactly string) {
	from, sure := a.InverseSquareFromM, *a.InverseSquareFromIntervalM
	misfit := a.best.misfit()
	exactly = say("exactly").Text
	switch {
	case a.caused("origin_behind", "origin_ahead"):
		o := a.law.OffsetM
		return say(HoldsElsewhere, subject, a.o.length(math.Abs(o)), choose(o < 0, "ahead of", "behind"), a.o.length(from)), exactly
	case from > a.NearM && misfit > noLaw:
		return say(HoldsUntold), ""
	// An interval that was stretched because nothing fits is no leave to say so.
	case from <= a.NearM, sure.Lo <= a.NearM && misfit == 1:
		return say(HoldsAllTheWay, subject, FromTo(a.NearM, a.FarM, a.o.length)), a.exactly(sure)
	case from <= a.FarM:
		return say(HoldsFrom, subject, a.o.length(from), sure.Format(a.o.length)), exactly
	}
	return say(HoldsBeyond, subject, a.o.length(from), sure.Format(a.o.length)), exactly
}

// exactly says how surely the inverse square holds at all distances read.
func (a *answers) exactly(sure Interval) string {
	switch {
	case a.best.shape == point && a.SourceRadiusIntervalM == nil:
		return say("exactly/few").Text
	case math.IsInf(sure.Hi, 1):
		return say("exactly/nowhere").Text
	case sure.Hi > a.NearM:
		return say("exactly/from", a.o.length(sure.Hi)).Text
	}
	return say("exactly").Text
}
