package profiles

import (
	"errors"
	"syscall"
)

// syncDir does nothing: Windows opens no folder for syncing and orders its names
// itself.
func syncDir(string) error { return nil }

// Source: Microsoft, System Error Codes.
const (
	errorHandleDiskFull = syscall.Errno(39)
	errorDiskFull       = syscall.Errno(112)
)

func isFull(err error) bool {
	return errors.Is(err, errorDiskFull) || errors.Is(err, errorHandleDiskFull)
}
