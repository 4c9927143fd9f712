package plots

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// newPlot is an empty plot in the style of the pictures.
func newPlot() *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil // the picture has its own
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font = style(18, false, ink, 0, 0).Font
		a.Label.TextStyle.Color = ink
		a.Label.Padding = 6
		a.Tick.Label.Font = style(17, false, ink, 0, 0).Font
		a.Tick.Label.Color = ink
		a.Tick.Length = 7
		a.Tick.Width, a.Tick.Color = 1.2, ink
		a.Width, a.Color = 1.2, ink
		a.Padding = 0
	}
	return p
}

// drawOn draws a plot so that its data fill a rectangle, with the axes outside it.
func drawOn(p *plot.Plot, c draw.Canvas, data vg.Rectangle) {
	trial := draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{
		Min: vg.Point{X: data.Min.X - 200, Y: data.Min.Y - 200},
		Max: vg.Point{X: data.Max.X + 200, Y: data.Max.Y + 200},
	}}
	inner := p.DataCanvas(trial)
	p.Draw(draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{
		Min: vg.Point{X: data.Min.X - (inner.Min.X - trial.Min.X), Y: data.Min.Y - (inner.Min.Y - trial.Min.Y)},
		Max: vg.Point{X: data.Max.X + (trial.Max.X - inner.Max.X), Y: data.Max.Y + (trial.Max.Y - inner.Max.Y)},
	}})
}

// lengthTicks marks an axis of meters at even steps of meters or feet, about a
// hundred pixels apart.
type lengthTicks struct {
	feet   bool
	pixels float64 // length of the axis
}

func (t lengthTicks) Ticks(lo, hi float64) []plot.Tick {
	unit := 1.0
	if t.feet {
		unit = metersPerFoot
	}
	span := (hi - lo) / unit
	step, decimals := roundStep(span * 90 / math.Max(t.pixels, 180))
	var ticks []plot.Tick
	for i := math.Ceil(lo/unit/step - 1e-9); i*step <= hi/unit+1e-9*step; i++ {
		ticks = append(ticks, plot.Tick{Value: i * step * unit, Label: strconv.FormatFloat(i*step+0, 'f', decimals, 64)})
	}
	return ticks
}

// roundStep is the smallest of 1, 2, 5 times a power of ten that is at least as
// large as wanted, and how many decimals its multiples need.
func roundStep(wanted float64) (step float64, decimals int) {
	step = math.Pow(10, math.Floor(math.Log10(wanted)))
	for _, k := range []float64{1, 2, 5, 10} {
		if k*step >= wanted*(1-1e-9) {
			step *= k
			break
		}
	}
	return step, max(0, -int(math.Floor(math.Log10(step)+1e-9)))
}
