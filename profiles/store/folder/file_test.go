package folder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder/disk"
	"brinkmark/profiles/store/storetest"

	"github.com/stretchr/testify/require"
)

var oldText, newText = strings.Repeat("old\n", 300), strings.Repeat("fresh\n", 400)

// putFileOn puts a text in place of what a disk has there, or makes it.
func putFileOn(d disk.Disk, path string, text []byte) error {
	f := On(d, filepath.Dir(path))
	name := filepath.Base(path)
	_, old, err := f.Read(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return f.Write(name, old, text)
}

func fileText(t testing.TB, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func putFile(t testing.TB, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), filePerm))
}

func TestReplaceFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "card.toml")
	require.NoError(t, putFileOn(disk.OS{}, path, []byte(oldText)))
	require.Equal(t, oldText, fileText(t, path))
	require.NoError(t, putFileOn(disk.OS{}, path, []byte(newText)))
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
	require.NoError(t, create(disk.OS{}, path, []byte(oldText)))
	require.ErrorIs(t, create(disk.OS{}, path, []byte(newText)), fs.ErrExist)
	require.Equal(t, oldText, fileText(t, path))
	names, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, names, 1)
}

// linkless is the disk of a stick: its file system has no links.
type linkless struct{ disk.OS }

func (linkless) Link(from, to string) error {
	return &os.LinkError{Op: "link", Old: from, New: to, Err: syscall.EPERM}
}

func TestCreateFileOnAStick(t *testing.T) {
	path := filepath.Join(t.TempDir(), "profile.toml")
	require.NoError(t, create(linkless{}, path, []byte(oldText)))
	require.ErrorIs(t, create(linkless{}, path, []byte(newText)), fs.ErrExist)
	require.Equal(t, oldText, fileText(t, path))
}

// forgetful reads back something else than was written.
type forgetful struct{ disk.OS }

func (d forgetful) OpenFile(name string, flag int, perm fs.FileMode) (disk.File, error) {
	if flag == os.O_RDONLY {
		name = os.DevNull
	}
	return d.OS.OpenFile(name, flag, perm)
}

func TestCreateFileReadsBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "profile.toml")
	require.ErrorContains(t, create(forgetful{}, path, []byte(oldText)), "the disk did not keep what was written")
	require.NoFileExists(t, path)
}

// Whichever call fails, in whichever way, a name shows the old content whole or
// the new; acknowledged, it shows the new, and after a power cut too.
func TestFilesFailAtEveryCall(t *testing.T) {
	long(t)
	replace := func(d disk.Disk, path string) error { return putFileOn(d, path, []byte(newText)) }
	create := func(d disk.Disk, path string) error { return create(d, path, []byte(newText)) }
	for _, row := range []struct {
		name, old string
		do        func(disk.Disk, string) error
	}{{"replace", oldText, replace}, {"write", "", replace}, {"create", "", create}} {
		for name, fault := range storetest.AllFaults {
			for _, stays := range []bool{false, true} {
				reached := true
				for at := 1; reached; at++ {
					when := fmt.Sprintf("%s, %s at call %d, stays %v", row.name, name, at, stays)
					path := filepath.Join(t.TempDir(), "f.toml")
					if row.old != "" {
						putFile(t, path, row.old)
					}
					d := &storetest.FaultyDisk{Disk: disk.OS{}, Fault: fault, At: at, Stays: stays}
					err := row.do(d, path)
					reached = d.Calls >= at
					requireContent(t, path, row.old, err == nil, when)
				}
			}
		}
		reached := true
		for at := 1; reached; at++ {
			memory := storetest.NewMemoryDisk()
			if row.old != "" {
				require.NoError(t, putFileOn(memory, "/f.toml", []byte(row.old)))
			}
			d := &storetest.FaultyDisk{Disk: memory, Fault: storetest.Refuses, At: at, Stays: true}
			err := row.do(d, "/f.toml")
			reached = d.Calls >= at
			memory.PowerCuts(t, func(dir, state string) {
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
	require.NoError(t, makeFolders(disk.OS{}, dir))
	require.DirExists(t, dir)
	require.NoError(t, makeFolders(disk.OS{}, dir))
	putFile(t, filepath.Join(dir, "file"), "")
	require.ErrorContains(t, makeFolders(disk.OS{}, filepath.Join(dir, "file")), "a file, where a folder is needed")
	err := store.Plain(reason(makeFolders(disk.OS{}, filepath.Join(dir, "file", "x"))))
	require.ErrorContains(t, err, "where a folder is needed")
	if runtime.GOOS != "windows" { // which says only that the path is not there
		require.ErrorIs(t, err, syscall.ENOTDIR)
	}
	d := &storetest.FaultyDisk{Disk: disk.OS{}, Fault: storetest.Refuses, At: 1}
	require.ErrorIs(t, makeFolders(d, filepath.Join(dir, "d", "e")), disk.ErrDiskFull)
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
	require.NoError(t, (&Folder{dir: dir, disk: disk.OS{}}).Tidy(".", now))
	require.NoFileExists(t, filepath.Join(dir, ".tmp-old"))
	require.FileExists(t, filepath.Join(dir, ".tmp-young"))
	require.FileExists(t, filepath.Join(dir, "record.toml"))
	require.DirExists(t, filepath.Join(dir, ".tmp-folder"))
}

func TestPlainDiskError(t *testing.T) {
	for err, want := range map[syscall.Errno]string{
		disk.ErrDiskFull: "the disk is full: free some space and try again",
		syscall.EACCES:   "check the rights of the folder, or name another library",
		syscall.EEXIST:   "records are never written over: move the file away if it is not needed",
		syscall.ENOENT:   "check the name of the file and its folder",
		syscall.EIO:      "try again; if that fails too, copy the library to another disk",
	} {
		got := store.Plain(reason(&fs.PathError{Op: "write", Path: "x", Err: err}))
		require.EqualError(t, got, "write x: "+err.Error()+"\n  "+want)
		require.ErrorIs(t, got, err)
	}
	own := &problem.FileError{Path: "x", Problem: "not a plain file"}
	require.Equal(t, own, store.Plain(own))
	require.NoError(t, store.Plain(nil))
}

func TestWhatIsALink(t *testing.T) {
	for mode, want := range map[fs.FileMode]bool{0: false, fs.ModeDir: false, fs.ModeSymlink: true, fs.ModeIrregular: true, fs.ModeDir | fs.ModeIrregular: false} {
		info, err := fstest.MapFS{"x": {Mode: mode}}.Lstat("x")
		require.NoError(t, err)
		require.Equal(t, want, isLink(info), mode)
	}
}
