package page

import (
	"bufio"
	"fmt"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
)

// Who sends a request letter by letter is cut off, and keeps nobody else waiting.
func TestSlowConnections(t *testing.T) {
	t.Parallel()
	s := serve(t, t.TempDir(), Options{})
	host := strings.TrimPrefix(s.address, "http://")
	var slow []net.Conn
	for range 50 {
		c, err := net.Dial("tcp", host)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		fmt.Fprintf(c, "GET /api/folder HTTP/1.1\r\nHost: %s\r\nX-Slow: ", host)
		slow = append(slow, c)
	}
	began := time.Now()
	if status, _ := s.ask("GET", "/api/folder", ""); status != 200 || time.Since(began) > 4*time.Second {
		t.Errorf("beside slow connections: %d after %v", status, time.Since(began))
	}
	c := slow[0]
	go func() {
		for range 200 {
			if _, err := c.Write([]byte("x")); err != nil {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
	}()
	c.SetReadDeadline(time.Now().Add(20 * time.Second))
	answer, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err == nil && answer.StatusCode < 400 {
		t.Errorf("a request of more than five seconds is answered %s", answer.Status)
	}
	if timeout, ok := err.(net.Error); ok && timeout.Timeout() {
		t.Error("a request that never ends is waited for")
	}
}
