//go:build !windows

package profiles

import (
	"errors"
	"os"
	"syscall"
)

// syncDir makes the names in a folder safe on disk. A file system that has no such
// call says so, and nothing more can be done there.
func syncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = f.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		err = nil
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	return err
}

func isFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}
