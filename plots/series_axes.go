package plots

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// plotted makes a plotter of the plot library of a function.
type plotted func(c draw.Canvas, p *plot.Plot)

// Plot draws.
func (f plotted) Plot(c draw.Canvas, p *plot.Plot) { f(c, p) }

// drawPanel is drawOn for axes whose labels may stand next to the ends of the
// panel: room for those depends on the panel's size, so it is found in steps.
func drawPanel(p *plot.Plot, c draw.Canvas, data vg.Rectangle) {
	outer := vg.Rectangle{Min: data.Min.Sub(vg.Point{X: 120, Y: 80}), Max: data.Max.Add(vg.Point{X: 120, Y: 80})}
	for range 4 {
		inner := p.DataCanvas(draw.Canvas{Canvas: c.Canvas, Rectangle: outer})
		outer.Min = outer.Min.Add(data.Min.Sub(inner.Min))
		outer.Max = outer.Max.Add(data.Max.Sub(inner.Max))
	}
	p.Draw(draw.Canvas{Canvas: c.Canvas, Rectangle: outer})
}

// gridOf draws a thin line at each labelled tick of a plot's axes.
type gridOf struct{ of *plot.Plot }

// Plot draws.
func (g gridOf) Plot(c draw.Canvas, p *plot.Plot) {
	trX, trY := p.Transforms(&c)
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		if x := trX(t.Value); t.Label != "" && x > c.Min.X+2 {
			c.StrokeLine2(gridLine, x, c.Min.Y, x, c.Max.Y)
		}
	}
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		if y := trY(t.Value); t.Label != "" && y > c.Min.Y+2 { // the axes lie there
			c.StrokeLine2(gridLine, c.Min.X, y, c.Max.X, y)
		}
	}
}

// logTicks marks a logarithmic axis at round figures, as many with a label as
// find room. scale is how many of the axis's units a printed unit is.
type logTicks struct {
	scale  float64
	text   func(v float64) string
	pixels float64 // length of the axis
	room   float64 // least distance of two labels in pixels
}

// Ticks are the ticks between two values.
func (t logTicks) Ticks(lo, hi float64) []plot.Tick {
	lo, hi = lo/t.scale, hi/t.scale
	perDecade := t.pixels / math.Log10(hi/lo)
	// The richest set of labels whose nearest two still have room.
	labels := []float64{1}
	for _, set := range [][]float64{{1, 3}, {1, 2, 5}, {1, 1.5, 2, 3, 5, 7}, {1, 1.2, 1.4, 1.6, 1.8, 2, 2.5, 3, 3.5, 4, 4.5, 5, 6, 7, 8, 9}} {
		nearest := math.Inf(1)
		for i, v := range set {
			next := 10 * set[0]
			if i+1 < len(set) {
				next = set[i+1]
			}
			nearest = math.Min(nearest, math.Log10(next/v))
		}
		if nearest*perDecade >= t.room {
			labels = set
		}
	}
	var ticks []plot.Tick
	for k := math.Floor(math.Log10(lo)); k <= math.Log10(hi); k++ {
		decade := math.Pow(10, k)
		for _, v := range labels {
			if at := v * decade; at >= lo*(1-1e-9) && at <= hi*(1+1e-9) {
				ticks = append(ticks, plot.Tick{Value: at * t.scale, Label: t.text(at)})
			}
		}
		for v := 1.0; v < 10; v++ {
			if at := v * decade; at >= lo && at <= hi {
				ticks = append(ticks, plot.Tick{Value: at * t.scale})
			}
		}
	}
	return ticks
}

// unlabelled keeps the ticks of another axis without its labels; a space holds
// their place for the grid.
type unlabelled struct{ of plot.Ticker }

// Ticks are the ticks between two values.
func (u unlabelled) Ticks(lo, hi float64) []plot.Tick {
	ticks := u.of.Ticks(lo, hi)
	for i := range ticks {
		if ticks[i].Label != "" {
			ticks[i].Label = " "
		}
	}
	return ticks
}

// stopTicks marks a logarithmic axis at whole stops from a level, or at half
// stops where it spans few.
type stopTicks struct {
	from   float64
	text   func(stops float64) string
	pixels float64
}

// Ticks are the ticks between two values.
func (t stopTicks) Ticks(lo, hi float64) []plot.Tick {
	per := 1.0
	if math.Log2(hi/lo) < 3 {
		per = 2
	}
	first, last := int(math.Ceil(per*math.Log2(lo/t.from)-1e-9)), int(math.Floor(per*math.Log2(hi/t.from)+1e-9))
	step := 1
	for float64(last-first)/float64(step)*26 > t.pixels {
		step++
	}
	var ticks []plot.Tick
	for k := first; k <= last; k++ {
		stops := float64(k) / per
		tick := plot.Tick{Value: t.from * math.Exp2(stops)}
		if k%step == 0 {
			tick.Label = t.text(stops)
		}
		ticks = append(ticks, tick)
	}
	return ticks
}

// evenTicks marks an axis about zero at even steps that have room.
type evenTicks struct{ pixels, room float64 }

// Ticks are the ticks between two values.
func (t evenTicks) Ticks(lo, hi float64) []plot.Tick {
	step, decimals := roundStep((hi - lo) * t.room / t.pixels)
	var ticks []plot.Tick
	for i := math.Ceil(lo/step - 1e-9); i*step <= hi+1e-9*step; i++ {
		ticks = append(ticks, plot.Tick{Value: i * step, Label: signed(i*step, decimals)})
	}
	return ticks
}

// tickText prints a round figure.
func tickText(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
