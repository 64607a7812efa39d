package journal

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder/disk"
)

func TestJournalOpenTwice(t *testing.T) {
	path, _ := writtenJournal(t)
	j, _, err := open(disk.OS{}, path)
	require.NoError(t, err)
	for range 2 {
		_, _, err = open(disk.OS{}, path)
		var locked *store.LockedError
		require.ErrorAs(t, err, &locked)
		require.Equal(t, os.Getpid(), locked.Holder.Process)
	}
	_, err = create(disk.OS{}, path, testHead)
	require.ErrorAs(t, err, new(*store.LockedError))
	require.NoError(t, j.Append(testEntry(4)), "who has it goes on")
	require.NoError(t, j.Close())
	second, _, err := open(disk.OS{}, path)
	require.NoError(t, err)
	require.NoError(t, j.Close(), "closing again does not take the lock from the next")
	_, _, err = open(disk.OS{}, path)
	require.ErrorAs(t, err, new(*store.LockedError))
	require.NoError(t, second.Close())
}

func TestJournalOpenInAnotherProcess(t *testing.T) {
	path, _ := writtenJournal(t)
	child, lines := startChild(t, path)
	_, _, err := open(disk.OS{}, path)
	var locked *store.LockedError
	require.ErrorAs(t, err, &locked)
	require.Equal(t, child.Process.Pid, locked.Holder.Process)
	require.NoError(t, child.Process.Kill())
	for lines.Scan() {
	}
	require.Error(t, child.Wait())
	require.FileExists(t, path+".holder", "a killed process leaves its name")
	j, _, err := open(disk.OS{}, path)
	require.NoError(t, err)
	require.NoError(t, j.Close())
	require.NoFileExists(t, path+".holder")
	require.NoFileExists(t, path+".lock")
}
