package falloff

import (
	"fmt"
	"math"
	"strings"
)

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
		a.Answer = Finding{Code: NoInverse, Text: "No inverse square: the level rises with distance."}
		return
	}
	subject := choose(a.Settled, "the inverse square holds", "the inverse square seems to hold")
	ambient := ""
	if a.caused("ambient") && a.suspect == "" {
		subject = strings.Replace(subject, "the inverse square", "for the light by itself the inverse square", 1)
		switch at := a.AmbientFromM; {
		case at == nil || *at <= a.NearM:
			ambient = "; ambient light or bounce adds more than 1 % everywhere"
		case *at < a.FarM:
			ambient = "; ambient light or bounce adds more than 1 % beyond " + a.o.length(*at)
		}
	}
	code, text, exact := a.holds(subject)
	if a.suspect != "" {
		text = a.suspect + " is in doubt; with it " + text
	}
	a.Answer = Finding{Code: code, Text: upperFirst(text) + exact + ambient + "."}
}

// holds says where the inverse square holds, and how exactly.
func (a *answers) holds(subject string) (code, text, exact string) {
	from, sure := a.InverseSquareFromM, *a.InverseSquareFromIntervalM
	misfit := a.best.misfit()
	switch {
	case a.caused("origin_behind", "origin_ahead"):
		o := a.law.OffsetM
		return HoldsElsewhere, fmt.Sprintf("%s with distances from %s %s the present zero; as they are measured, only from %s on",
			subject, a.o.length(math.Abs(o)), choose(o < 0, "ahead of", "behind"), a.o.length(from)), ", within 1 %"
	case from > a.NearM && misfit > noLaw:
		return HoldsUntold, "whether the inverse square holds cannot be told: no law fits these readings", ""
	// An interval that was stretched because nothing fits is no leave to say so.
	case from <= a.NearM, sure.Lo <= a.NearM && misfit == 1:
		return HoldsAllTheWay, fmt.Sprintf("%s all the way, %s", subject, FromTo(a.NearM, a.FarM, a.o.length)), a.exactly(sure)
	case from <= a.FarM:
		return HoldsFrom, fmt.Sprintf("%s from %s on%s", subject, a.o.length(from), sure.Format(a.o.length)), ", within 1 %"
	}
	return HoldsBeyond, fmt.Sprintf("%s only from %s on%s, farther than was read", subject, a.o.length(from), sure.Format(a.o.length)), ", within 1 %"
}

// exactly says how surely the inverse square holds at all distances read.
func (a *answers) exactly(sure Interval) string {
	switch {
	case a.best.shape == point && a.SourceRadiusIntervalM == nil:
		return ", as far as so few readings tell"
	case math.IsInf(sure.Hi, 1):
		return ", as far as these readings tell; to 1 % that is sure nowhere"
	case sure.Hi > a.NearM:
		return ", as far as these readings tell; to 1 % that is sure from " + a.o.length(sure.Hi) + " on"
	}
	return ", within 1 %"
}
