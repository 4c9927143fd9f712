// Package dimmer turns a few readings of a lamp over its own dimmer into the setting for
// a wanted level: a monotone curve through them, with what scatter and the gaps between
// the rows leave open, the color at a setting, what is left above and below, the lowest
// setting without flicker and how far the dial is from linear.
//
// A caller may rely on a curve that never falls, passes through the means of the rows
// (those that fall within their scatter are put together) and says nothing beyond them.
package dimmer
