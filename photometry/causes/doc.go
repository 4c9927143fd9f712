// Package causes says why a surface is uneven, what to change, and what that will
// bring, by physical models of the lamps and of what is wrong.
//
// What the package is opinionated about:
//
//   - A cause is a part of a model with few parameters that was fitted to all readings:
//     even light, two equal lamps, two unequal ones or one, with light from beyond an
//     edge, a patch of light or shadow, an edge or corner in shadow, a light that changed
//     during the walk, or one reading that is off. Models are weighed by their evidence.
//   - It is named alone only where hardly anything else explains the readings; else
//     with its rivals, and with the one reading or switch that tells them apart. Where
//     nothing is supported, nothing is named.
//   - A change comes with the spread that it will bring, in an interval.
//   - The same readings have the same answer: draws are seeded by them.
//
// How often causes and predictions are right is held to simulations of lamps and
// shadows that know nothing of these models.
package causes

// Explanation is why a surface is uneven, the first cause first; empty where nothing
// is supported.
type Explanation struct {
	Causes []Cause
}

// Find looks for the causes of a surface's unevenness. Fewer than five places, or
// places on one line, support none.
func Find(in Surface) Explanation {
	s := newShape(in)
	if s == nil {
		return Explanation{}
	}
	fits := s.explain()
	likely := s.likely(fits)
	causes := s.named(fits, likely)
	w := s.view(in.Frame, in.Extent)
	for k := range causes {
		c := &causes[k]
		c.Test = s.test(in, *c, fits)
		if change, ok := s.change(*c, likely, w, in.Tolerance); ok {
			c.Change = &change
		}
	}
	return Explanation{causes}
}
