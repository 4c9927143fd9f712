package outfile

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"
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

func openRoot(t *testing.T) *os.Root {
	t.Helper()
	root, err := os.OpenRoot(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	return root
}

func TestWriteInStaysInTheFolder(t *testing.T) {
	root := openRoot(t)
	outside := t.TempDir()
	if err := WriteIn(root, "cloth.csv", text("first")); err != nil {
		t.Fatal(err)
	}
	if err := CreateIn(root, "cloth.csv", text("second")); !errors.Is(err, fs.ErrExist) {
		t.Errorf("create over a file: %v", err)
	}
	if err := WriteIn(root, "cloth.csv", text("second")); err != nil {
		t.Fatal(err)
	}
	if got, _ := root.ReadFile("cloth.csv"); string(got) != "second" {
		t.Errorf("the file holds %q", got)
	}
	if err := root.Mkdir("kept", 0o777); err != nil {
		t.Fatal(err)
	}
	if err := CreateIn(root, "kept/cloth.csv", text("third")); err != nil {
		t.Error(err)
	}
	for _, name := range []string{"../cloth.csv", filepath.Join(outside, "cloth.csv"), "kept/../../cloth.csv", "nowhere/cloth.csv"} {
		if err := WriteIn(root, name, text("x")); err == nil {
			t.Errorf("%s was written", name)
		}
	}
	if err := os.Symlink(outside, filepath.Join(root.Name(), "out")); err == nil {
		if err := CreateIn(root, "out/cloth.csv", text("x")); err == nil {
			t.Error("written through a link")
		}
	}
	if files, _ := os.ReadDir(outside); len(files) > 0 {
		t.Errorf("outside there is %v", files)
	}
	if err := WriteIn(root, "cloth.csv", func(io.Writer) error { return errFull }); !errors.Is(err, errFull) {
		t.Errorf("error %v, want the disk's", err)
	}
	if got, _ := root.ReadFile("cloth.csv"); string(got) != "second" {
		t.Errorf("after a failed write the file holds %q", got)
	}
	if files, _ := os.ReadDir(filepath.Join(root.Name(), "kept")); len(files) != 1 {
		t.Errorf("%d files kept, want 1", len(files))
	}
}

// Of many who create one file, one does.
func TestCreateInOnce(t *testing.T) {
	root := openRoot(t)
	const many = 16
	results := make(chan error, many)
	for range many {
		go func() { results <- CreateIn(root, "cloth.csv", text("mine")) }()
	}
	made := 0
	for range many {
		switch err := <-results; {
		case err == nil:
			made++
		case !errors.Is(err, fs.ErrExist):
			t.Error(err)
		}
	}
	if made != 1 {
		t.Errorf("created %d times", made)
	}
}

func TestSweep(t *testing.T) {
	root := openRoot(t)
	for _, name := range []string{".cloth.csv.0123456789ab.part", ".new.csv.0123456789ab.part", ".mine.part", "cloth.csv"} {
		if err := root.WriteFile(name, nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	old := time.Now().Add(-2 * time.Hour)
	for _, name := range []string{".cloth.csv.0123456789ab.part", ".mine.part", "cloth.csv"} {
		root.Chtimes(name, old, old)
	}
	Sweep(root, time.Hour)
	entries, _ := os.ReadDir(root.Name())
	var left []string
	for _, e := range entries {
		left = append(left, e.Name())
	}
	if len(left) != 3 || left[0] != ".mine.part" || left[1] != ".new.csv.0123456789ab.part" {
		t.Errorf("left %v", left)
	}
}
