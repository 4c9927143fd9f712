package evenness

import (
	"encoding/json"
	"math"
)

// MarshalJSON leaves out a position that is not known.
func (p Place) MarshalJSON() ([]byte, error) {
	type plain Place
	if !math.IsNaN(p.X) {
		return json.Marshal(plain(p))
	}
	return json.Marshal(struct {
		Label string  `json:"label,omitempty"`
		Level float64 `json:"level"`
	}{p.Label, p.Level})
}

// MarshalJSON leaves out the figures in stops that do not exist because a
// place gets no light.
func (e Statistics) MarshalJSON() ([]byte, error) {
	type plain Statistics
	if e.Min > 0 {
		return json.Marshal(plain(e))
	}
	for _, v := range []*float64{&e.SpreadStops, &e.BelowMeanStops, &e.AboveMeanStops} {
		if math.IsInf(*v, 0) || math.IsNaN(*v) {
			*v = 0
		}
	}
	// Fields of an outer struct hide those of the same name within.
	return json.Marshal(struct {
		plain
		SpreadStops     *float64 `json:"spread_stops,omitempty"`
		NoiseFloorStops *float64 `json:"noise_floor_stops,omitempty"`
		BelowMeanStops  *float64 `json:"below_mean_stops,omitempty"`
	}{plain: plain(e)})
}
