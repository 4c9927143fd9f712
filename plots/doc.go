// Package plots turns a survey and its result into pictures and into the same
// map on a terminal.
//
// A caller may rely on this: every map of one survey has one Scale and one
// palette, whichever face draws it, so a color, a number or an isoline means
// the same on paper, on a page and in a terminal. Zero is the reference, and
// it is marked. Numbers stand on the map and differ in sign, shape and line
// style as well as in color, so that a map still reads in gray and for
// color-blind readers. A field is drawn inside the outline of the readings
// only, and every picture says in words how it was made.
//
// Nothing is computed twice: the verdict, the places and the reference come
// from survey.Result. Nothing is written to disk: a Picture writes itself to
// an io.Writer as PNG, SVG or PDF.
package plots
