package infile

import (
	"errors"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
)

func openFolder(t *testing.T) (Folder, string) {
	t.Helper()
	path := t.TempDir()
	root, err := os.OpenRoot(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	return Folder{root}, path
}

func TestFolderIsAFileSystem(t *testing.T) {
	f, path := openFolder(t)
	os.Mkdir(filepath.Join(path, "day1"), 0o777)
	for _, name := range []string{"cloth.csv", "day1/cloth.csv"} {
		os.WriteFile(filepath.Join(path, name), []byte("lx"), 0o666)
	}
	if err := fstest.TestFS(f, "cloth.csv", "day1/cloth.csv"); err != nil {
		t.Error(err)
	}
}

// A pipe that nobody writes would hold the program for ever.
func TestOnlyRegularFilesOfAFolder(t *testing.T) {
	f, path := openFolder(t)
	os.WriteFile(filepath.Join(path, "cloth.csv"), []byte("lx"), 0o666)
	os.Mkdir(filepath.Join(path, "day1"), 0o777)
	os.WriteFile(filepath.Join(path, "day1", "old.csv"), []byte("lx"), 0o666)
	want := map[string]string{}
	if pipe(filepath.Join(path, "pipe.csv")) == nil {
		want["pipe.csv"] = "is a pipe"
	}
	if os.Symlink("cloth.csv", filepath.Join(path, "link.csv")) == nil {
		want["link.csv"] = "is a link"
		os.Symlink("/dev/zero", filepath.Join(path, "zero.csv"))
		want["zero.csv"] = "is a link"
		os.Symlink("day1", filepath.Join(path, "linked"))
		want["linked/old.csv"] = "is behind a link"
	}
	if l, err := net.Listen("unix", filepath.Join(path, "s.csv")); err == nil {
		defer l.Close()
		want["s.csv"] = "is a socket"
	}
	for name, text := range want {
		_, err := f.Open(name)
		if !errors.As(err, new(KindError)) || !strings.Contains(err.Error(), text) {
			t.Errorf("%s: %v, want %q", name, err, text)
		}
		if _, err := fs.ReadFile(f, name); err == nil {
			t.Errorf("%s was read", name)
		}
	}
	if got, err := fs.ReadFile(f, "day1/old.csv"); string(got) != "lx" {
		t.Errorf("a file of a folder: %q, %v", got, err)
	}
}

func TestOpenWhatAPersonNames(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "cloth.csv")
	os.WriteFile(path, []byte("lx"), 0o666)
	file, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	file.Close()
	if _, err := Open(folder); err == nil || err.Error() != "is a folder" {
		t.Errorf("a folder: %v", err)
	}
	large := filepath.Join(folder, "large.csv")
	os.WriteFile(large, nil, 0o666)
	if err := os.Truncate(large, Most+1); err != nil {
		t.Skip("no sparse files here: ", err)
	}
	if _, err := Open(large); !errors.Is(err, ErrTooLarge) {
		t.Errorf("a file of more than the limit: %v", err)
	}
	if _, err := io.Copy(io.Discard, Limit(endless{})); !errors.Is(err, ErrTooLarge) {
		t.Errorf("a pipe without an end: %v", err)
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

func TestAPipeThatAPersonNames(t *testing.T) {
	path := filepath.Join(t.TempDir(), "readings")
	if err := pipe(path); err != nil {
		t.Skip("no pipes here: ", err)
	}
	go func() {
		to, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err == nil {
			io.WriteString(to, "lx")
			to.Close()
		}
	}()
	from, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close()
	if got, err := io.ReadAll(from); string(got) != "lx" || err != nil {
		t.Errorf("read %q, %v", got, err)
	}
}
