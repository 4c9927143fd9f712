//go:build unix

package page

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A pipe in the folder, which would keep a reader waiting for ever, is refused at once, and
// the surveys beside it are listed.
func TestPipes(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	if err := syscall.Mkfifo(filepath.Join(folder, "pipe.csv"), 0o666); err != nil {
		t.Skip("no pipes here: ", err)
	}
	os.WriteFile(filepath.Join(folder, "cloth.csv"), []byte(small), 0o666)
	s := serve(t, folder, Options{})
	began := time.Now()
	for _, path := range []string{"/api/surveys/pipe.csv", "/files/pipe.csv", "/api/surveys/pipe.csv/map.svg"} {
		if status, body := s.ask("GET", path, ""); status != 403 || !strings.Contains(body, "no plain file") {
			t.Errorf("%s: %d %s", path, status, body)
		}
	}
	if status, _ := s.ask("POST", "/api/surveys/pipe.csv/entries", `{"entries":[{"label":"A1","at":1,"text":"7","kind":"read"}]}`); status != 403 {
		t.Errorf("an entry into a pipe: %d", status)
	}
	if _, body := s.ask("GET", "/api/folder", ""); !strings.Contains(body, `"name":"cloth.csv"`) {
		t.Errorf("the folder beside a pipe: %s", body)
	}
	if took := time.Since(began); took > 15*time.Second {
		t.Errorf("it took %v", took)
	}
}
