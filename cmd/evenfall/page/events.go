package page

import (
	"fmt"
	"net/http"
	"sync"
	"time"
)

const (
	mostWatchers = 64
	heartbeat    = 15 * time.Second
	lookEvery    = time.Second // how often a watched file is looked at
	eventTimeout = 10 * time.Second
)

// bell wakes all who wait for it.
type bell struct {
	mu   sync.Mutex
	rung chan struct{}
}

// next is closed when the bell rings next.
func (b *bell) next() <-chan struct{} {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.rung == nil {
		b.rung = make(chan struct{})
	}
	return b.rung
}

func (b *bell) ring() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.rung != nil {
		close(b.rung)
		b.rung = nil
	}
}

// watch counts somebody who watches the survey until they leave.
func (l *live) watch() (leave func(), err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.watchers >= mostWatchers {
		return nil, problem{503, "too_many", fmt.Sprintf("%d devices watch this survey already.", mostWatchers)}
	}
	l.watchers++
	return func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		l.watchers--
	}, nil
}

// lookOut looks at the file for all who watch, so that what another program writes shows
// soon, and is the revision then.
func (l *live) lookOut() int64 {
	l.mu.Lock()
	defer l.mu.Unlock()
	if time.Since(l.looked) > lookEvery/2 {
		// An error of the file is returned to whoever asks for the state.
		_ = l.look()
	}
	return l.revision
}

// events sends a device each revision as it happens.
func (s *server) events(l *live, w http.ResponseWriter, r *http.Request) error {
	leave, err := l.watch()
	if err != nil {
		return err
	}
	defer leave()
	control := http.NewResponseController(w)
	control.SetReadDeadline(time.Time{})
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("X-Accel-Buffering", "no")
	send := func(text string) bool {
		control.SetWriteDeadline(time.Now().Add(eventTimeout))
		_, err := fmt.Fprint(w, text)
		return err == nil && control.Flush() == nil
	}
	beat, look := time.NewTicker(heartbeat), time.NewTicker(lookEvery)
	defer beat.Stop()
	defer look.Stop()
	id, revision := s.devices.of(r), int64(0)
	moved, changed := s.devices.changed.next(), l.bell.next()
	sendHeld := func() bool { return send(heldEvent(s.devices.held(l.name, id))) }
	for ok := send("retry: 2000\n\n") && sendHeld(); ok; {
		if now := l.lookOut(); now != revision {
			revision = now
			ok = send(fmt.Sprintf("event: revision\nid: %d\ndata: {\"revision\":%d}\n\n", revision, revision))
			continue
		}
		select {
		case <-moved:
			if s.options.Shared && s.devices.of(r) == "" {
				return nil // it was removed
			}
			moved = s.devices.changed.next()
			ok = sendHeld()
		case <-changed:
			changed = l.bell.next()
		case <-look.C:
		case <-beat.C:
			ok = sendHeld() // some may be held no more
		case <-r.Context().Done():
			return nil
		case <-s.ending:
			return nil
		}
	}
	return nil
}
