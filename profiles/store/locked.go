package store

import (
	"fmt"
	"time"
)

// Holder is the program that has a record open. It is zero when not known.
type Holder struct {
	Process int
	Host    string
	Since   time.Time
}

// LockedError says that a record is open in another window.
type LockedError struct {
	Path   string
	Holder Holder
	At     time.Time // when it was found so
}

func (e *LockedError) Error() string {
	const problem, hint = "this record is open in another window", "\n  close it there, or wait"
	h := e.Holder
	if h.Process == 0 {
		return problem + hint
	}
	clock := "15:04"
	if h.Since.Format(time.DateOnly) != e.At.Format(time.DateOnly) {
		clock = "2006-01-02 15:04"
	}
	return fmt.Sprintf("%s (process %d on %s, since %s)%s", problem, h.Process, h.Host, h.Since.Format(clock), hint)
}
