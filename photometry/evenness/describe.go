package evenness

import (
	"math"

	"evenfall/photometry"
	"evenfall/photometry/causes"
)

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
	return map[string]photometry.Finding{
		causes.SideBright:   photometry.Found(causes.SideBright, "size", size, "bright", n.Side, "dark", map[string]string{"left": "right", "right": "left"}[n.Side]),
		causes.OneLamp:      photometry.Found(causes.OneLamp, "size", size),
		causes.TopBright:    photometry.Found(causes.TopBright, "size", size),
		causes.BottomBright: photometry.Found(causes.BottomBright, "size", size),
		causes.EdgesBright:  photometry.Found(causes.EdgesBright, "size", size),
		causes.MiddleBright: photometry.Found(causes.MiddleBright, "size", size),
		causes.OtherLight:   photometry.Found("surface.other_light", "size", size, "side", n.Side), // balance has one too
		causes.Bounce:       photometry.Found(causes.Bounce, "size", size),
		causes.HotSpot:      photometry.Found(causes.HotSpot, "size", size, "place", place),
		causes.DarkSpot:     photometry.Found(causes.DarkSpot, "size", size, "place", place),
		causes.Shadow:       photometry.Found(causes.Shadow, "size", size, "side", n.Side),
		causes.Drift:        photometry.Found(causes.Drift, "change", change),
		causes.OneReading:   photometry.Found(causes.OneReading, "size", size, "place", place, "darker", darker),
	}[n.Code]
}

// rival is a cause as a phrase in the sentence of another.
func (r *Result) rival(n causes.Name) photometry.Finding {
	place := r.place(n)
	return map[string]photometry.Finding{
		causes.SideBright:   photometry.Found("rival.side_bright", "bright", n.Side),
		causes.OneLamp:      photometry.Found("rival.one_lamp"),
		causes.TopBright:    photometry.Found("rival.top_bright"),
		causes.BottomBright: photometry.Found("rival.bottom_bright"),
		causes.EdgesBright:  photometry.Found("rival.edges_bright"),
		causes.MiddleBright: photometry.Found("rival.middle_bright"),
		causes.OtherLight:   photometry.Found("rival.other_light", "side", n.Side),
		causes.Bounce:       photometry.Found("rival.bounce"),
		causes.HotSpot:      photometry.Found("rival.hot_spot", "place", place),
		causes.DarkSpot:     photometry.Found("rival.dark_spot", "place", place),
		causes.Shadow:       photometry.Found("rival.shadow", "side", n.Side),
		causes.Drift:        photometry.Found("rival.drift"),
		causes.OneReading:   photometry.Found("rival.one_reading", "place", place),
	}[n.Code]
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
	return map[string]photometry.Finding{
		causes.SwitchOff:  photometry.Found("test.switch_off", "place", place, "side", t.Side),
		causes.ClothDown:  photometry.Found("test.cloth_down", "place", place),
		causes.ShadeEdge:  photometry.Found("test.shade_edge", "place", place),
		causes.OthersOff:  photometry.Found("test.others_off", "place", place),
		causes.FirstAgain: photometry.Found("test.first_again", "place", place),
		causes.ReadBeside: photometry.Found("test.read_beside", "place", place),
		causes.ReadAt:     photometry.Found("test.read_at", "place", place, "cause", r.rival(c.Name), "if_cause", level(t.IfCause), "rival", other, "if_rival", level(t.IfRival)),
		causes.ReadThere:  photometry.Found("test.read_there", "place", place),
	}[t.Code]
}

// against is a change against a cause, with what it brings.
func (r *Result) against(c causes.Cause, x causes.Change, brings photometry.Finding) photometry.Finding {
	place := r.place(c.Name)
	return map[string]photometry.Finding{
		causes.LowerSide:   photometry.Found(causes.LowerSide, "loss", photometry.Stop(x.Stops), "side", x.Side, "brings", brings),
		causes.BlockLight:  photometry.Found(causes.BlockLight, "side", x.Side, "brings", brings),
		causes.CoverFloor:  photometry.Found(causes.CoverFloor, "brings", brings),
		causes.CenterLamp:  photometry.Found(causes.CenterLamp, "times", x.Factor, "brings", brings),
		causes.MidHeight:   photometry.Found(causes.MidHeight, "lower", c.Code == causes.TopBright, "brings", brings),
		causes.MoveBack:    photometry.Found(causes.MoveBack, "times", x.Factor, "brings", brings),
		causes.AimOut:      photometry.Found(causes.AimOut, "far", x.Aim > 0, "share", photometry.Percentage(100*math.Abs(x.Aim)), "brings", brings),
		causes.ShadeSpot:   photometry.Found(causes.ShadeSpot, "place", place, "brings", brings),
		causes.ClearShadow: photometry.Found(causes.ClearShadow, "where", r.rival(c.Name), "brings", brings),
		causes.LetSettle:   photometry.Found(causes.LetSettle),
		causes.ReadAgain:   photometry.Found(causes.ReadAgain, "place", place, "brings", brings),
	}[x.Code]
}
