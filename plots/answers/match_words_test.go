package answers

import (
	"testing"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// What two days' tables and readings differ in, in either reader's units.
func TestMatchWords(t *testing.T) {
	us := document.Words{Unit: photometry.FC, Feet: true}
	lux := func(v float64) photometry.Level { return photometry.Level{Value: v} }
	words := func(what, from, to string) photometry.Finding {
		return photometry.Found("change.words", "lamp", "left", "what", what, "from", from, "to", to)
	}
	moved := photometry.Found("change.moved", "lamp", "left", "by", photometry.Length(0.5), "right", photometry.Length(0.3048), "up", photometry.Length(0), "away", photometry.Length(-0.4))
	by := photometry.Found("match.by_how_much", "lamp", "left", "stops", photometry.Stop(-1), "percent", photometry.Percentage(50), "low", photometry.Percentage(48.9), "high", photometry.Percentage(51.2), "because", nil)
	for _, c := range []struct {
		w    document.Words
		of   photometry.Finding
		want string
	}{
		{SI, words("gel", "quarter CTO", ""), "left had gel “quarter CTO” and has none today."},
		{SI, words("scrims", "", "double"), "left has scrims “double” today and had none."},
		{SI, words("trim", "4.2", "4.0"), "left: trim “4.2” the day before, “4.0” today."},
		{SI, moved, "left stands 0.5 m from where it stood: 0.3 m toward camera right, 0.4 m toward the surface."},
		{us, moved, "left stands 1.64 ft from where it stood: 1 ft toward camera right, 1.31 ft toward the surface."},
		{us, photometry.Found("change.number", "lamp", "left", "what", "source width", "from", photometry.Length(0.3048), "to", ""), "left: source width 1 ft the day before, not written down today."},
		{SI, photometry.Found("change.turned", "lamp", "top", "right", photometry.Degrees(5), "up", photometry.Degrees(-0.5)), "top aims 5° toward camera right and 0.5° down against the day before."},
		{SI, photometry.Found("change.setting", "key", "target K", "from", "5600 K", "to", ""), "target K: 5600 K the day before, not given today."},
		{SI, by, "That is 1.0 stop up: it gives 50 % of what it gave the day before (95 % CI 48–52)."},
		{us, photometry.Found("match.one_lamp", "lamp", "left", "place", photometry.Point{Label: "A1"}, "level", lux(photometry.Lux(100)), "today", lux(photometry.Lux(50)), "trim", by),
			"left alone, the others off, at A1: set it to 100 fc; today it gives about 50.0 fc there. That is 1.0 stop up: it gives 50 % of what it gave the day before (95 % CI 48–52)."},
		{SI, photometry.Found("match.mark.one_lamp", "light", "chair key", "change", photometry.Stop(-1), "today", lux(400), "before", lux(800)), "chair key: bring it up by 1.0 stop, from 400 lx to 800 lx."},
		{SI, photometry.Found("match.side.find_lamp", "right", photometry.Stop(-0.5)), "Camera right lost 0.5 stop against camera left: look at the lamp that lights it (aim, dimmer, scrim, gel)."},
		{SI, photometry.Found("match.read_again", "places", []string{"A1", "A2", "A3", "A4", "A5"}), "Read A1, A2, A3 and 2 more again first: excluded here."},
	} {
		if got := Sentence(c.w, c.of); got != c.want {
			t.Errorf("%s: %q, want %q", c.of.Key, got, c.want)
		}
	}
}
