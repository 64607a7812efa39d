//go:build !windows

package profiles

import (
	"errors"
	"os"
	"syscall"
)

// syncDir makes the names in a folder safe on disk.
func syncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return syncNames(f)
}

// syncNames makes the names in an open folder safe on disk, and closes it. A file system
// that has no such call says so, and nothing more can be done there.
func syncNames(f *os.File) error {
	err := f.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		err = nil
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	return err
}

func isProtected(err error) bool { return errors.Is(err, syscall.EROFS) }

func isFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}
