// Package folder keeps a library's records as files in a folder of a disk. It alone knows paths.
package folder

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder/disk"
)

// Folder is a store in a folder.
type Folder struct {
	dir  string // whole
	disk disk.Disk
	// rooted is set of a folder that is not trusted: no name below it leads out of it.
	rooted *os.Root
}

// whole is the path of a name.
func (f *Folder) whole(name string) string { return filepath.Join(f.dir, filepath.FromSlash(name)) }

// path is a name's path on the disk. A folder may hold names that this program would not give, and
// that are not even text: what they hold can be read, and told.
func (f *Folder) path(name string) (string, error) {
	if _, err := filepath.Localize(strings.ToValidUTF8(name, "_")); err != nil {
		return "", badName(f.whole(name))
	}
	if f.rooted != nil {
		return filepath.FromSlash(name), nil
	}
	return f.whole(name), nil
}

// onText does something with the file of a text's name.
func (f *Folder) onText(name string, do func(path string) error) error {
	if err := f.valid(name); err != nil {
		return err
	}
	return f.on(name, do)
}

// on is onText, of a folder too.
func (f *Folder) on(name string, do func(path string) error) error {
	path, err := f.path(name)
	if err != nil {
		return err
	}
	return reason(do(path))
}

// valid refuses what is no name of a text, before anything is made for it.
func (f *Folder) valid(name string) error {
	if !store.ValidName(name) {
		return badName(f.whole(name))
	}
	return nil
}

// Where says where a name is kept.
func (f *Folder) Where(name string) string {
	return filepath.Join(f.dir, filepath.FromSlash(problem.PrintableOnly(name)))
}

// List returns what is in a folder.
func (f *Folder) List(folder string) (list []store.Entry, err error) {
	var entries []fs.DirEntry
	err = f.on(folder, func(path string) (err error) {
		entries, err = f.readFolder(path)
		return err
	})
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	list = make([]store.Entry, 0, len(entries))
	for _, e := range entries {
		made := store.Entry{Name: e.Name(), Plain: e.Type().IsRegular(), Folder: e.IsDir()}
		if made.Plain {
			made.Stamp = func() store.Version {
				info, err := e.Info()
				if err != nil {
					return store.Version{}
				}
				return versionOf(info)
			}
		}
		list = append(list, made)
	}
	return list, nil
}

func (f *Folder) readFolder(path string) ([]fs.DirEntry, error) {
	if f.rooted == nil {
		return os.ReadDir(path)
	}
	open, err := f.rooted.Open(path)
	if err != nil {
		return nil, err
	}
	entries, err := open.ReadDir(-1)
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return entries, errors.Join(err, open.Close())
}

// Look returns what is kept under a name.
func (f *Folder) Look(name string) (e store.Entry, err error) {
	err = f.on(name, func(path string) error {
		info, err := f.disk.Lstat(path)
		if err == nil {
			e = store.Entry{Name: info.Name(), Plain: info.Mode().IsRegular(), Folder: info.IsDir(), Stamp: func() store.Version { return versionOf(info) }}
		}
		return err
	})
	return e, err
}

// Read reads a plain file.
func (f *Folder) Read(name string) (text []byte, v store.Version, err error) {
	err = f.on(name, func(path string) (err error) { text, v, err = readFile(f.disk, path); return err })
	return text, v, err
}

// ReadThrough reads a file, through a link too, but not one of a folder that is not trusted.
func (f *Folder) ReadThrough(name string) (text []byte, err error) {
	if f.rooted != nil {
		text, _, err = f.Read(name)
		return text, err
	}
	err = f.on(name, func(path string) (err error) { text, err = readThrough(path); return err })
	return text, err
}

// Write puts a text in place of a version.
func (f *Folder) Write(name string, old store.Version, text []byte) error {
	if err := f.valid(name); err != nil {
		return err
	}
	if err := f.makeFolder(path.Dir(name)); err != nil {
		return err
	}
	return f.on(name, func(path string) error {
		if old == (store.Version{}) {
			return create(f.disk, path, text)
		}
		if err := f.still(path, old); err != nil {
			return err
		}
		return replace(f.disk, path, text)
	})
}

// still refuses a file that is another version by now.
func (f *Folder) still(path string, old store.Version) error {
	now, err := regular(f.disk, path)
	if err == nil && now != old {
		err = &fs.PathError{Op: "write", Path: path, Err: store.ErrChanged}
	}
	return err
}

// Extend adds to the end of a version.
func (f *Folder) Extend(name string, old store.Version, more []byte) error {
	return f.grow(name, old, os.O_WRONLY|os.O_APPEND, func(file disk.File) error { _, err := file.Write(more); return err })
}

// Cut takes off what is beyond so many bytes.
func (f *Folder) Cut(name string, old store.Version, size int) error {
	return f.grow(name, old, os.O_WRONLY, func(file disk.File) error { return file.Truncate(int64(size)) })
}

func (f *Folder) grow(name string, old store.Version, flag int, change func(disk.File) error) error {
	return f.onText(name, func(path string) error {
		if err := f.still(path, old); err != nil {
			return err
		}
		return onFile(f.disk, path, flag, change)
	})
}

// Confirm makes a file and its name safe: the program that wrote it may have been killed between
// writing and syncing, or naming and syncing.
func (f *Folder) Confirm(name string) error {
	return f.onText(name, func(path string) error {
		if err := onFile(f.disk, path, os.O_WRONLY, func(disk.File) error { return nil }); err != nil {
			return err
		}
		return f.disk.SyncDir(filepath.Dir(path))
	})
}

// Remove takes a file away.
func (f *Folder) Remove(name string) error {
	if err := f.valid(name); err != nil {
		return err
	}
	if err := f.own(path.Dir(name)); err != nil {
		return err
	}
	return f.on(name, func(path string) error {
		if err := f.disk.Remove(path); err != nil {
			return err
		}
		return f.disk.SyncDir(filepath.Dir(path))
	})
}

// Keep writes what may be lost, and so need not be safe.
func (f *Folder) Keep(name string, text []byte) error {
	return f.onText(name, func(path string) error {
		temp, err := writeTemp(f.disk, filepath.Dir(path), text)
		if err != nil {
			return err
		}
		if err = f.disk.Rename(temp, path); err != nil {
			_ = f.disk.Remove(temp)
		}
		return err
	})
}

// Recall reads it.
func (f *Folder) Recall(name string, most int64) (text []byte) {
	_ = f.onText(name, func(path string) error {
		info, err := f.disk.Lstat(path)
		if err != nil || !info.Mode().IsRegular() || info.Size() > most {
			return err
		}
		file, err := f.disk.OpenFile(path, os.O_RDONLY, 0)
		if err != nil {
			return err
		}
		defer func() { _ = file.Close() }()
		data := make([]byte, info.Size())
		if _, err = io.ReadFull(file, data); err == nil {
			text = data
		}
		return err
	})
	return text
}

// tempAge is longer than any write takes: a younger temporary file may be in use.
const tempAge = time.Hour

// Tidy takes away the temporary files that broken-off writes have left in a folder.
func (f *Folder) Tidy(folder string, now time.Time) error {
	if err := f.own(folder); err != nil {
		return err
	}
	entries, err := f.List(folder)
	problems := []error{err}
	for _, e := range entries {
		if e.Plain && strings.HasPrefix(e.Name, tempMark) && now.Sub(time.Unix(0, e.Version().Time)) > tempAge {
			problems = append(problems, f.on(path.Join(folder, e.Name), f.disk.Remove))
		}
	}
	return errors.Join(problems...)
}

// Hold keeps other programs from a record. Its error says what to do.
func (f *Folder) Hold(name string) (store.Hold, error) {
	if err := f.valid(name); err != nil {
		return nil, err
	}
	if err := f.makeFolder(path.Dir(name)); err != nil {
		return nil, store.Plain(err)
	}
	l, err := lockRecord(f.whole(name), time.Now())
	if own := (*store.LockedError)(nil); errors.As(err, &own) {
		return nil, err
	}
	if err != nil {
		return nil, store.Plain(reason(err))
	}
	return l, nil
}

// HeldBy says which program has a record.
func (f *Folder) HeldBy(name string, now time.Time) *store.LockedError {
	return holderOf(f.whole(name), now)
}

// Alone does something while no other program does. What keeps it from it says what to do.
func (f *Folder) Alone(do func() error) error {
	if err := f.makeFolder("."); err != nil {
		return store.Plain(err)
	}
	l, err := lockLibrary(f.dir)
	if err != nil {
		return err
	}
	return errors.Join(do(), l.Release())
}

// Within is the store in a folder of this one.
func (f *Folder) Within(folder string) (store.Store, error) {
	if err := f.own(folder); err != nil {
		return nil, err
	}
	return Open(f.whole(folder))
}

// State looks at the folder and its disk.
func (f *Folder) State() store.State {
	place := nearestFolder(f.dir)
	usual, err := Usual()
	return store.State{There: place == f.dir, Usual: err == nil && usual == f.dir, Writable: disk.MayWrite(place), Free: disk.FreeSpace(place)}
}

// Refuses says why nothing can be written in a folder, which need not be there yet.
func (f *Folder) Refuses(folder string) error {
	if err := f.own(folder); err != nil {
		return err
	}
	place := nearestFolder(f.whole(folder))
	if may, known := disk.MayWrite(place).Get(); may || !known {
		return nil
	}
	return fmt.Errorf("make the library: %w\n  check the folder's rights, or name another with --library", &fs.PathError{Op: "write to", Path: problem.PrintableOnly(place), Err: fs.ErrPermission})
}

// nearestFolder is the folder itself, or the nearest above it that exists.
func nearestFolder(dir string) string {
	for {
		if info, err := os.Stat(dir); err == nil && info.IsDir() || filepath.Dir(dir) == dir {
			return dir
		}
		dir = filepath.Dir(dir)
	}
}

// own returns an error if writing to a folder would lead out of the store. The store itself may
// be a link: somebody has named it.
func (f *Folder) own(folder string) error {
	for ; folder != "."; folder = path.Dir(folder) {
		at, err := f.path(folder)
		if err != nil {
			return err
		}
		if info, err := f.disk.Lstat(at); err == nil && isLink(info) {
			return f.noFolder(folder, &problem.FileError{Problem: "a link, where a folder of the library is needed", Hint: "put the folder itself there: nothing is written outside the library"})
		}
	}
	return nil
}

// noFolder is the error about what stands where a folder is needed.
func (f *Folder) noFolder(folder string, err *problem.FileError) error {
	if f.rooted != nil {
		err = &problem.FileError{Problem: "not a plain folder", Hint: "move it away"}
	}
	err.Path = f.whole(folder)
	return err
}

// makeFolder makes a folder of the store and those above it.
func (f *Folder) makeFolder(folder string) error {
	if err := f.own(folder); err != nil || folder == "." && f.rooted != nil {
		return err
	}
	return f.on(folder, func(path string) error {
		err := makeFolders(f.disk, path)
		if own := (*problem.FileError)(nil); f.rooted != nil && errors.As(err, &own) {
			return f.noFolder(folder, own)
		}
		return err
	})
}
