package page

import (
	"fmt"
	"net/http"
	"time"
)

const (
	mostWatchers = 64
	heartbeat    = 15 * time.Second
	lookEvery    = time.Second // how often a watched file is looked at
	eventTimeout = 10 * time.Second
)

// watch adds a listener for revisions.
func (l *live) watch() (revisions chan int64, leave func(), err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.watchers) >= mostWatchers {
		return nil, nil, problem{503, "too_many", fmt.Sprintf("%d devices watch this survey already.", mostWatchers)}
	}
	w := make(chan int64, 1)
	l.watchers[w] = true
	w <- l.revision
	if !l.lookingOut {
		l.lookingOut = true
		go l.lookOut()
	}
	return w, func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		delete(l.watchers, w)
	}, nil
}

// lookOut looks at the file while somebody watches, so that what another program
// writes shows soon.
func (l *live) lookOut() {
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	for range ticker.C {
		l.mu.Lock()
		watched := len(l.watchers) > 0
		if watched {
			// An error of the file is returned to whoever asks for the state.
			_ = l.look()
		} else {
			l.lookingOut = false
		}
		l.mu.Unlock()
		if !watched {
			return
		}
	}
}

// events sends a device each revision as it happens.
func (s *server) events(l *live, w http.ResponseWriter, r *http.Request) error {
	revisions, leave, err := l.watch()
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
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	id := s.devices.of(r)
	moved := s.devices.waits()
	for ok := send("retry: 2000\n\n" + heldEvent(s.devices.held(l.name, id))); ok; {
		select {
		case <-moved:
			if s.options.Shared && s.devices.of(r) == "" {
				return nil // it was removed
			}
			moved = s.devices.waits()
			ok = send(heldEvent(s.devices.held(l.name, id)))
		case revision := <-revisions:
			ok = send(fmt.Sprintf("event: revision\nid: %d\ndata: {\"revision\":%d}\n\n", revision, revision))
		case <-beat.C:
			ok = send(heldEvent(s.devices.held(l.name, id))) // some may be held no more
		case <-r.Context().Done():
			return nil
		case <-s.ending:
			return nil
		}
	}
	return nil
}
