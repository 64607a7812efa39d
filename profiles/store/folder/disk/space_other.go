//go:build !linux && !darwin && !windows

package disk

import q "brinkmark/session/quantity"

// FreeSpace is not known here.
func FreeSpace(string) q.Maybe[uint64] { return q.Maybe[uint64]{} }

// MayWrite is not known here.
func MayWrite(string) q.Maybe[bool] { return q.Maybe[bool]{} }
