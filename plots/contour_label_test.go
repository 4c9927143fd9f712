package plots

import (
	"slices"
	"testing"

	"gonum.org/v1/plot/vg"

	"evenfall/photometry/spatial"
	"evenfall/plots/mesh"
)

// The label of a contour that has room between the readings stands there, not half beside
// its end on what was not read: here the upper right corner, toward which the light falls.
func TestContourLabelsStandBetweenReadings(t *testing.T) {
	s := scattered([]float64{0.8, 2.4, 0.8, 2.4, 4, 0.8, 2.4, 4}, []float64{2, 2, 1.2, 1.2, 1.2, 0.4, 0.4, 0.4}, []float64{1000, 800, 1100, 960, 690, 1000, 1005, 890})
	s.Extent, s.Settings.Sized = spatial.Box{X1: 4.8, Y1: 2.4}, true
	c, err := newMapValues(resultOf(s), Level)
	if err != nil {
		t.Fatal(err)
	}
	m := &surfaceMap{mapValues: c, scale: c.scale(), look: fullMap}
	m.field, _ = newField(c, m.scale)
	m.setExtent()
	m.layOut("")
	perMeter := m.data.Size().X / vg.Length(m.box.Width())
	at := func(x, y float64) vg.Point {
		return m.data.Min.Add(vg.Point{X: vg.Length(x - m.box.X0), Y: vg.Length(y - m.box.Y0)}.Scale(perMeter))
	}
	drawn := contour{Edge: m.scale.Edges()[0]}
	for _, chain := range m.field.mesh.Isolines(drawn.Value) {
		drawn.lines = append(drawn.lines, placed(chain, at))
	}
	outline := placed(append(m.field.outline, m.field.outline[0]), at)
	labels := m.placeNumbers(m.data, nil, append(drawn.lines, outline), nil, nil, []contour{drawn}, func(i int) vg.Point { return at(s.X[i], s.Y[i]) })
	labels = slices.DeleteFunc(labels, func(l placedNumber) bool { return l.text != "limit" })
	if len(labels) != 1 {
		t.Fatalf("%d labels on %d lines", len(labels), len(drawn.lines))
	}
	middle := labels[0].at.Sub(m.data.Min).Scale(1 / perMeter)
	for _, off := range []float64{-0.09, 0.09} { // m, half of the label
		if x, y := m.box.X0+float64(middle.X)+off, m.box.Y0+float64(middle.Y); !mesh.Inside(m.field.outline, x, y) {
			t.Errorf("%q at %.2f, %.2f m reaches beyond the readings", labels[0].text, x-off, y)
		}
	}
}
