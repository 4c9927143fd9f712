// Package ratio compares the lights at a mark, where somebody stands: key to
// fill and the lighting ratio, every other light against the key, readings of
// lights together against their sum, the exposure and every area from it, flash
// beside continuous light, flicker, and what reaches a target.
//
// Analyze makes a Result of an Input. It swaps nothing and leaves nothing out:
// repeats are averaged, lamps of a role added, and what looks wrong is a warning.
// Differences are stops with their 95 % intervals, and a verdict is never surer
// than its interval.
package ratio
