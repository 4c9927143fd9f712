package infile_test

import (
	"errors"
	"fmt"
	"os"

	"evenfall/cmd/evenfall/infile"
)

// What is no file is said to be so before anything is read of it.
func ExampleOpen() {
	folder, err := os.MkdirTemp("", "")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(folder)

	_, err = infile.Open(folder)
	var kind infile.KindError
	fmt.Println(errors.As(err, &kind), err)
	// Output:
	// true is a folder
}
