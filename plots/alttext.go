package plots

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
)

// noticeable is the smallest difference in stops that a text alternative
// mentions: the tenth that a meter shows.
const noticeable = 0.1

// alt says what a map shows: what of, the verdict, the two ends and the trend.
func (c *column) alt(feet bool, unit photometry.Unit) string {
	var b strings.Builder
	what := map[Kind]string{Level: "light levels", Mired: "warm and cool light", Duv: "green and magenta light"}[c.kind]
	fmt.Fprintf(&b, "Map of %s over a surface: %s. %s.", what, c.counts(feet), c.headline())
	c.altExtremes(&b, feet, unit)
	if c.kind == Level {
		c.altTrend(&b, feet)
	}
	if n := len(c.result.Suspects); c.kind == Level && n > 0 {
		names := make([]string, 0, 3)
		for _, s := range c.result.Suspects[:min(n, 3)] {
			names = append(names, tidy(s.Label+" ("+s.Found+")"))
		}
		list := strings.Join(names, ", ")
		if n > 3 {
			list += fmt.Sprintf(" and %d more", n-3)
		}
		fmt.Fprintf(&b, " To read again: %s.", list)
	}
	return b.String()
}

// altExtremes tells the two ends of the scale.
func (c *column) altExtremes(b *strings.Builder, feet bool, unit photometry.Unit) {
	if c.survey.Len() < 2 {
		return
	}
	high, low := c.extremes()
	highName, lowName := c.kind.extremeNames()
	if c.values[high] == c.values[low] {
		b.WriteString(" All readings are equal.")
		return
	}
	one := func(name string, i int) string {
		text := name + " at " + c.name(i, feet)
		if where := whereabouts(c.survey.Extent, c.survey.X[i], c.survey.Y[i]); where != "" {
			text += " (" + where + ")"
		}
		v, _ := c.at(i)
		switch c.kind {
		case Level:
			level := formatRounded(c.values[i], c.survey.Quantity, unit)
			if finite(v) {
				text += fmt.Sprintf(", %s, %s", stopsFrom(v, c.zeroName()), level)
			} else {
				text += ", " + level
			}
		case Mired:
			text += ", " + signed(v, 0) + " mired"
		case Duv:
			text += ", Duv shift " + signed(v, 4)
		}
		return text
	}
	fmt.Fprintf(b, " %s; %s.", capital(one(highName, high)), one(lowName, low))
}

// zeroName is what zero stands for, without its figure.
func (c *column) zeroName() string {
	name, _, _ := strings.Cut(c.zero(photometry.NoUnit), ", ")
	return name
}

func stopsFrom(stops float64, what string) string {
	side := "above"
	if stops < 0 {
		side = "below"
	}
	return stopsText(stops) + " " + side + " " + what
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// altTrend tells which way the surface grows brighter, where it is noticeable
// from side to side.
func (c *column) altTrend(b *strings.Builder, feet bool) {
	t, e := c.result.Trend, c.survey.Extent
	if t == nil {
		return
	}
	var ways []string
	per, unit := 1.0, "a meter"
	if feet {
		per, unit = metersPerFoot, "a foot"
	}
	tilt := func(slope *float64, size float64, positive, negative string) {
		if slope == nil || math.Abs(*slope*size) < noticeable {
			return
		}
		way := positive
		if *slope < 0 {
			way = negative
		}
		ways = append(ways, fmt.Sprintf("toward %s by %s %s", way, stopsText(*slope*per), unit))
	}
	tilt(t.TiltX, e.Width(), "camera right", "camera left")
	tilt(t.TiltY, e.Height(), "the top", "the bottom")
	if len(ways) > 0 {
		fmt.Fprintf(b, " It grows brighter %s.", strings.Join(ways, " and "))
	}
	if t.Bow != nil && math.Abs(*t.Bow) >= noticeable {
		side := "brighter"
		if *t.Bow < 0 {
			side = "darker"
		}
		fmt.Fprintf(b, " The middle is %s %s than the edges.", stopsText(*t.Bow), side)
	}
}
