package outfile

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

var errFull = errors.New("no space left on device")

func TestWholeOrNotAtAll(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "new", "cloth.csv")
	if err := Write(path, text("first")); err != nil {
		t.Fatal(err)
	}
	// A disk that fills up midway leaves the old file and nothing else.
	err := Write(path, func(w io.Writer) error {
		io.WriteString(w, "half of the sec")
		return errFull
	})
	if !errors.Is(err, errFull) {
		t.Fatalf("error %v, want the disk's", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "first" {
		t.Errorf("after a failed write the file holds %q", got)
	}
	entries, _ := os.ReadDir(filepath.Dir(path))
	if len(entries) != 1 {
		t.Errorf("%d files left, want 1", len(entries))
	}
	if err := Write(path, text("second")); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(path); string(got) != "second" {
		t.Errorf("replaced file holds %q", got)
	}
}

func TestCreateKeepsWhatIsThere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "cloth.csv")
	if err := Create(path, text("mine")); err != nil {
		t.Fatal(err)
	}
	if err := Create(path, text("yours")); !errors.Is(err, fs.ErrExist) {
		t.Fatalf("error %v, want fs.ErrExist", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "mine" {
		t.Errorf("file holds %q", got)
	}
}

func TestFolderThatIsAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "cloth.csv")
	os.WriteFile(path, nil, 0o666)
	if err := Write(filepath.Join(path, "map.png"), text("x")); err == nil {
		t.Fatal("wrote into a file as if it were a folder")
	}
}

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}
