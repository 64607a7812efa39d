package disk

import (
	"golang.org/x/sys/windows"

	q "brinkmark/session/quantity"
)

// FreeSpace is how many bytes this user may still write to a folder's disk.
// Source: Microsoft, GetDiskFreeSpaceExW.
func FreeSpace(dir string) q.Maybe[uint64] {
	name, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return q.Maybe[uint64]{}
	}
	var free uint64
	if windows.GetDiskFreeSpaceEx(name, &free, nil, nil) != nil {
		return q.Maybe[uint64]{}
	}
	return q.Known(free)
}

// MayWrite is not known: Windows tells it only to who writes.
func MayWrite(string) q.Maybe[bool] { return q.Maybe[bool]{} }
