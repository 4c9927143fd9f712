package main

import (
	"strings"
	"sync"
	"testing"
	"time"
)

// shared is a buffer that two goroutines may write to.
type shared struct {
	sync.Mutex
	text strings.Builder
}

func (s *shared) Write(p []byte) (int, error) {
	s.Lock()
	defer s.Unlock()
	return s.text.Write(p)
}

func (s *shared) String() string {
	s.Lock()
	defer s.Unlock()
	return s.text.String()
}

// A command that takes long says so, and takes the line away before anything else is
// printed; one that is quick says nothing.
func TestWorking(t *testing.T) {
	var slow, quick shared
	w := startWorking(&slow, 0, time.Hour)
	for !strings.Contains(slow.String(), "Ctrl-C") {
		time.Sleep(time.Millisecond)
	}
	w.end()
	w.end()
	if text := slow.String(); !strings.HasSuffix(text, "\r\x1b[K") {
		t.Errorf("the line stays: %q", text)
	}
	startWorking(&quick, time.Hour, time.Hour).end()
	if text := quick.String(); text != "" {
		t.Errorf("a quick command wrote %q", text)
	}
}
