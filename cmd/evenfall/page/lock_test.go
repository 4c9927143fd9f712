package page

import (
	"errors"
	"os"
	"runtime"
	"testing"
)

func TestOnePageAFolder(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("folders cannot be locked here")
	}
	folder := t.TempDir()
	open := func() *os.Root {
		root, err := os.OpenRoot(folder)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { root.Close() })
		return root
	}
	first, err := Lock(open())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Lock(open()); !errors.Is(err, ErrServed) {
		t.Errorf("locked twice: %v", err)
	}
	first.Close()
	second, err := Lock(open())
	if err != nil {
		t.Errorf("after the first one ended: %v", err)
	}
	second.Close()
	if files, _ := os.ReadDir(folder); len(files) > 0 {
		t.Errorf("left %v", files)
	}
}
