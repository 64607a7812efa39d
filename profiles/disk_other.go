//go:build !windows

package profiles

import (
	"errors"
	"os"
	"syscall"

	"github.com/gofrs/flock"
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

// letGo lets go of a lock and takes its file away, in the other order: as long as it is held,
// the file is nobody else's.
func letGo(l *flock.Flock) error {
	_ = os.Remove(l.Path())
	return l.Unlock()
}

const errorDiskFull = syscall.ENOSPC

func isProtected(err error) bool { return errors.Is(err, syscall.EROFS) }

func isFull(err error) bool {
	return errors.Is(err, errorDiskFull) || errors.Is(err, syscall.EDQUOT)
}

// isBusy and isBusyName have no meaning here: files are opened, moved and taken away whoever
// has them open.
func isBusy(error) bool     { return false }
func isBusyName(error) bool { return false }
