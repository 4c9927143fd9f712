// Package lamps finds what each lamp adds to the light of all of them together: as
// smooth shares over a surface, from a few places where each was read alone, and
// as factors of zero or more that make up a sum.
package lamps
