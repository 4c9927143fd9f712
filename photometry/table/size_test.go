package table

import (
	"bufio"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestSizes reads the same file where its size is known, and where it is not.
func TestSizes(t *testing.T) {
	dir := t.TempDir()
	data := longStream(20_000)
	if err := os.WriteFile(filepath.Join(dir, "long.csv"), data, 0o600); err != nil {
		t.Fatal(err)
	}
	inFS, err := os.DirFS(dir).Open("long.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer inFS.Close()
	open, err := os.Open(filepath.Join(dir, "long.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer open.Close()
	half, err := os.Open(filepath.Join(dir, "long.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer half.Close()
	line := bytes.LastIndexByte(data[:len(data)/2], '\n') + 1
	if _, err := half.Seek(int64(line), io.SeekStart); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		r    io.Reader
		size int
	}{
		"bytes":     {bytes.NewReader(data), len(data)},
		"strings":   {strings.NewReader(string(data)), len(data)},
		"buffer":    {bytes.NewBuffer(data), len(data)},
		"file":      {open, len(data)},
		"fs":        {inFS, len(data)},
		"half read": {half, len(data) - line},
		"buffered":  {bufio.NewReader(bytes.NewReader(data)), 0},
	} {
		if got := remainingBytes(c.r); got != int64(c.size) {
			t.Errorf("%s: size %d, want %d", name, got, c.size)
		}
		sheets, err := ReadColumns(c.r, "long.csv", allNumbers)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		want := 20_000
		if name == "half read" {
			want = bytes.Count(data[line:], []byte("\n")) - 1
		}
		if s := sheets[0]; s.Rows != want || len(s.Columns[0].Num) != want {
			t.Errorf("%s: %d rows, want %d", name, s.Rows, want)
		}
	}
	directory, err := os.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer directory.Close()
	if _, err := ReadColumns(directory, "dir", allNumbers); err == nil {
		t.Error("a directory is no table")
	}
}
