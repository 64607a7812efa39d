package profiles

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestJournalOpenTwice(t *testing.T) {
	path, _ := writtenJournal(t)
	j, _, err := OpenJournal(path)
	require.NoError(t, err)
	for range 2 {
		_, _, err = OpenJournal(path)
		var locked *LockedError
		require.ErrorAs(t, err, &locked)
		require.Equal(t, os.Getpid(), locked.Holder.Process)
	}
	_, err = CreateJournal(path, testHead)
	require.ErrorAs(t, err, new(*LockedError))
	require.NoError(t, j.Append(testEntry(4)), "who has it goes on")
	require.NoError(t, j.Close())
	second, _, err := OpenJournal(path)
	require.NoError(t, err)
	require.NoError(t, j.Close(), "closing again does not take the lock from the next")
	_, _, err = OpenJournal(path)
	require.ErrorAs(t, err, new(*LockedError))
	require.NoError(t, second.Close())
}

func TestJournalOpenInAnotherProcess(t *testing.T) {
	path, _ := writtenJournal(t)
	child, lines := startChild(t, path)
	_, _, err := OpenJournal(path)
	var locked *LockedError
	require.ErrorAs(t, err, &locked)
	require.Equal(t, child.Process.Pid, locked.Holder.Process)
	require.NoError(t, child.Process.Kill())
	for lines.Scan() {
	}
	require.Error(t, child.Wait())
	require.FileExists(t, path+".holder", "a killed process leaves its name")
	j, _, err := OpenJournal(path)
	require.NoError(t, err)
	require.NoError(t, j.Close())
	require.NoFileExists(t, path+".holder")
	require.NoFileExists(t, path+".lock")
}

func TestLockedError(t *testing.T) {
	at := time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC)
	for want, since := range map[string]time.Time{
		"this record is open in another window (process 123 on TABLET-2, since 07:42)\n  close it there, or wait":            at.Add(-78 * time.Minute),
		"this record is open in another window (process 123 on TABLET-2, since 2026-05-13 09:00)\n  close it there, or wait": at.AddDate(0, 0, -1),
	} {
		require.EqualError(t, &LockedError{"j", Holder{123, "TABLET-2", since}, at}, want)
	}
	require.EqualError(t, &LockedError{Path: "j", At: at}, "this record is open in another window\n  close it there, or wait")
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
	require.NoError(t, l.Unlock())
	l, err = lockLibrary(dir)
	require.NoError(t, err)
	require.NoError(t, l.Unlock())
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
	require.NoError(t, l.Unlock())
}

// A lock on a file that its holder took away is worth nothing: the next has another.
func TestLockOfAFileTakenAway(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.lock")
	l, err := takeLock(path, time.Minute)
	require.NoError(t, err)
	require.True(t, l.isNamed())
	if runtime.GOOS == "windows" { // which takes no open file away
		require.Error(t, os.Remove(path))
		require.NoError(t, l.Unlock())
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
			if err := l.Unlock(); err != nil || together > 1 {
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
