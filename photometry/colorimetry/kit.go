package colorimetry

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// FullConversion is the shift of a full CTO or CTB in mired: from 5500 K to
// 3200 K, 10⁶/3200 − 10⁶/5500 = 130.68. The fractions are in proportion (common
// practice, no source).
const FullConversion = 130.7

// fractions of a full gel in which conversion and green gels are cut.
var fractions = []struct {
	word  string
	share float64
}{
	{"full", 1}, {"three-quarter", 0.75}, {"half", 0.5}, {"quarter", 0.25}, {"eighth", 0.125},
}

// NominalKit returns the gels that a set is expected to have, by the trade's
// nominal figures and no maker's: CTO, CTB, plus green and minus green, each in
// full, ¾, ½, ¼ and ⅛ (±130.7 mired and CC30 in full, in proportion below), and
// ND 0.15, 0.3, 0.45, 0.6 and 0.9. All are marked Nominal. Their losses are
// those of the filter models, two surfaces included: 0.8 stop for a full CTO in
// daylight, 1.6 for a full CTB on tungsten, 0.8 for a full minus green and 0.4
// for a full plus green in daylight. Common practice, no source, reckons 2/3 to
// 1, 1 1/2 to 2, 2/3 and 1/3 to 1/2.
func NominalKit() []Gel {
	var kit []Gel
	for _, kind := range []struct {
		kind  Kind
		mired float64
		cc    CC
	}{
		{CTO, FullConversion, 0}, {CTB, -FullConversion, 0},
		{PlusGreen, 0, FullGreen}, {MinusGreen, 0, -FullGreen},
	} {
		for _, f := range fractions {
			kit = append(kit, Gel{
				Name:    f.word + " " + string(kind.kind),
				Kind:    kind.kind,
				Mired:   kind.mired * f.share,
				CC:      kind.cc * CC(f.share),
				Nominal: true,
			})
		}
	}
	for _, density := range []float64{0.15, 0.3, 0.45, 0.6, 0.9} {
		t := math.Pow(10, -density)
		kit = append(kit, Gel{Name: fmt.Sprint("ND ", density), Kind: ND, Transmittance: &t, Nominal: true})
	}
	return kit
}

// fractionWords are other ways to write the fractions of a gel.
var fractionWords = strings.NewReplacer("three quarter", "three-quarter", "3/4", "three-quarter", "¾", "three-quarter",
	"1/2", "half", "½", "half", "1/4", "quarter", "¼", "quarter", "1/8", "eighth", "⅛", "eighth", "-green", " green")

// NominalGel finds a gel of the nominal kit by its name, in any case and order of
// words: full CTO, CTO, half CTB, CTB 1/2, 1/4 minus green, ¾ CTO, ND 0.6. ok is
// false where there is none of that name.
func NominalGel(name string) (g Gel, ok bool) {
	words := func(name string) string {
		fields := strings.Fields(fractionWords.Replace(strings.ToLower(name)))
		fields = slices.DeleteFunc(fields, func(word string) bool { return word == "full" })
		slices.Sort(fields)
		return strings.Join(fields, " ")
	}
	asked := words(name)
	for _, g := range NominalKit() {
		if asked == words(g.Name) {
			g.Name = name
			return g, true
		}
	}
	return Gel{}, false
}

// InGelWords says a mired shift and a CC filter in the gels nearest to them by
// the trade's nominal figures: half CTB and quarter minus green. Less than half
// an eighth is left out; nothing at all is the empty string.
func InGelWords(shiftMired float64, cc CC) string {
	var words []string
	add := func(amount, full float64, less, more Kind) {
		kind := more
		if amount < 0 {
			kind = less
		}
		words = append(words, sheets(math.Abs(amount)/full, string(kind))...)
	}
	add(shiftMired, FullConversion, CTB, CTO)
	add(float64(cc), float64(FullGreen), MinusGreen, PlusGreen)
	return strings.Join(words, " and ")
}

// sheets names the full sheets and the one fraction nearest to an amount in
// units of full.
func sheets(amount float64, kind string) []string {
	const most = 8 // nobody stacks more, and words would not help
	var words []string
	whole := math.Min(math.Floor(amount), most)
	rest := math.Min(amount-whole, 1)
	best, bestOff := "", rest
	for _, f := range fractions {
		if off := math.Abs(rest - f.share); off < bestOff {
			best, bestOff = f.word, off
		}
	}
	if best == "full" {
		whole, best = whole+1, ""
	}
	switch {
	case whole == 1:
		words = append(words, "full "+kind)
	case whole > 1:
		words = append(words, [...]string{"two", "three", "four", "five", "six", "seven", "eight", "nine"}[int(whole)-2]+" full "+kind)
	}
	if best != "" {
		words = append(words, best+" "+kind)
	}
	return words
}
