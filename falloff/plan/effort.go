package plan

import (
	"context"
	"fmt"
	"sync/atomic"

	"evenfall/photometry/schema"
)

// effort counts what was looked at for the light of a set-up: parts of sources, and
// what may be in the way of each. Its sum does not depend on what was looked at first.
type effort struct {
	spent  atomic.Int64
	ended  atomic.Bool // nobody waits for what would be found
	before *effort     // of the set-up that this one keeps sheets of, nil for none
}

func (e *effort) over() bool {
	return e != nil && (e.spent.Load() > mostLooks || e.ended.Load() || e.before.over())
}

// mostLooks is schema.MostLooks, but for tests.
var mostLooks int64 = schema.MostLooks

// until is the scene with an effort of its own, which ends with ctx: from then on it and
// what is built of it look at nothing more. release lets go of ctx.
func (s *Scene) until(ctx context.Context) (watched *Scene, release func() bool) {
	own := *s
	own.effort = &effort{before: s.effort}
	return &own, context.AfterFunc(ctx, func() { own.effort.ended.Store(true) })
}

// tally is what one goroutine adds to an effort; nil counts nothing, and one without an
// effort is added by whoever made it.
type tally struct {
	of *effort
	n  int64
}

// batch is how much a tally keeps before it adds that to its effort.
const batch = 1 << 12

func (t *tally) add(looks int) {
	if t == nil {
		return
	}
	if t.n += int64(looks); t.n >= batch && t.of != nil {
		t.close()
	}
}

// close adds what is left to the effort.
func (t *tally) close() {
	t.of.spent.Add(t.n)
	t.n = 0
}

// over reports whether more was looked at than may be: what is found from then on is not
// used.
func (t *tally) over() bool {
	return t != nil && (t.n > mostLooks || t.of != nil && t.of.over())
}

// sight is a look past what is in the way.
type sight struct {
	cones []*cone
	*tally
}

// TooMuch is an error where the light of a set-up takes more looks at parts of it than
// may be: what was found of it then is not used.
func (s *Scene) TooMuch() error {
	if !s.effort.over() {
		return nil
	}
	return errTooMuch
}

var errTooMuch = fmt.Errorf("plan: found over %d million looks at parts of lights, expected fewer places, lights or frames, or more room between them", schema.MostLooks/1_000_000)
