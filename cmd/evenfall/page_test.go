package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

// said is a writer that knows when its first line is whole.
type said struct {
	mu   sync.Mutex
	text bytes.Buffer
	line chan struct{}
	once sync.Once
}

func newSaid() *said { return &said{line: make(chan struct{})} }

func (s *said) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.text.Write(p)
	if bytes.Contains(s.text.Bytes(), []byte("\n")) {
		s.once.Do(func() { close(s.line) })
	}
	return len(p), nil
}

func (s *said) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.String()
}

// served runs the page on a free port until done, and gives its address meanwhile.
func served(t *testing.T, during func(address string), args ...string) (out, told string, status int) {
	t.Helper()
	ctx, end := context.WithCancel(context.Background())
	defer end()
	stdout, stderr := newSaid(), newSaid()
	a := app{stdin: strings.NewReader(""), stdout: stdout, stderr: stderr, until: ctx, env: []string{"LANG=C.UTF-8", "NO_COLOR=1"}}
	done := make(chan int, 1)
	go func() { done <- a.run(append(args, "--listen", "127.0.0.1:0")) }()
	select {
	case <-stdout.line:
		first, _, _ := strings.Cut(stdout.String(), "\n")
		if during != nil {
			during(first)
		}
	case status := <-done:
		return stdout.String(), stderr.String(), status
	}
	end()
	select {
	case status = <-done:
	case <-time.After(20 * time.Second):
		t.Fatal("the page does not end")
	}
	return stdout.String(), stderr.String(), status
}

// configured gives the user a configuration folder of the test's own.
func configured(t *testing.T) (folder string) {
	t.Helper()
	home := t.TempDir()
	for _, name := range []string{"HOME", "XDG_CONFIG_HOME", "AppData"} {
		t.Setenv(name, home)
	}
	folder, err := os.UserConfigDir()
	if err != nil {
		t.Skip(err)
	}
	return folder
}

func servedUntilSaid(t *testing.T, args ...string) (out, told string, status int) {
	t.Helper()
	return served(t, nil, args...)
}

// Alone on this machine the page needs no folder of the user's; a certificate does.
func TestPageWithoutConfiguration(t *testing.T) {
	for _, name := range []string{"HOME", "XDG_CONFIG_HOME", "AppData"} {
		t.Setenv(name, "")
	}
	if _, err := os.UserConfigDir(); err == nil {
		t.Skip("this system has a configuration folder without these variables")
	}
	if out, told, status := servedUntilSaid(t, "page", t.TempDir()); status != exitDone || !strings.HasPrefix(out, "http://127.0.0.1:") {
		t.Errorf("status %d: %s%s", status, out, told)
	}
	if out, told, status := servedUntilSaid(t, "page", t.TempDir(), "--tls"); status != exitNothing || !strings.Contains(told, "--tls: no configuration folder") {
		t.Errorf("status %d: %s%s", status, out, told)
	}
}

func TestPageServesUntilInterrupted(t *testing.T) {
	folder := t.TempDir()
	out, told, status := served(t, func(address string) {
		answer, err := http.Get(address + "api/folder")
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		if body, _ := io.ReadAll(answer.Body); answer.StatusCode != 200 || !strings.Contains(string(body), `"surveys":[]`) {
			t.Errorf("folder: %d %s", answer.StatusCode, body)
		}
	}, "page", folder)
	if status != exitDone || strings.Count(out, "\n") != 1 || !strings.Contains(told, "Ctrl-C ends it") {
		t.Errorf("status %d\n%s%s", status, out, told)
	}
}

// With --lan the first line is a link that lets one device in, with a code to scan,
// and the next link follows on standard error.
func TestPageSharesByLinks(t *testing.T) {
	configured(t)
	link := regexp.MustCompile(`^http://([^/]+)/join\?token=([A-Za-z0-9_-]{43})$`)
	out, told, status := served(t, func(address string) {
		m := link.FindStringSubmatch(address)
		if m == nil {
			t.Fatalf("first line %q is no link", address)
		}
		// The link names this machine's network; here the loopback has to do.
		_, port, _ := net.SplitHostPort(m[1])
		answer, err := http.Get("http://localhost:" + port + "/api/folder")
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != http.StatusUnauthorized {
			t.Errorf("without a link: %s", answer.Status)
		}
		client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
		join, _ := http.NewRequest("POST", "http://localhost:"+port+"/join", strings.NewReader("token="+m[2]))
		join.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		join.Header.Set("Origin", "http://localhost:"+port)
		answer, err = client.Do(join)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != http.StatusSeeOther || len(answer.Cookies()) != 1 {
			t.Errorf("with the link: %s, %d cookies", answer.Status, len(answer.Cookies()))
		}
	}, "page", t.TempDir(), "--lan")
	if status != exitDone || strings.Count(out, "/join?token=") != 1 || strings.Count(told, "/join?token=") != 1 {
		t.Errorf("status %d\n%s%s", status, out, told)
	}
	if lines := strings.Split(out, "\n"); len(lines) < 20 || !strings.HasPrefix(lines[1], "████") {
		t.Errorf("no code to scan:\n%s", out)
	}
}

// With --tls the certificate is the one whose fingerprint is printed, good for this
// machine's names, and the same after a start anew.
func TestPageOverTLS(t *testing.T) {
	kept := configured(t)
	var seen []string
	for range 2 {
		var now string
		out, told, status := served(t, func(address string) {
			client := http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}}
			answer, err := client.Get(address + "api/folder")
			if err != nil {
				t.Fatal(err)
			}
			answer.Body.Close()
			leaf := answer.TLS.PeerCertificates[0]
			if now = fmt.Sprintf("% X", sha256.Sum256(leaf.Raw)); answer.StatusCode != 200 {
				t.Errorf("folder: %s", answer.Status)
			}
			for _, name := range []string{"localhost", "127.0.0.1", "::1"} {
				if err := leaf.VerifyHostname(name); err != nil {
					t.Error(err)
				}
			}
		}, "page", t.TempDir(), "--tls")
		if status != exitDone || !strings.HasPrefix(out, "https://127.0.0.1:") || !strings.Contains(told, now) {
			t.Errorf("status %d, fingerprint %s\n%s%s", status, now, out, told)
		}
		seen = append(seen, now)
	}
	if seen[0] != seen[1] {
		t.Errorf("a start anew has another certificate: %q", seen)
	}
	if info, err := os.Stat(kept + "/evenfall"); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o700 {
		t.Errorf("the folder of the key: %v %v", info, err)
	}
}

func TestPageTakesNoFileForAFolder(t *testing.T) {
	file := t.TempDir() + "/cloth.csv"
	if err := os.WriteFile(file, []byte("x"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, told, status := served(t, nil, "page", file); status != exitNothing || !strings.Contains(told, "found a file, expected a folder") {
		t.Errorf("status %d, %s", status, told)
	}
}

func TestPageAddressTaken(t *testing.T) {
	folder := t.TempDir()
	served(t, func(address string) {
		address = strings.TrimSuffix(strings.TrimPrefix(address, "http://"), "/")
		out, status := runIn(t, "", "page", t.TempDir(), "--listen", address)
		if status != exitNothing || !strings.Contains(out, "is taken, perhaps by this page in another window; expected a free one such as --listen 127.0.0.1:") {
			t.Errorf("status %d\n%s", status, out)
		}
		if runtime.GOOS == "windows" {
			return // folders cannot be locked there
		}
		out, status = runIn(t, "", "page", folder, "--listen", "127.0.0.1:0")
		if status != exitNothing || !strings.Contains(out, "another page serves this folder already") {
			t.Errorf("one folder twice: status %d\n%s", status, out)
		}
	}, "page", folder)
}
