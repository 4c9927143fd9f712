package outfile_test

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"evenfall/cmd/evenfall/outfile"
)

// A disk that is full midway leaves the old file whole.
func ExampleWrite() {
	folder, err := os.MkdirTemp("", "")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, "cloth.csv")

	fmt.Println(outfile.Write(path, outfile.Bytes([]byte("label,lux\nA1,742\n"))))
	full := errors.New("no space left")
	err = outfile.Write(path, func(w io.Writer) error {
		fmt.Fprint(w, "label,l")
		return full
	})
	fmt.Println(errors.Is(err, full))
	content, _ := os.ReadFile(path)
	fmt.Print(string(content))
	// Output:
	// <nil>
	// true
	// label,lux
	// A1,742
}

// A file that somebody changed is no longer the program's and stays.
func ExampleReplace() {
	folder, err := os.MkdirTemp("", "")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, "report.md")
	report := outfile.Bytes([]byte("# Report\n"))

	fmt.Println(outfile.Replace(path, false, report), outfile.Replace(path, false, report))
	content, _ := os.ReadFile(path)
	if err := os.WriteFile(path, append([]byte("My remarks.\n"), content...), 0o666); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(errors.Is(outfile.Replace(path, false, report), outfile.ErrChanged))
	fmt.Println(outfile.Replace(path, true, report))
	// Output:
	// <nil> <nil>
	// true
	// <nil>
}
