package plots

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
)

// minMentionedStops is the smallest difference that a text alternative mentions:
// the tenth of a stop that a meter shows.
const minMentionedStops = 0.1

// altText describes a map for those who cannot see it: its title, the verdict, the
// brightest and darkest points, and the trend.
func (c *mapValues) altText(feet bool, unit photometry.Unit) string {
	var b strings.Builder
	of := kinds[c.kind].of
	if c.isDifference() {
		of = "the change of " + of
	}
	fmt.Fprintf(&b, "Map of %s over a surface: %s. %s.", of, c.describeCounts(feet), c.describeVerdict())
	c.altExtremes(&b, feet, unit)
	if c.kind == Level {
		c.altTrend(&b, feet)
	}
	if c.kind == Level && len(c.result.Suspects) > 0 {
		var names []string
		for _, s := range c.result.Suspects {
			names = append(names, cleanText(s.Label+" ("+s.Found+")"))
		}
		fmt.Fprintf(&b, " To read again: %s.", firstOf(names))
	}
	if text := c.describeBounds(feet); text != "" {
		fmt.Fprintf(&b, " %s.", capitalize(text))
	}
	if len(c.result.LeftOut) > 0 {
		fmt.Fprintf(&b, " Left out as suspect: %s.", c.describeLeftOut(feet))
	}
	return b.String()
}

// altExtremes describes the points with the highest and lowest value.
func (c *mapValues) altExtremes(b *strings.Builder, feet bool, unit photometry.Unit) {
	if c.survey.Len() < 2 {
		return
	}
	high, low := c.extremes()
	if c.values[high] == c.values[low] {
		b.WriteString(" All readings are equal.")
		return
	}
	zero, _, _ := strings.Cut(c.describeZero(photometry.NoUnit), ", ") // without its level
	one := func(name string, i int) string {
		text := name + " at " + c.pointName(i, feet)
		if where := describeRegion(c.survey.Extent, c.survey.X[i], c.survey.Y[i]); where != "" {
			text += " (" + where + ")"
		}
		v, _ := c.at(i)
		if c.kind != Level {
			return text + ", " + c.kind.formatShift(v)
		}
		if finite(v) {
			text += ", " + formatStops(v) + either(v < 0, " below ", " above ") + zero
		}
		if !c.isDifference() {
			text += ", " + c.formatLevel(c.values[i], unit)
		}
		return text
	}
	highest, lowest := c.extremeNames()
	fmt.Fprintf(b, " %s; %s.", capitalize(one(highest, high)), one(lowest, low))
}

func capitalize(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// altTrend describes in which direction the surface gets brighter, where the
// difference across it is large enough to mention.
func (c *mapValues) altTrend(b *strings.Builder, feet bool) {
	t, e := c.result.Trend, c.survey.Extent
	if t == nil {
		return
	}
	var ways []string
	per, unit := lengthScale(feet), either(feet, "a foot", "a meter")
	tilt := func(slope *float64, size float64, positive, negative string) {
		if slope == nil || math.Abs(*slope*size) < minMentionedStops {
			return
		}
		ways = append(ways, fmt.Sprintf("toward %s by %s %s", either(*slope < 0, negative, positive), formatStops(*slope*per), unit))
	}
	tilt(t.TiltX, e.Width(), "camera right", "camera left")
	tilt(t.TiltY, e.Height(), "the top", "the bottom")
	if len(ways) > 0 {
		fmt.Fprintf(b, " It grows brighter %s.", strings.Join(ways, " and "))
	}
	if t.Curvature != nil && math.Abs(*t.Curvature) >= minMentionedStops {
		fmt.Fprintf(b, " The middle is %s %s than the edges.", formatStops(*t.Curvature), either(*t.Curvature < 0, "darker", "brighter"))
	}
}
