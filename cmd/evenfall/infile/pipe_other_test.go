//go:build !unix

package infile

import "errors"

func pipe(string) error { return errors.ErrUnsupported }
