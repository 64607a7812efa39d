package profiles

import (
	"brinkmark/profiles/problem"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode"

	"github.com/gofrs/flock"
)

const (
	journalWait = 100 * time.Millisecond // a window that is just closing
	libraryWait = 5 * time.Second        // many times what a save takes
	lockRetry   = 10 * time.Millisecond
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

// errHeld says that another program has the lock.
var errHeld = errors.New("locked by another program")

// fileLock is a lock on a file of its own. It falls with its process, however
// that ends.
type fileLock struct {
	flock  *flock.Flock
	holder string // file that names who has it, or ""
}

// takeLock locks the file at path, waiting no longer than wait.
func takeLock(path string, wait time.Duration) (*fileLock, error) {
	ctx, cancel := context.WithTimeout(context.Background(), wait)
	defer cancel()
	for {
		if err := regularOrNew(osDisk{}, path); err != nil { // opening a pipe waits for ever
			return nil, plainDiskError(err)
		}
		l := &fileLock{flock: flock.New(path, flock.SetPermissions(filePerm))}
		err := patiently(isBusy, func() error {
			// Once whatever the clock says: a busy device may have slept the whole wait away.
			if got, err := l.flock.TryLock(); got || err != nil {
				return err
			}
			_, err := l.flock.TryLockContext(ctx, lockRetry)
			return err
		})
		switch {
		case errors.Is(err, context.DeadlineExceeded):
			return nil, errHeld
		case err != nil:
			return nil, plainDiskError(err)
		case l.isNamed():
			return l, nil
		}
		_ = l.flock.Unlock() // its holder took it off the disk; lock the new one
	}
}

// isNamed reports whether the locked file is still the one others would open.
func (l *fileLock) isNamed() bool {
	mine, err1 := l.flock.Stat()
	named, err2 := os.Stat(l.flock.Path())
	return err1 == nil && err2 == nil && os.SameFile(mine, named)
}

// held reports whether Unlock has not been called.
func (l *fileLock) held() bool { return l.flock.Locked() }

// Unlock takes the lock's files away and lets go. A second call does nothing.
func (l *fileLock) Unlock() error {
	if !l.held() {
		return nil // the files may be another's by now
	}
	if l.holder != "" {
		_ = osDisk{}.Remove(l.holder) // a stale name is replaced by the next holder
	}
	return letGo(l.flock)
}

// lockJournal locks the journal at path and says so in a file beside it. If another
// has it the error is a [LockedError].
func lockJournal(path string, now time.Time) (*fileLock, error) {
	holder := path + ".holder"
	l, err := takeLock(path+".lock", journalWait)
	if errors.Is(err, errHeld) {
		return nil, &LockedError{path, readHolder(holder), now}
	}
	if err != nil {
		return nil, err
	}
	l.holder = holder
	writeHolder(holder, now)
	return l, nil
}

// lockLibrary locks the library for a save. The caller lets go of it at once after.
func lockLibrary(dir string) (*fileLock, error) {
	l, err := takeLock(filepath.Join(dir, ".lock"), libraryWait)
	if errors.Is(err, errHeld) {
		return nil, fmt.Errorf("library %s: another window has been saving to it for %v\n  try again in a moment", dir, libraryWait)
	}
	return l, err
}

const holderText = "process %d\nhost %s\nsince %s\n"

// writeHolder names this process. It is a courtesy to the next who asks: if it
// cannot be written the lock holds all the same.
func writeHolder(path string, now time.Time) {
	_ = osDisk{}.Remove(path)
	f, err := osDisk{}.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, filePerm)
	if err != nil {
		return
	}
	host, err := os.Hostname()
	if host = strings.Join(strings.Fields(host), "-"); err != nil || host == "" {
		host = "this-device"
	}
	_, _ = fmt.Fprintf(f, holderText, os.Getpid(), host, now.Format(time.RFC3339))
	_ = f.Close()
}

// readHolder reads what writeHolder wrote, or nothing.
func readHolder(path string) Holder {
	data, err := readFile(osDisk{}, path)
	if err != nil {
		return Holder{}
	}
	var h Holder
	var since string
	if _, err := fmt.Sscanf(string(data), holderText, &h.Process, &h.Host, &since); err != nil {
		return Holder{}
	}
	h.Since, err = time.Parse(time.RFC3339, since)
	if err != nil || strings.ContainsFunc(h.Host, func(r rune) bool { return !unicode.IsGraphic(r) }) {
		return Holder{}
	}
	h.Host = problem.Clip(h.Host)
	return h
}
