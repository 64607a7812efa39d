package store

import (
	"errors"
	"fmt"
	"io/fs"

	"brinkmark/profiles/problem"
)

// Plain adds what to do about a store that refused, unless err says so.
func Plain(err error) error {
	var own *problem.FileError
	if err == nil || errors.As(err, &own) {
		return err
	}
	return fmt.Errorf("%w\n  %s", err, hint(err))
}

func hint(err error) string {
	switch {
	case errors.Is(err, ErrFull):
		return "the disk is full: free some space and try again"
	case errors.Is(err, ErrProtected):
		return "it is write-protected: take the protection off, or use another"
	case errors.Is(err, fs.ErrPermission):
		return "check the rights of the folder, or name another library"
	case errors.Is(err, fs.ErrExist):
		return "records are never written over: move the file away if it is not needed"
	case errors.Is(err, fs.ErrNotExist):
		return "check the name of the file and its folder"
	case errors.Is(err, ErrNoFolder):
		return "a file stands where a folder is needed: move it away, or name another library"
	}
	return "try again; if that fails too, copy the library to another disk"
}
