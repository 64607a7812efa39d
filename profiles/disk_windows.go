package profiles

import (
	"errors"
	"os"
	"syscall"
)

// syncDir does nothing: Windows opens no folder for syncing and orders its names
// itself.
func syncDir(string) error { return nil }

func syncNames(f *os.File) error { return f.Close() }

// Source: Microsoft, System Error Codes.
const (
	errorWriteProtect   = syscall.Errno(19)
	errorHandleDiskFull = syscall.Errno(39)
	errorDiskFull       = syscall.Errno(112)
)

func isProtected(err error) bool { return errors.Is(err, errorWriteProtect) }

func isFull(err error) bool {
	return errors.Is(err, errorDiskFull) || errors.Is(err, errorHandleDiskFull)
}
