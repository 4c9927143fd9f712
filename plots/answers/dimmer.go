package answers

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/plots"
	"evenfall/plots/document"
)

// Dimmer shows what the dimmers of some lamps do: the setting for what is wanted first.
func Dimmer(r *dimmer.Result, dialect string, w document.Words, full bool) *document.Document {
	p := newPage(w, full)
	wanted := 0
	for _, l := range r.Lamps {
		if l.Setting != nil {
			p.settled(r.Settled, "SET", Capital(p.settingText(l)))
			wanted++
		}
	}
	if wanted == 0 {
		p.headline("DIMMER", "", DimmerSummary(r))
	}
	var each document.Lines
	for _, l := range r.Lamps {
		lines := p.dimmerLines(l)
		switch {
		case len(r.Lamps) == 1 || l.Setting != nil:
			p.Add(lines)
		case wanted == 0:
			each = append(each, document.Line{Key: l.Name, Texts: texts(lines, func(line document.Line) string { return line.Key + " " + strings.Join(line.Texts, " ") })})
		}
	}
	if len(each) > 0 {
		p.Add(each)
	}
	p.findings("note", r.Warnings)
	p.cautions(r.Cautions)
	if p.full {
		p.dimmerTable(r)
		p.remarks("assumed", r.Inferred)
		p.Line("read", dialect)
	}
	p.dimmerPictures(r)
	return p.Document
}

// mostCurves is how many lamps have their dimmers drawn, each in a picture of its own.
const mostCurves = 40

// dimmerPictures draws the dimmer of each lamp that has a curve, of very many those that are set first.
func (p *page) dimmerPictures(r *dimmer.Result) {
	drawn, _ := part(r.Lamps, func(l *dimmer.Lamp) bool { return l.Curve != nil })
	if len(drawn) > mostCurves {
		slices.SortStableFunc(drawn, func(a, b *dimmer.Lamp) int {
			return cmp.Compare(either(a.Setting == nil, 1, 0), either(b.Setting == nil, 1, 0))
		})
		drawn = drawn[:mostCurves]
		p.Line("pictures", fmt.Sprintf("of %d lamps; --lamp with a setting draws another first", mostCurves))
	}
	taken := map[string]bool{}
	for _, l := range drawn {
		name, number := "dimmer", strconv.Itoa(slices.Index(r.Lamps, l)+1)
		if len(r.Lamps) > 1 {
			name += "-" + cmp.Or(document.FileStem(l.Name), number)
		}
		if taken[strings.ToLower(name)] { // alike but for signs that no name of a file has
			name += "-" + number
		}
		taken[strings.ToLower(name)] = true
		p.drawn(name, func(narrow bool) (*plots.Picture, error) {
			return plots.Dimmer(l, r.Date, Capital(p.linearText(l)), p.Unit, narrow), nil
		})
	}
}

// DimmerSummary is the range of each lamp's dimmer.
func DimmerSummary(r *dimmer.Result) string {
	return strings.Join(texts(r.Lamps, func(l *dimmer.Lamp) string {
		if l.Curve == nil {
			return l.Name + ": one setting read"
		}
		low, high := l.Curve.Range()
		return fmt.Sprintf("%s: %s from %.0f to %.0f %%", l.Name, photometry.FormatStops(l.RangeStops), low, high)
	}), "; ") + "."
}

// settingText is where to set a dimmer.
func (p *page) settingText(l *dimmer.Lamp) string {
	s := l.Setting
	from := known(s.FromPercent, func(v float64) string { return " from " + percent(v) })
	return fmt.Sprintf("set %s%s to %s (%s), for %s. If the dial were linear: %s.", l.Name, from, percent(s.Percent), dialInterval(s.Interval),
		p.Level(photometry.Level{Value: s.Level, Quantity: l.Quantity}), percent(s.LinearPercent))
}

// dialInterval is the 95 % interval of a setting.
func dialInterval(i [2]float64) string {
	digits := 0
	if i[0] < 9.95 || math.Round(i[0]) == math.Round(i[1]) {
		digits = 1
	}
	return fmt.Sprintf("95 %% CI %.*f–%.*f %%", digits, i[0], digits, i[1])
}

// dimmerLines are the lines of one lamp.
func (p *page) dimmerLines(l *dimmer.Lamp) document.Lines {
	color, left := "", ""
	if s := l.Setting; s != nil {
		color = p.settingColor(s)
		left = fmt.Sprintf("%s more up to the highest setting read, %s less down to the lowest.", photometry.FormatStops(*l.AboveStops), photometry.FormatStops(*l.BelowStops))
	}
	all := document.Lines{{Key: "color", Texts: []string{color}}, {Key: "left", Texts: []string{left}}, {Key: "dial", Texts: []string{either(l.Curve != nil, p.linearText(l), "")}},
		{Key: "flicker", Texts: []string{p.flickerText(l)}}, {Key: "note", Texts: Sentences(p.Words, l.Warnings)}}
	return slices.DeleteFunc(all, func(line document.Line) bool { return strings.Join(line.Texts, "") == "" })
}

// settingColor is the color at a setting with its 95 % interval.
func (p *page) settingColor(s *dimmer.Setting) string {
	return known(s.Kelvin, func(k float64) string {
		return fmt.Sprintf("%.0f K (95 %% CI %.0f–%.0f K)", k, s.KelvinInterval[0], s.KelvinInterval[1]) +
			known(s.Duv, func(duv float64) string {
				return fmt.Sprintf(", Duv %s (%s to %s)", signed(duv, 4), signed(s.DuvInterval[0], 4), signed(s.DuvInterval[1], 4))
			}) +
			known(s.Mired, func(m float64) string {
				return fmt.Sprintf(", %s mired against %s", signed(m, 0), percent(*s.FromPercent))
			}) + "."
	})
}

// linearText is how far the dial is from linear.
func (p *page) linearText(l *dimmer.Lamp) string {
	if l.OffLinear == nil || math.Abs(*l.OffLinear) < 0.05 {
		return "linear within 0.05 stop."
	}
	return fmt.Sprintf("up to %s a linear dial, at %s.", overUnder(*l.OffLinear), percent(*l.OffLinearAt))
}

func (p *page) flickerText(l *dimmer.Lamp) string {
	switch free, at := l.FlickerFreeFrom, l.FlickerAt; {
	case free == nil && at == nil:
		return ""
	case free == nil:
		return fmt.Sprintf("seen at %s, the highest setting looked at.", percent(*at))
	case at == nil:
		return fmt.Sprintf("none seen from %s on, the lowest setting looked at.", percent(*free))
	default:
		return fmt.Sprintf("none seen from %s on; seen at %s.", percent(*free), percent(*at))
	}
}

// dimmerTable is every reading.
func (p *page) dimmerTable(r *dimmer.Result) {
	rows := [][]string{{"lamp", "dimmer", "level", "K", "Duv", "flicker"}}
	for _, l := range r.Lamps {
		for _, q := range l.Points {
			rows = append(rows, []string{l.Name, percent(q.Percent), p.Level(photometry.Level{Value: q.Level, Quantity: l.Quantity}), Optional("%.0f", q.Kelvin), OptionalSigned(q.Duv, 4),
				known(q.Flickers, func(yes bool) string { return either(yes, "yes", "no") })})
		}
	}
	p.Add(document.Table{Rows: rows, Text: []int{0}})
}
