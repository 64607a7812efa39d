//go:build !windows

package disk

import (
	"errors"
	"os"
	"syscall"

	"github.com/gofrs/flock"
)

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

// LetGo lets go of a lock and takes its file away, in the other order: as long as it is held,
// the file is nobody else's.
func LetGo(l *flock.Flock) error {
	_ = os.Remove(l.Path())
	return l.Unlock()
}

const ErrDiskFull = syscall.ENOSPC

func IsProtected(err error) bool { return errors.Is(err, syscall.EROFS) }

func IsNoFolder(err error) bool { return errors.Is(err, syscall.ENOTDIR) }

func IsFull(err error) bool {
	return errors.Is(err, ErrDiskFull) || errors.Is(err, syscall.EDQUOT)
}

// IsBusy and isBusyName have no meaning here: files are opened, moved and taken away whoever
// has them open.
func IsBusy(error) bool     { return false }
func isBusyName(error) bool { return false }
