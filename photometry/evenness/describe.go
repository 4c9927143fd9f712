package evenness

import (
	"math"

	"evenfall/photometry"
	"evenfall/photometry/causes"
)

// named is a cause as a finding.
func (r *Result) named(n causes.Name, size photometry.Stop, darker bool) photometry.Finding {
	switch n.Code {
	case causes.SideBright:
		return photometry.Found(causes.SideBright, "size", size, "bright", n.Side, "dark", map[string]string{"left": "right", "right": "left"}[n.Side])
	case causes.OneLamp:
		return photometry.Found(causes.OneLamp, "size", size)
	case causes.TopBright:
		return photometry.Found(causes.TopBright, "size", size)
	case causes.BottomBright:
		return photometry.Found(causes.BottomBright, "size", size)
	case causes.EdgesBright:
		return photometry.Found(causes.EdgesBright, "size", size)
	case causes.MiddleBright:
		return photometry.Found(causes.MiddleBright, "size", size)
	case causes.OtherLight:
		return photometry.Found("surface.other_light", "size", size, "side", n.Side) // balance has one too
	case causes.Bounce:
		return photometry.Found(causes.Bounce, "size", size)
	case causes.HotSpot:
		return photometry.Found(causes.HotSpot, "size", size, "place", r.Survey.Point(n.Place))
	case causes.DarkSpot:
		return photometry.Found(causes.DarkSpot, "size", size, "place", r.Survey.Point(n.Place))
	case causes.Shadow:
		return photometry.Found(causes.Shadow, "size", size, "side", n.Side)
	case causes.Drift:
		if darker {
			size = -size
		}
		return photometry.Found(causes.Drift, "change", size)
	}
	return photometry.Found(causes.OneReading, "size", size, "place", r.Survey.Point(n.Place), "darker", darker)
}

// rival is a cause as a phrase in the sentence of another.
func (r *Result) rival(n causes.Name) photometry.Finding {
	switch n.Code {
	case causes.SideBright:
		return photometry.Found("rival.side_bright", "bright", n.Side)
	case causes.OneLamp:
		return photometry.Found("rival.one_lamp")
	case causes.TopBright:
		return photometry.Found("rival.top_bright")
	case causes.BottomBright:
		return photometry.Found("rival.bottom_bright")
	case causes.EdgesBright:
		return photometry.Found("rival.edges_bright")
	case causes.MiddleBright:
		return photometry.Found("rival.middle_bright")
	case causes.OtherLight:
		return photometry.Found("rival.other_light", "side", n.Side)
	case causes.Bounce:
		return photometry.Found("rival.bounce")
	case causes.HotSpot:
		return photometry.Found("rival.hot_spot", "place", r.Survey.Point(n.Place))
	case causes.DarkSpot:
		return photometry.Found("rival.dark_spot", "place", r.Survey.Point(n.Place))
	case causes.Shadow:
		return photometry.Found("rival.shadow", "side", n.Side)
	case causes.Drift:
		return photometry.Found("rival.drift")
	}
	return photometry.Found("rival.one_reading", "place", r.Survey.Point(n.Place))
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
	switch t.Code {
	case causes.SwitchOff:
		return photometry.Found("test.switch_off", "place", place, "side", t.Side)
	case causes.ClothDown:
		return photometry.Found("test.cloth_down", "place", place)
	case causes.ShadeEdge:
		return photometry.Found("test.shade_edge", "place", place)
	case causes.OthersOff:
		return photometry.Found("test.others_off", "place", place)
	case causes.FirstAgain:
		return photometry.Found("test.first_again", "place", place)
	case causes.ReadBeside:
		return photometry.Found("test.read_beside", "place", place)
	case causes.ReadAt:
		return photometry.Found("test.read_at", "place", place, "cause", r.rival(c.Name), "if_cause", level(t.IfCause), "rival", other, "if_rival", level(t.IfRival))
	}
	return photometry.Found("test.read_there", "place", place)
}

// against is a change against a cause, with what it brings.
func (r *Result) against(c causes.Cause, x causes.Change, brings photometry.Finding) photometry.Finding {
	switch x.Code {
	case causes.LowerSide:
		return photometry.Found(causes.LowerSide, "loss", photometry.Stop(x.Stops), "side", x.Side, "brings", brings)
	case causes.BlockLight:
		return photometry.Found(causes.BlockLight, "side", x.Side, "brings", brings)
	case causes.CoverFloor:
		return photometry.Found(causes.CoverFloor, "brings", brings)
	case causes.CenterLamp:
		return photometry.Found(causes.CenterLamp, "times", x.Factor, "brings", brings)
	case causes.MidHeight:
		return photometry.Found(causes.MidHeight, "lower", c.Code == causes.TopBright, "brings", brings)
	case causes.MoveBack:
		return photometry.Found(causes.MoveBack, "times", x.Factor, "brings", brings)
	case causes.AimOut:
		return photometry.Found(causes.AimOut, "far", x.Aim > 0, "share", photometry.Percentage(100*math.Abs(x.Aim)), "brings", brings)
	case causes.ShadeSpot:
		return photometry.Found(causes.ShadeSpot, "place", r.Survey.Point(c.Place), "brings", brings)
	case causes.ClearShadow:
		return photometry.Found(causes.ClearShadow, "where", r.rival(c.Name), "brings", brings)
	case causes.LetSettle:
		return photometry.Found(causes.LetSettle)
	}
	return photometry.Found(causes.ReadAgain, "place", r.Survey.Point(c.Place), "brings", brings)
}
