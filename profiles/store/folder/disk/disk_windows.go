package disk

import (
	"errors"
	"os"
	"syscall"

	"github.com/gofrs/flock"
	"golang.org/x/sys/windows"
)

func syncNames(f *os.File) error { return f.Close() }

// LetGo lets go of a lock and takes its file away if nobody else has opened it meanwhile:
// Windows takes no open file away, and opens none for itself alone that another has open.
// Source: Microsoft, CreateFileW, on dwShareMode and FILE_FLAG_DELETE_ON_CLOSE.
func LetGo(l *flock.Flock) error {
	err := l.Unlock()
	name, bad := windows.UTF16PtrFromString(l.Path())
	if err != nil || bad != nil {
		return err
	}
	const alone = 0
	if file, busy := windows.CreateFile(name, windows.DELETE, alone, nil, windows.OPEN_EXISTING, windows.FILE_FLAG_DELETE_ON_CLOSE, 0); busy == nil {
		_ = windows.CloseHandle(file)
	}
	return nil
}

// Source: Microsoft, System Error Codes.
const (
	errorAccessDenied     = syscall.Errno(5)
	errorWriteProtect     = syscall.Errno(19)
	errorSharingViolation = syscall.Errno(32)
	errorLockViolation    = syscall.Errno(33)
	errorHandleDiskFull   = syscall.Errno(39)
	ErrDiskFull           = syscall.Errno(112)
)

// IsBusy reports whether another program has a file open and lets nobody else.
func IsBusy(err error) bool {
	return errors.Is(err, errorSharingViolation) || errors.Is(err, errorLockViolation)
}

// isBusyName reports whether another program may have a file open whose name was to go:
// then Windows also says that access is denied.
func isBusyName(err error) bool { return IsBusy(err) || errors.Is(err, errorAccessDenied) }

func IsProtected(err error) bool { return errors.Is(err, errorWriteProtect) }

func IsNoFolder(err error) bool { return errors.Is(err, syscall.ENOTDIR) }

func IsFull(err error) bool {
	return errors.Is(err, ErrDiskFull) || errors.Is(err, errorHandleDiskFull)
}
