// Package plots turns a survey and its result into pictures and into the same
// map on a terminal.
//
// Every map of one survey has one Scale and one palette, whichever output draws
// it, so a color, a number or an isoline means the same on paper, on a page and in
// a terminal. Zero is the reference, and it is marked. Values are printed on the
// map and differ in sign, shape and line style as well as in color, so that a map
// can be read in gray and by color-blind readers. A field is drawn only inside the
// outline of the readings, and every picture has a text that describes it.
//
// The verdict, the places and the reference come from evenness.Result; they are not
// computed again. A Picture writes itself to an io.Writer as PNG, SVG or PDF.
package plots
