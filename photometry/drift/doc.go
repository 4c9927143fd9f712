// Package drift finds how a light changed while it was read, by repeat readings of one
// place, and brings what was read meanwhile to how the light was left.
//
// It promises that a change is taken out only with its uncertainty: all shapes that the
// readings allow are kept, and between two readings that no shape explains the light is
// anywhere between them. A light that swings faster than the reference was read is not
// seen.
package drift
