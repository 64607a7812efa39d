package folder

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"
	"unicode"

	"brinkmark/profiles/store"

	"github.com/stretchr/testify/require"
)

func TestLockedError(t *testing.T) {
	at := time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC)
	for want, since := range map[string]time.Time{
		"this record is open in another window (process 123 on TABLET-2, since 07:42)\n  close it there, or wait":            at.Add(-78 * time.Minute),
		"this record is open in another window (process 123 on TABLET-2, since 2026-05-13 09:00)\n  close it there, or wait": at.AddDate(0, 0, -1),
	} {
		require.EqualError(t, &store.LockedError{Path: "j", Holder: store.Holder{Process: 123, Host: "TABLET-2", Since: since}, At: at}, want)
	}
	require.EqualError(t, &store.LockedError{Path: "j", At: at}, "this record is open in another window\n  close it there, or wait")
}

func TestHolder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "j.holder")
	require.Zero(t, readHolder(path))
	now := time.Date(2026, 5, 14, 7, 42, 0, 0, time.UTC)
	writeHolder(path, now)
	h := readHolder(path)
	require.Equal(t, os.Getpid(), h.Process)
	require.NotEmpty(t, h.Host)
	require.True(t, now.Equal(h.Since))
	for _, bad := range []string{"", "process", "process 1\nhost a\nsince x\n", "process 1\nhost a\x1b[2J\nsince 2026-05-14T07:42:00Z\n"} {
		putFile(t, path, bad)
		require.Zero(t, readHolder(path), "%q", bad)
	}
	// What stands in the way of the name does not stand in the way of the trial.
	require.NoError(t, os.Remove(path))
	require.NoError(t, os.Mkdir(path, folderPerm))
	putFile(t, filepath.Join(path, "x"), "")
	writeHolder(path, now)
	require.Zero(t, readHolder(path))
}

func TestLibraryLock(t *testing.T) {
	dir := t.TempDir()
	l, err := lockLibrary(dir)
	require.NoError(t, err)
	_, err = takeLock(l.flock.Path(), time.Millisecond)
	require.ErrorIs(t, err, errHeld)
	require.NoError(t, l.Release())
	l, err = lockLibrary(dir)
	require.NoError(t, err)
	require.NoError(t, l.Release())
	_, err = lockLibrary(filepath.Join(dir, "none"))
	require.ErrorIs(t, err, os.ErrNotExist)
}

// A device that was busy elsewhere for the whole wait has still not been refused a free lock.
func TestLockIsTriedOnceAtLeast(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.lock")
	l, err := takeLock(path, 0)
	require.NoError(t, err)
	_, err = takeLock(path, 0)
	require.ErrorIs(t, err, errHeld)
	require.NoError(t, l.Release())
}

// A lock on a file that its holder took away is worth nothing: the next has another.
func TestLockOfAFileTakenAway(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.lock")
	l, err := takeLock(path, time.Minute)
	require.NoError(t, err)
	require.True(t, l.isNamed())
	if runtime.GOOS == "windows" { // which takes no open file away
		require.Error(t, os.Remove(path))
		require.NoError(t, l.Release())
		return
	}
	require.NoError(t, os.Remove(path))
	require.False(t, l.isNamed())
	putFile(t, path, "")
	require.False(t, l.isNamed())
}

// Many take the lock in turn while its file comes and goes: never two at once.
func TestLockIsForOne(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.lock")
	const takers, turns = 6, 30
	var inside atomic.Int32
	problems := make(chan error, takers)
	take := func() error {
		for range turns {
			l, err := takeLock(path, time.Minute)
			if err != nil {
				return err
			}
			together := inside.Add(1)
			inside.Add(-1)
			if err := l.Release(); err != nil || together > 1 {
				return fmt.Errorf("%d inside together: %w", together, err)
			}
		}
		return nil
	}
	for range takers {
		go func() { problems <- take() }()
	}
	for range takers {
		require.NoError(t, <-problems)
	}
}

// FuzzHolder: whatever stands beside a lock, what is said of its holder is one line and its
// hint.
func FuzzHolder(f *testing.F) {
	for _, text := range []string{"process 1\nhost here\nsince 2026-03-04T12:00:00Z\n", "process -1\nhost \x1b[2J\nsince x\n", "process 99999999999999999999\n", "", "process 1\nhost a\u202eb\nsince 9999-12-31T23:59:59Z\n"} {
		f.Add(text)
	}
	path := filepath.Join(f.TempDir(), "x.holder")
	f.Fuzz(func(t *testing.T, text string) {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
		said := (&store.LockedError{Path: path, Holder: readHolder(path)}).Error()
		require.Equal(t, 1, strings.Count(said, "\n"))
		require.False(t, strings.ContainsFunc(said, func(r rune) bool { return r != '\n' && unicode.IsControl(r) }), "%q", said)
	})
}
