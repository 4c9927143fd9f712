// Package lamps finds what each lamp adds to the light of all of them together: as
// smooth shares over a surface, from a few places where each was read alone, and
// as factors of zero or more that make up a sum.
//
// It promises that shares are positive and add up to 1 at each place, and that factors
// are never negative but for those that are said to have a sign. Shares and factors have
// no unit; levels are in any one unit.
package lamps
