package falloff

import (
	"fmt"
	"math"
	"strings"
)

// Words say how the sentences of a result write levels and lengths. Figures
// stay in SI units whatever the words. The zero value writes the unit of the
// result and meters, with three digits.
type Words struct {
	// Level writes a level given in the unit of the result.
	Level func(level float64) string
	// Length writes a length given in meters.
	Length func(meters float64) string
}

// length writes a length for a sentence.
func (w Words) length(meters float64) string {
	switch {
	case math.IsInf(meters, 0):
		return "any distance"
	case w.Length != nil:
		return w.Length(meters)
	}
	return digits(meters) + " m"
}

// FromTo writes a range of two figures that write writes, with a unit that both
// share once, at the end: 1.2 to 3.4 m.
func FromTo(lo, hi float64, write func(float64) string) string {
	low, high := write(lo), write(hi)
	number, unit, ok := strings.Cut(low, " ")
	if ok && strings.HasSuffix(high, " "+unit) && !strings.HasPrefix(low, "f/") {
		low = number
	}
	return low + " to " + high
}

// Format writes the interval in brackets after a figure, as (1.2 to 3.4 m), with
// open ends in words: (at least 1.2 m). It writes nothing where both are open.
func (i Interval) Format(write func(float64) string) string {
	low, high := math.IsInf(i.Lo, -1), math.IsInf(i.Hi, 1)
	switch {
	case low && high:
		return ""
	case high:
		return " (at least " + write(i.Lo) + ")"
	case low:
		return " (at most " + write(i.Hi) + ")"
	}
	return " (" + FromTo(i.Lo, i.Hi, write) + ")"
}

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
	d := a.d
	if a.upward {
		d.Answer = Finding{Code: NoInverse, Text: "No inverse square: the level rises with distance."}
		return
	}
	has := func(codes ...string) bool {
		for _, c := range d.Causes {
			for _, code := range codes {
				if c.Code == code {
					return true
				}
			}
		}
		return false
	}
	subject := "the inverse square holds"
	if !d.Settled {
		subject = "the inverse square seems to hold"
	}
	ambient := ""
	if has("ambient") && a.suspect == "" {
		subject = strings.Replace(subject, "the inverse square", "for the light by itself the inverse square", 1)
		switch at := d.AmbientFromM; {
		case at == nil || *at <= d.NearM:
			ambient = "; ambient light or bounce adds more than 1 % everywhere"
		case *at < d.FarM:
			ambient = "; ambient light or bounce adds more than 1 % beyond " + a.length(*at)
		}
	}
	from, code, text, exact := d.InverseSquareFromM, "", "", ", within 1 %"
	sure := *d.InverseSquareFromIntervalM
	switch {
	case has("origin_behind", "origin_ahead"):
		side := "behind"
		if a.law.OffsetM < 0 {
			side = "ahead of"
		}
		code = HoldsElsewhere
		text = fmt.Sprintf("%s with distances from %s %s the present zero; as they are measured, only from %s on", subject, a.length(math.Abs(a.law.OffsetM)), side, a.length(from))
	case from > d.NearM && a.best.misfit() > noLaw:
		code = HoldsUntold
		text, exact = "whether the inverse square holds cannot be told: no law fits these readings", ""
	// An interval that was stretched because nothing fits is no leave to say so.
	case from <= d.NearM, sure.Lo <= d.NearM && a.best.misfit() == 1:
		code = HoldsAllTheWay
		text = fmt.Sprintf("%s all the way, %s", subject, FromTo(d.NearM, d.FarM, a.length))
		switch {
		case a.best.shape == point && d.SourceRadiusIntervalM == nil:
			exact = ", as far as so few readings tell"
		case math.IsInf(sure.Hi, 1):
			exact = ", as far as these readings tell; to 1 % that is sure nowhere"
		case sure.Hi > d.NearM:
			exact = ", as far as these readings tell; to 1 % that is sure from " + a.length(sure.Hi) + " on"
		}
	case from <= d.FarM:
		code = HoldsFrom
		text = fmt.Sprintf("%s from %s on%s", subject, a.length(from), d.InverseSquareFromIntervalM.Format(a.length))
	default:
		code = HoldsBeyond
		text = fmt.Sprintf("%s only from %s on%s, farther than was read", subject, a.length(from), d.InverseSquareFromIntervalM.Format(a.length))
	}
	if a.suspect != "" {
		text = a.suspect + " is in doubt; with it " + text
	}
	d.Answer = Finding{Code: code, Text: upperFirst(text) + exact + ambient + "."}
}
