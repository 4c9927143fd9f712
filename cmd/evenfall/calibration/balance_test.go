package calibration

import (
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/falloff/balance"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// lit are the levels of each lamp at the places of the cloth.
func lit(lamps ...falloff.Source) [][]float64 {
	levels := make([][]float64, len(lamps))
	for j, lamp := range lamps {
		for i := range 45 {
			x, y := clothPlace(i)
			levels[j] = append(levels[j], lamp.Illuminance(vec(x, y, 0), vec(0, 0, 1)))
		}
	}
	return levels
}

// balanced reads lamps, by their levels, together and each alone at places of a grid, and
// counts where the true spread lies after trimming.
func balanced(r *rand.Rand, c *counts, columns int, levels [][]float64, places []int, repeatability float64) {
	var b strings.Builder
	fmt.Fprintf(&b, "# width: 4.8\n# height: 2.4\n# grid: %dx%d\n# repeatability: %v %%\nlamp,label,E (lx)\n", columns, len(levels[0])/columns, 100*repeatability)
	read := func(lamp string, i int, v float64) {
		fmt.Fprintf(&b, "%s,%s,%.6f\n", lamp, spatial.GridLabel(i%columns, i/columns), v*math.Exp(repeatability*r.NormFloat64()))
	}
	for i := range levels[0] {
		sum := 0.0
		for j := range levels {
			sum += levels[j][i]
		}
		read("", i, sum)
	}
	for j := range levels {
		for _, i := range places {
			read(lampName(j), i, levels[j][i])
		}
	}
	set, err := survey.ReadLampSet([]survey.LampInput{{Input: survey.Input{Name: "cloth.csv", Reader: strings.NewReader(b.String())}}}, survey.ReadOptions{})
	must(err)
	result, err := balance.Solve(context.Background(), set, balance.Options{})
	if err != nil || result.After.SpreadInterval == nil {
		return // a lamp of which nothing is seen
	}
	shares := make([]float64, len(levels))
	for j, name := range result.Lamps {
		shares[j] = result.Trims[name].Percent / 100
	}
	truth, in := balance.MinSpreadProblem{Maps: levels}.Spread(shares), result.After.SpreadInterval
	c.say("the spread after is more", truth > in[1])
	c.say("the spread after is less", truth < in[0])
	said := result.After.SpreadStops
	c.say(middleThird, truth > said-(said-in[0])/3 && truth < said+(in[1]-said)/3)
}

// middleThird is where an interval as wide as the normal law makes it has half of the
// truths, one of three standard deviations to each side 68 %, and one that is much too
// wide nearly all. It is stated of few readings a lamp.
const middleThird = "the spread after in the middle third of its interval"

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func drawBeam(r *rand.Rand) falloff.Source { return beamOf(r, 5_000+20_000*r.Float64()) }

// drawUnequal is a beam of which another may have twenty times the light.
func drawUnequal(r *rand.Rand) falloff.Source { return beamOf(r, 25_000*math.Pow(20, -r.Float64())) }

func beamOf(r *rand.Rand, lumens float64) falloff.Source {
	at := vec(-1.5+7.8*r.Float64(), -0.5+3.4*r.Float64(), 2+2*r.Float64())
	beam, err := falloff.NewBeam(at, r3.Sub(vec(1+2.8*r.Float64(), 0.6+1.2*r.Float64(), 0), at), lumens, 60+40*r.Float64())
	must(err)
	return beam
}

// drawPanel is near enough to have no simple shape.
func drawPanel(r *rand.Rand) falloff.Source {
	at := vec(-1.5+7.8*r.Float64(), -0.5+3.4*r.Float64(), 1.5+2*r.Float64())
	panel, err := falloff.Rectangle(at, r3.Sub(vec(1+2.8*r.Float64(), 1.2, 0), at), vec(0, 1, 0), 0.5+r.Float64(), 0.5+r.Float64(), 2000+6000*r.Float64())
	must(err)
	return panel
}

// flagged is a lamp that a flag takes half of on one side of a soft edge.
type flagged struct {
	falloff.Source
	x, width float64
}

func (f flagged) Illuminance(at, normal r3.Vec) float64 {
	return f.Source.Illuminance(at, normal) * (0.75 + 0.25*math.Tanh((at.X-f.x)/f.width))
}

func drawFlagged(r *rand.Rand) falloff.Source {
	if r.IntN(3) > 0 {
		return drawBeam(r)
	}
	return flagged{drawBeam(r), 4.8 * r.Float64(), 0.3 + 0.5*r.Float64()}
}

// drawShadowed is behind a flag whose shadow has an edge as sharp as the places are
// apart, mostly between those read alone.
func drawShadowed(r *rand.Rand) falloff.Source {
	if r.IntN(3) > 0 {
		return drawBeam(r)
	}
	return flagged{drawBeam(r), 4.8 * r.Float64(), 0.1}
}

// ofBalance are lamps trimmed by readings.
func ofBalance() []simulation {
	most := map[string]float64{"the spread after is more": 0.025, "the spread after is less": 0.025}
	few := withRate(maps.Clone(most), 0.7, middleThird)
	of := func(generator string, short, full int, draw func(r *rand.Rand) falloff.Source, places []int) simulation {
		stated := most
		if len(places) < len(everywhere) {
			stated = few
		}
		return simulation{subject: "lamps trimmed by readings", generator: generator, short: short, full: full, most: stated, said: 0.8, draw: func(r *rand.Rand, c *counts) {
			var lamps []falloff.Source
			for range 2 + r.IntN(3) {
				lamps = append(lamps, draw(r))
			}
			balanced(r, c, 9, lit(lamps...), places, 0.005+0.02*r.Float64())
		}}
	}
	// exact are lamps of which the trims could fool the interval.
	exact := func(generator string, columns int, levels [][]float64) simulation {
		return simulation{subject: "lamps trimmed by readings", generator: generator, short: 60, full: 2000, most: most, draw: func(r *rand.Rand, c *counts) {
			balanced(r, c, columns, levels, everywhere[:len(levels[0])], scatter)
		}}
	}
	// shadowed are lamps outside what the interval assumes: shares that change between
	// the places read.
	shadowed := func(s simulation, rate float64) simulation {
		s.subject += ", a shadow between the places read"
		s.most = withRate(maps.Clone(few), rate, "the spread after is more")
		return s
	}
	same := slices.Repeat([]float64{500}, 9)
	five, six, nine := []int{0, 8, 22, 36, 44}, []int{10, 13, 16, 28, 31, 34}, []int{0, 4, 8, 18, 22, 26, 36, 40, 44}
	twin := drawBeam(rand.New(rand.NewPCG(51, 52)))
	return []simulation{
		of("beams, each alone everywhere", 40, 1500, drawBeam, everywhere),
		exact("twins", 9, lit(twin, twin, twin)),
		exact("as many lamps as places", 3, [][]float64{{400, 150, 100}, {100, 420, 150}, {80, 100, 390}}),
		exact("even lamps", 3, [][]float64{same, same, same, same}),
		exact("mirrored lamps", 5, [][]float64{{300, 250, 200, 150, 100}, {100, 150, 200, 250, 300}}),
		of("beams, each alone at five places", 8, 400, drawBeam, five),
		of("beams, each alone at six places within", 8, 400, drawBeam, six),
		of("beams, each alone at nine places", 8, 400, drawBeam, nine),
		of("panels, each alone at five places", 8, 400, drawPanel, five),
		of("panels, each alone at nine places", 8, 400, drawPanel, nine),
		of("beams of up to 1 to 20, each alone at nine places", 8, 400, drawUnequal, nine),
		shadowed(of("beams, some behind a soft flag, each alone at nine places", 8, 400, drawFlagged, nine), 0.08),
		shadowed(of("beams, some behind a flag with a sharp edge, each alone at nine places", 8, 400, drawShadowed, nine), 0.12),
	}
}
