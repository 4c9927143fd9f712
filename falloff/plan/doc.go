// Package plan is about light that is not there yet: lamps, frames of diffusion,
// bounces and flags in space, and the level and color that they give on a
// surface and at marks.
//
// A Scene is made of the rows of a table of lamps. It predicts a survey.Survey
// like a measured one, so that one analysis judges both; Solve chooses what the
// table leaves free; Against holds a prediction to readings and says which lamp
// they contradict; SweepFrame answers where to put the diffusion.
//
// The package is opinionated in these things. Area sources are integrated
// exactly where a closed form exists, their shadows by cutting the source's own
// outline as the receiver sees it, and everything else is refined until it
// stands within half a percent. A lamp behind a frame reaches the set through
// that frame only: what would pass beside it is taken as flagged off. Light that
// walls, floor and people throw back is not predicted; a bounce in the table is. A
// frame or a board sends on the light of the lamps named in its row alone: where
// others, boards among them, give it more than a tenth of that, a warning says so.
// A file of intensities shines from its luminous opening, without its depth.
// Figures of nominal materials are marked as such.
//
// Lengths are in meters in the coordinates of the surface: x to camera right, y
// up, z out of the surface toward the camera, origin at its lower left corner.
// Levels are in lx, or in lx·s where the table's note says “light: flash”.
package plan
