// Package steps makes one list of what to do from every result that a folder gives of
// a surface and its lamps: readings to take again, gels, lamps to restore or trim,
// marks, and the reading that proves it. It promises that no two steps contradict each
// other, that none asks a lamp for more than it has, and that each says by which
// reading it is proved and what spread it leaves. It computes the steps; their words
// are in plots/answers.
package steps
