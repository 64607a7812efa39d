package folder

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode"

	"github.com/gofrs/flock"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder/disk"
)

const (
	recordWait  = 100 * time.Millisecond // a window that is just closing
	libraryWait = 5 * time.Second        // many times what a save takes
	lockRetry   = 10 * time.Millisecond
)

// errHeld says that another program has the lock.
var errHeld = errors.New("locked by another program")

// lock is a lock on a file of its own. It falls with its process, however
// that ends.
type lock struct {
	flock  *flock.Flock
	holder string // file that names who has it, or ""
}

// takeLock locks the file at path, waiting no longer than wait.
func takeLock(path string, wait time.Duration) (*lock, error) {
	ctx, cancel := context.WithTimeout(context.Background(), wait)
	defer cancel()
	for {
		if _, err := regularOrNew(disk.OS{}, path); err != nil { // opening a pipe waits for ever
			return nil, err
		}
		l := &lock{flock: flock.New(path, flock.SetPermissions(filePerm))}
		err := disk.Patiently(disk.IsBusy, func() error {
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
			return nil, err
		case l.isNamed():
			return l, nil
		}
		_ = l.flock.Unlock() // its holder took it off the disk; lock the new one
	}
}

// isNamed reports whether the locked file is still the one others would open.
func (l *lock) isNamed() bool {
	mine, err1 := l.flock.Stat()
	named, err2 := os.Stat(l.flock.Path())
	return err1 == nil && err2 == nil && os.SameFile(mine, named)
}

// Held reports whether Release has not been called.
func (l *lock) Held() bool { return l.flock.Locked() }

// Release takes the lock's files away and lets go. A second call does nothing.
func (l *lock) Release() error {
	if !l.Held() {
		return nil // the files may be another's by now
	}
	if l.holder != "" {
		_ = disk.OS{}.Remove(l.holder) // a stale name is replaced by the next holder
	}
	return disk.LetGo(l.flock)
}

// lockRecord locks the record at path and says so in a file beside it. If another
// has it the error is a [store.LockedError].
func lockRecord(path string, now time.Time) (*lock, error) {
	holder := path + ".holder"
	l, err := takeLock(path+".lock", recordWait)
	if errors.Is(err, errHeld) {
		return nil, &store.LockedError{Path: path, Holder: readHolder(holder), At: now}
	}
	if err != nil {
		return nil, err
	}
	l.holder = holder
	writeHolder(holder, now)
	return l, nil
}

// lockLibrary locks the library for a save. The caller lets go of it at once after.
func lockLibrary(dir string) (*lock, error) {
	l, err := takeLock(filepath.Join(dir, ".lock"), libraryWait)
	if errors.Is(err, errHeld) {
		return nil, fmt.Errorf("library %s: another window has been saving to it for %v\n  try again in a moment", dir, libraryWait)
	}
	return l, store.Plain(reason(err))
}

const holderText = "process %d\nhost %s\nsince %s\n"

// writeHolder names this process. It is a courtesy to the next who asks: if it
// cannot be written the lock holds all the same.
func writeHolder(path string, now time.Time) {
	_ = disk.OS{}.Remove(path)
	f, err := disk.OS{}.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, filePerm)
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
func readHolder(path string) store.Holder {
	data, _, err := readFile(disk.OS{}, path)
	if err != nil {
		return store.Holder{}
	}
	var h store.Holder
	var since string
	if _, err := fmt.Sscanf(string(data), holderText, &h.Process, &h.Host, &since); err != nil {
		return store.Holder{}
	}
	h.Since, err = time.Parse(time.RFC3339, since)
	if err != nil || strings.ContainsFunc(h.Host, func(r rune) bool { return !unicode.IsGraphic(r) }) {
		return store.Holder{}
	}
	h.Host = problem.Clip(h.Host)
	return h
}

// holderOf says which program has a record open; nil when none has. A lock that is left
// from a killed program holds nothing.
func holderOf(path string, now time.Time) *store.LockedError {
	if _, err := regular(disk.OS{}, path+".lock"); err != nil { // nobody has it open
		return nil
	}
	// To be let in beside others for a moment: who wants it alone tries for longer.
	look := flock.New(path+".lock", flock.SetFlag(os.O_RDONLY))
	free, err := look.TryRLock()
	switch {
	case err != nil: // gone meanwhile
		return nil
	case free:
		_ = look.Unlock()
		return nil
	}
	return &store.LockedError{Path: path, Holder: readHolder(path + ".holder"), At: now}
}
