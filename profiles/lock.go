package profiles

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

// LockedError says that another window has the record open, and which.
type LockedError struct{ Holder string }

func (e *LockedError) Error() string {
	return fmt.Sprintf("this trial is open in another window (%s)\n  close it there, or wait", e.Holder)
}

// heldLock is a lock on a record, and the file beside it that names who holds it.
type heldLock struct {
	lock   *flock.Flock
	holder string
}

// lockJournal takes a record's lock. It is freed when the process ends, however it
// ends.
func lockJournal(path string) (*heldLock, error) {
	l := &heldLock{flock.New(path + ".lock"), path + ".holder"}
	ok, err := l.lock.TryLock()
	if err != nil {
		return nil, plainDiskError(err)
	}
	if !ok {
		return nil, &LockedError{readHolder(l.holder)}
	}
	host, _ := os.Hostname()
	text := fmt.Sprintf("process %d on %s", os.Getpid(), host)
	if err := os.WriteFile(l.holder, []byte(text), 0o644); err != nil {
		return nil, errors.Join(plainDiskError(err), l.lock.Unlock())
	}
	return l, nil
}

// release frees the lock and takes its files away while it is still held.
func (l *heldLock) release() error {
	_ = os.Remove(l.holder)
	return l.lock.Unlock()
}

func readHolder(path string) string {
	b, err := os.ReadFile(path)
	if err != nil || len(b) == 0 {
		return "it does not say which"
	}
	return clip(strings.ToValidUTF8(string(b), "?"))
}

// saveWait is how long a save waits for another window's.
const saveWait = 5 * time.Second

// lockLibrary takes the library's lock for a save.
func lockLibrary(dir string) (*flock.Flock, error) {
	lock := flock.New(filepath.Join(dir, "library.lock"))
	ctx, cancel := context.WithTimeout(context.Background(), saveWait)
	defer cancel()
	ok, err := lock.TryLockContext(ctx, 20*time.Millisecond)
	if errors.Is(err, context.DeadlineExceeded) || (err == nil && !ok) {
		return nil, errors.New("another window is saving to this library\n  wait for it, then do it again")
	}
	if err != nil {
		return nil, plainDiskError(err)
	}
	return lock, nil
}
