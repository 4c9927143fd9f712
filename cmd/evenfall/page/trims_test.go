package page

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"evenfall/cmd/evenfall/demo"
)

// demoFolder is a folder with the demo's tables of one day, with some texts replaced.
func demoFolder(t *testing.T, replaced ...string) string {
	t.Helper()
	folder := t.TempDir()
	files, err := demo.Files()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		switch f.Name {
		case "cloth.csv", "cloth-lamps.csv", "lamps.csv", "ratio.csv", "setup.csv":
			text := strings.NewReplacer(replaced...).Replace(string(f.Content))
			if err := os.WriteFile(filepath.Join(folder, f.Name), []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	return folder
}

// A lamp's name is no formula for a spreadsheet program.
func TestMorningRunsNoFormula(t *testing.T) {
	folder := demoFolder(t, "cloth left", "=cloth left")
	s := serve(t, folder, Options{})
	if status, body := s.ask("POST", "/api/morning", "{}"); status != 201 {
		t.Fatalf("%d %s", status, body)
	}
	made, err := filepath.Glob(filepath.Join(folder, "trims", "morning *.csv"))
	if err != nil || len(made) != 1 {
		t.Fatal(made, err)
	}
	if got, err := os.ReadFile(made[0]); err != nil || !strings.Contains(string(got), "\n'=cloth left,") {
		t.Errorf("%v:\n%s", err, got)
	}
}

// Readings come from one device while others look at the trim, look at the morning, and
// begin the survey anew: go test -race sees what they share.
func TestTrimsBesideEntries(t *testing.T) {
	t.Parallel()
	s := serve(t, demoFolder(t), Options{})
	for _, begin := range [][2]string{{"/api/surveys/cloth.csv/trim", "trims/cloth-1.csv"}, {"/api/morning", ""}} {
		if status, body := s.ask("POST", begin[0], "{}"); status != 201 || !strings.Contains(body, begin[1]) {
			t.Fatalf("%d %s", status, body)
		}
	}
	made, err := filepath.Glob(filepath.Join(s.folder, "trims", "morning *.csv"))
	if err != nil || len(made) != 1 {
		t.Fatal(made, err)
	}
	morning := "/api/surveys/trims%2F" + strings.ReplaceAll(filepath.Base(made[0]), " ", "%20")
	var others sync.WaitGroup
	entered := make(chan bool)
	for _, other := range [][2]string{{"GET", "/api/surveys/trims%2Fcloth-1.csv"}, {"GET", morning}, {"POST", "/api/surveys/cloth.csv/again"}} {
		others.Go(func() {
			for range 6 {
				if status, body := s.ask(other[0], other[1], "{}"); status >= 300 {
					t.Errorf("%s: %d %s", other[1], status, body)
				}
				select {
				case <-entered:
					return
				default:
				}
			}
		})
	}
	for i := range 12 {
		e := Entry{ID: fmt.Sprint(i), At: 1001 + int64(i), Label: "B8", Kind: kindAgain, Text: fmt.Sprint(900 + i)}
		s.send("trims/cloth-1.csv", e)
		s.send("cloth.csv", e)
		e.Lamp = "cloth right"
		s.send("trims/"+filepath.Base(made[0]), e)
	}
	close(entered)
	others.Wait()
}
