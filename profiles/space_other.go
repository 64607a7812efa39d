//go:build !linux && !darwin && !windows

package profiles

import q "brinkmark/session/quantity"

// freeSpace is not known here.
func freeSpace(string) q.Maybe[uint64] { return q.Maybe[uint64]{} }

// mayWrite is not known here.
func mayWrite(string) q.Maybe[bool] { return q.Maybe[bool]{} }
