package page

import (
	"errors"
	"os"
)

// ErrServed is the error of locking a folder that another page serves.
var ErrServed = errors.New("another page serves this folder already")

// Lock keeps other pages from serving the same folder until the file that it
// returns is closed or this program ends, however it ends. The folder itself is
// what is locked, so nothing is left in it. Where the system cannot lock folders
// it does nothing.
func Lock(root *os.Root) (*os.File, error) {
	folder, err := root.Open(".")
	if err != nil {
		return nil, err
	}
	if err := lock(folder); err != nil {
		folder.Close()
		return nil, err
	}
	return folder, nil
}
