package profiles

import (
	"brinkmark/profiles/problem"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var oldText, newText = strings.Repeat("old\n", 300), strings.Repeat("fresh\n", 400)

func TestReplaceFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "card.toml")
	require.NoError(t, replaceFile(osDisk{}, path, []byte(oldText)))
	require.Equal(t, oldText, fileText(t, path))
	require.NoError(t, replaceFile(osDisk{}, path, []byte(newText)))
	require.Equal(t, newText, fileText(t, path))
	info, err := os.Stat(path)
	require.NoError(t, err)
	if runtime.GOOS != "windows" { // which has other rights
		require.Zero(t, info.Mode().Perm()&0o133, "nobody else may write it, nobody may run it")
	}
	names, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, names, 1)
}

func TestCreateFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "profile.toml")
	require.NoError(t, createFile(osDisk{}, path, []byte(oldText)))
	require.ErrorIs(t, createFile(osDisk{}, path, []byte(newText)), fs.ErrExist)
	require.Equal(t, oldText, fileText(t, path))
	names, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, names, 1)
}

// linkless is the disk of a stick: its file system has no links.
type linkless struct{ osDisk }

func (linkless) Link(from, to string) error {
	return &os.LinkError{Op: "link", Old: from, New: to, Err: syscall.EPERM}
}

func TestCreateFileOnAStick(t *testing.T) {
	path := filepath.Join(t.TempDir(), "profile.toml")
	require.NoError(t, createFile(linkless{}, path, []byte(oldText)))
	require.ErrorIs(t, createFile(linkless{}, path, []byte(newText)), fs.ErrExist)
	require.Equal(t, oldText, fileText(t, path))
}

// forgetful reads back something else than was written.
type forgetful struct{ osDisk }

func (d forgetful) OpenFile(name string, flag int, perm fs.FileMode) (file, error) {
	if flag == os.O_RDONLY {
		name = os.DevNull
	}
	return d.osDisk.OpenFile(name, flag, perm)
}

func TestCreateFileReadsBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "profile.toml")
	require.ErrorContains(t, createFile(forgetful{}, path, []byte(oldText)), "the disk did not keep what was written")
	require.NoFileExists(t, path)
}

// Whichever call fails, in whichever way, a name shows the old content whole or
// the new; acknowledged, it shows the new, and after a power cut too.
func TestFilesFailAtEveryCall(t *testing.T) {
	replace := func(d disk, path string) error { return replaceFile(d, path, []byte(newText)) }
	create := func(d disk, path string) error { return createFile(d, path, []byte(newText)) }
	for _, row := range []struct {
		name, old string
		do        func(disk, string) error
	}{{"replace", oldText, replace}, {"write", "", replace}, {"create", "", create}} {
		for name, fault := range allFaults {
			for _, stays := range []bool{false, true} {
				reached := true
				for at := 1; reached; at++ {
					when := fmt.Sprintf("%s, %s at call %d, stays %v", row.name, name, at, stays)
					path := filepath.Join(t.TempDir(), "f.toml")
					if row.old != "" {
						putFile(t, path, row.old)
					}
					d := &faultyDisk{disk: osDisk{}, fault: fault, at: at, stays: stays}
					err := row.do(d, path)
					reached = d.calls >= at
					requireContent(t, path, row.old, err == nil, when)
				}
			}
		}
		reached := true
		for at := 1; reached; at++ {
			memory := newMemoryDisk()
			if row.old != "" {
				require.NoError(t, replaceFile(memory, "/f.toml", []byte(row.old)))
			}
			d := &faultyDisk{disk: memory, fault: refuses, at: at, stays: true}
			err := row.do(d, "/f.toml")
			reached = d.calls >= at
			memory.powerCuts(t, func(dir, state string) {
				requireContent(t, filepath.Join(dir, "f.toml"), row.old, err == nil, fmt.Sprintf("%s, power cut after call %d, %s", row.name, at, state))
			})
		}
	}
}

func requireContent(t *testing.T, path, old string, acknowledged bool, when string) {
	t.Helper()
	got, err := os.ReadFile(path)
	if old == "" && !acknowledged && os.IsNotExist(err) {
		return
	}
	require.NoError(t, err, when)
	if acknowledged || string(got) != old || old == "" {
		require.Equal(t, newText, string(got), when)
	}
}

func TestMakeFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b", "c")
	require.NoError(t, makeFolder(osDisk{}, dir))
	require.DirExists(t, dir)
	require.NoError(t, makeFolder(osDisk{}, dir))
	putFile(t, filepath.Join(dir, "file"), "")
	require.ErrorContains(t, makeFolder(osDisk{}, filepath.Join(dir, "file")), "a file, where a folder is needed")
	err := makeFolder(osDisk{}, filepath.Join(dir, "file", "x"))
	require.ErrorContains(t, err, "where a folder is needed")
	if runtime.GOOS != "windows" { // which says only that the path is not there
		require.ErrorIs(t, err, syscall.ENOTDIR)
	}
	d := &faultyDisk{disk: osDisk{}, fault: refuses, at: 1}
	require.ErrorIs(t, makeFolder(d, filepath.Join(dir, "d", "e")), errorDiskFull)
}

func TestCleanTemps(t *testing.T) {
	dir := t.TempDir()
	now := time.Date(2026, 5, 14, 7, 42, 0, 0, time.UTC)
	for name, age := range map[string]time.Duration{".tmp-old": 2 * time.Hour, ".tmp-young": time.Minute, "record.toml": 48 * time.Hour} {
		putFile(t, filepath.Join(dir, name), "x")
		require.NoError(t, os.Chtimes(filepath.Join(dir, name), now, now.Add(-age)))
	}
	require.NoError(t, os.Mkdir(filepath.Join(dir, ".tmp-folder"), folderPerm))
	require.NoError(t, os.Chtimes(filepath.Join(dir, ".tmp-folder"), now, now.Add(-2*time.Hour)))
	require.NoError(t, cleanTemps(osDisk{}, dir, now))
	require.NoFileExists(t, filepath.Join(dir, ".tmp-old"))
	require.FileExists(t, filepath.Join(dir, ".tmp-young"))
	require.FileExists(t, filepath.Join(dir, "record.toml"))
	require.DirExists(t, filepath.Join(dir, ".tmp-folder"))
}

func TestPlainDiskError(t *testing.T) {
	for err, want := range map[syscall.Errno]string{
		errorDiskFull:  "the disk is full: free some space and try again",
		syscall.EACCES: "check the rights of the folder, or name another library",
		syscall.EEXIST: "records are never written over: move the file away if it is not needed",
		syscall.ENOENT: "check the name of the file and its folder",
		syscall.EIO:    "try again; if that fails too, copy the library to another disk",
	} {
		got := plainDiskError(&fs.PathError{Op: "write", Path: "x", Err: err})
		require.EqualError(t, got, "write x: "+err.Error()+"\n  "+want)
		require.ErrorIs(t, got, err)
	}
	own := &problem.FileError{Path: "x", Problem: "not a plain file"}
	require.Equal(t, own, plainDiskError(own))
	require.NoError(t, plainDiskError(nil))
}

// What another program is in the way of is done when it has gone; what it stays in the way
// of, and what is wrong otherwise, is told.
func TestPatiently(t *testing.T) {
	busy, other := errors.New("busy"), errors.New("other")
	for _, row := range []struct {
		answers []error // of one try after the other; the last of them stays
		want    error
		tries   int
	}{
		{[]error{nil}, nil, 1},
		{[]error{busy, busy, nil}, nil, 3},
		{[]error{busy, other, nil}, other, 2},
		{[]error{other, nil}, other, 1},
		{[]error{busy}, busy, 9}, // waits of 1, 2, 4 … 128 ms between them
	} {
		tries := 0
		err := patiently(func(err error) bool { return err == busy }, func() error {
			tries++
			return row.answers[min(tries, len(row.answers))-1]
		})
		require.Equal(t, row.want, err)
		require.Equal(t, row.tries, tries)
	}
}
