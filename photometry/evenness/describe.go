package evenness

import (
	"math"

	"evenfall/photometry"
	"evenfall/photometry/causes"
)

// finding makes one that may be said.
type finding func() photometry.Finding

// found is photometry.Found for a finding of which only one of several is made.
func found(key string, namesAndValues ...any) finding {
	return func() photometry.Finding { return photometry.Found(key, namesAndValues...) }
}

// place is where a cause is; it is about none where that is no reading.
func (r *Result) place(n causes.Name) (p photometry.Point) {
	if n.Place >= 0 {
		p = r.Survey.Point(n.Place)
	}
	return p
}

// named is a cause as a finding.
func (r *Result) named(n causes.Name, size photometry.Stop, darker bool) photometry.Finding {
	place, change := r.place(n), size
	if darker {
		change = -size
	}
	return map[string]finding{
		causes.SideBright:   found(causes.SideBright, "size", size, "bright", n.Side, "dark", map[string]string{"left": "right", "right": "left"}[n.Side]),
		causes.OneLamp:      found(causes.OneLamp, "size", size),
		causes.TopBright:    found(causes.TopBright, "size", size),
		causes.BottomBright: found(causes.BottomBright, "size", size),
		causes.EdgesBright:  found(causes.EdgesBright, "size", size),
		causes.MiddleBright: found(causes.MiddleBright, "size", size),
		causes.OtherLight:   found("surface.other_light", "size", size, "side", n.Side), // balance has one too
		causes.Bounce:       found(causes.Bounce, "size", size),
		causes.HotSpot:      found(causes.HotSpot, "size", size, "place", place),
		causes.DarkSpot:     found(causes.DarkSpot, "size", size, "place", place),
		causes.Shadow:       found(causes.Shadow, "size", size, "side", n.Side),
		causes.Drift:        found(causes.Drift, "change", change),
		causes.OneReading:   found(causes.OneReading, "size", size, "place", place, "darker", darker),
	}[n.Code]()
}

// rival is a cause as a phrase in the sentence of another.
func (r *Result) rival(n causes.Name) photometry.Finding {
	place := r.place(n)
	return map[string]finding{
		causes.SideBright:   found("rival.side_bright", "bright", n.Side),
		causes.OneLamp:      found("rival.one_lamp"),
		causes.TopBright:    found("rival.top_bright"),
		causes.BottomBright: found("rival.bottom_bright"),
		causes.EdgesBright:  found("rival.edges_bright"),
		causes.MiddleBright: found("rival.middle_bright"),
		causes.OtherLight:   found("rival.other_light", "side", n.Side),
		causes.Bounce:       found("rival.bounce"),
		causes.HotSpot:      found("rival.hot_spot", "place", place),
		causes.DarkSpot:     found("rival.dark_spot", "place", place),
		causes.Shadow:       found("rival.shadow", "side", n.Side),
		causes.Drift:        found("rival.drift"),
		causes.OneReading:   found("rival.one_reading", "place", place),
	}[n.Code]()
}

// tested is the test of a cause as a finding: what to do and read, and where models say
// it the levels that speak for the cause and for its rival.
func (r *Result) tested(c *causes.Cause) photometry.Finding {
	t := c.Test
	place, other := r.testPlace(t), photometry.Found("rival.drift")
	if len(c.Rivals) > 0 {
		other = r.rival(c.Rivals[0].Name)
	}
	level := func(log2 float64) photometry.Level {
		return photometry.Level{Value: math.Exp2(log2), Quantity: r.Survey.Quantity}
	}
	return map[string]finding{
		causes.SwitchOff:  found("test.switch_off", "place", place, "side", t.Side),
		causes.ClothDown:  found("test.cloth_down", "place", place),
		causes.ShadeEdge:  found("test.shade_edge", "place", place),
		causes.OthersOff:  found("test.others_off", "place", place),
		causes.FirstAgain: found("test.first_again", "place", place),
		causes.ReadBeside: found("test.read_beside", "place", place),
		causes.ReadAt:     found("test.read_at", "place", place, "cause", r.rival(c.Name), "if_cause", level(t.IfCause), "rival", other, "if_rival", level(t.IfRival)),
		causes.ReadThere:  found("test.read_there", "place", place),
	}[t.Code]()
}

// against is a change against a cause, with what it brings.
func (r *Result) against(c causes.Cause, x causes.Change, brings photometry.Finding) photometry.Finding {
	place := r.place(c.Name)
	return map[string]finding{
		causes.LowerSide:   found(causes.LowerSide, "loss", photometry.Stop(x.Stops), "side", x.Side, "brings", brings),
		causes.BlockLight:  found(causes.BlockLight, "side", x.Side, "brings", brings),
		causes.CoverFloor:  found(causes.CoverFloor, "brings", brings),
		causes.CenterLamp:  found(causes.CenterLamp, "times", x.Factor, "brings", brings),
		causes.MidHeight:   found(causes.MidHeight, "lower", c.Code == causes.TopBright, "brings", brings),
		causes.MoveBack:    found(causes.MoveBack, "times", x.Factor, "brings", brings),
		causes.AimOut:      found(causes.AimOut, "far", x.Aim > 0, "share", photometry.Percentage(100*math.Abs(x.Aim)), "brings", brings),
		causes.ShadeSpot:   found(causes.ShadeSpot, "place", place, "brings", brings),
		causes.ClearShadow: found(causes.ClearShadow, "where", r.rival(c.Name), "brings", brings),
		causes.LetSettle:   found(causes.LetSettle),
		causes.ReadAgain:   found(causes.ReadAgain, "place", place, "brings", brings),
	}[x.Code]()
}
