package profiles

import (
	"brinkmark/profiles/problem"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// rootDisk is a disk below one folder, which nothing on it can lead out of: names are
// below the folder, and no link is followed to the outside.
type rootDisk struct{ root *os.Root }

func (d rootDisk) OpenFile(name string, flag int, perm fs.FileMode) (file, error) {
	var f *os.File
	err := patiently(isBusy, func() (err error) { f, err = d.root.OpenFile(name, flag, perm); return err })
	if err != nil { // not a file that is nil
		return nil, err
	}
	return f, nil
}
func (d rootDisk) Lstat(name string) (fs.FileInfo, error) { return d.root.Lstat(name) }
func (d rootDisk) Link(from, to string) error {
	return patiently(isBusy, func() error { return d.root.Link(from, to) })
}
func (d rootDisk) Rename(from, to string) error {
	return patiently(isBusyName, func() error { return d.root.Rename(from, to) })
}
func (d rootDisk) Remove(name string) error {
	return patiently(isBusyName, func() error { return d.root.Remove(name) })
}

func (d rootDisk) SyncDir(dir string) error {
	if runtime.GOOS == "windows" { // folders cannot be synced there
		return nil
	}
	f, err := d.root.Open(dir)
	if err != nil {
		return err
	}
	return syncNames(f)
}

// shelf is one side of an exchange: a folder with records in the places of a library.
type shelf struct {
	dir    string
	root   *os.Root
	disk   disk
	places map[string]string // of the records, by their names
	unread map[string]bool   // folders with a card that cannot be read
}

func openShelf(dir string) (*shelf, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, plainDiskError(err)
	}
	return &shelf{dir: dir, root: root, disk: rootDisk{root}, unread: map[string]bool{}}, nil
}

// folder makes a folder of the shelf and those above it. One that is a link, or no
// folder, is an error: nobody knows where it leads.
func (s *shelf) folder(name string) error {
	if name == "." {
		return nil
	}
	if err := s.folder(filepath.Dir(name)); err != nil {
		return err
	}
	info, err := s.disk.Lstat(name)
	switch {
	case err == nil && !info.IsDir():
		return &problem.FileError{Path: filepath.Join(s.dir, name), Problem: "not a plain folder", Hint: "move it away"}
	case err == nil:
		return nil
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	if err := s.root.Mkdir(name, folderPerm); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return s.disk.SyncDir(filepath.Dir(name))
}

// list returns the names in a folder of the shelf, none when it is not there. A folder
// that is a link has none that count.
func (s *shelf) list(name string) ([]fs.DirEntry, error) {
	info, err := s.disk.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	case !info.IsDir():
		return nil, &problem.FileError{Path: filepath.Join(s.dir, name), Problem: "not a plain folder", Hint: "left alone, with all that is in it"}
	}
	f, err := s.root.Open(name)
	if err != nil {
		return nil, err
	}
	entries, err := f.ReadDir(-1)
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return entries, errors.Join(err, f.Close())
}
