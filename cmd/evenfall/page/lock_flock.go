//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package page

import (
	"errors"
	"os"
	"syscall"
)

// Locks reports whether this system can lock folders.
const Locks = true

func lock(folder *os.File) error {
	if err := syscall.Flock(int(folder.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); errors.Is(err, syscall.EWOULDBLOCK) {
		return ErrServed
	}
	return nil // some network folders know no locks
}
