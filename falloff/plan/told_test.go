package plan_test

import (
	"testing"

	"evenfall/falloff/plan"
)

// A lamp is told where its interval is no wider than what the plan has it give; one that is
// absent says nothing of it.
func TestTold(t *testing.T) {
	to := func(percent float64) *float64 { return &percent }
	for _, c := range []struct {
		low, high *float64
		want      bool
	}{{nil, nil, false}, {to(60), to(150), true}, {to(0), to(120), false}} {
		if got := (plan.LampScore{Low: c.low, High: c.high}).Told(); got != c.want {
			t.Errorf("%v to %v: told %v, want %v", c.low, c.high, got, c.want)
		}
	}
}
