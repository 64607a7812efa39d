//go:build linux || darwin

package disk

import (
	"golang.org/x/sys/unix"

	q "brinkmark/session/quantity"
)

// FreeSpace is how many bytes this user may still write to a folder's disk.
// Source: POSIX.1-2017, <sys/statvfs.h>: available blocks are those of users without
// special rights.
func FreeSpace(dir string) q.Maybe[uint64] {
	var s unix.Statfs_t
	if unix.Statfs(dir, &s) != nil || s.Blocks == 0 { // what is no disk has no blocks
		return q.Maybe[uint64]{}
	}
	return q.Known(s.Bavail * uint64(s.Bsize))
}

// MayWrite asks whether this user may make files in a folder, without making one.
// Source: POSIX.1-2017, access(): a file system that is read-only says so too.
func MayWrite(dir string) q.Maybe[bool] {
	return q.Known(unix.Access(dir, unix.W_OK|unix.X_OK) == nil)
}
