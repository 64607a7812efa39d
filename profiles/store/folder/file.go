package folder

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder/disk"
)

// A supervisor under another account reads the records, so everyone may; the
// user's own mask can narrow it.
const (
	filePerm   = 0o644
	folderPerm = 0o755
)

// replace puts data in place of what the plain file at path holds. At any moment, a power cut
// included, the name shows either the old content whole or the new.
func replace(d disk.Disk, path string, data []byte) error {
	temp, err := writeTemp(d, filepath.Dir(path), data)
	if err != nil {
		return err
	}
	if err := d.Rename(temp, path); err != nil {
		_ = d.Remove(temp) // Tidy finds it later
		return err
	}
	return d.SyncDir(filepath.Dir(path))
}

// create writes a new file and reads it back. The name only ever shows the
// whole content. A file that is there already stays as it is, and the error is
// [fs.ErrExist].
func create(d disk.Disk, path string, data []byte) error {
	temp, err := writeTemp(d, filepath.Dir(path), data)
	if err != nil {
		return err
	}
	defer func() { _ = d.Remove(temp) }() // a second name of the file, or gone already
	if err := d.Link(temp, path); err != nil {
		// The name is taken, or the file system has no links, as on most sticks.
		if err := renameNew(d, temp, path); err != nil {
			return err
		}
	}
	if err = confirm(d, path, data); err != nil {
		_ = d.Remove(path) // else trying again would find it there
	}
	return err
}

// renameNew gives a file a name that is free. Between looking and renaming another
// program could take it; ours hold a lock meanwhile.
func renameNew(d disk.Disk, from, to string) error {
	_, err := d.Lstat(to)
	switch {
	case err == nil:
		return &fs.PathError{Op: "create", Path: to, Err: fs.ErrExist}
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	return d.Rename(from, to)
}

// confirm makes the name safe on disk and reads the file back.
func confirm(d disk.Disk, path string, data []byte) error {
	if err := d.SyncDir(filepath.Dir(path)); err != nil {
		return err
	}
	back, _, err := readFile(d, path)
	if err == nil && !bytes.Equal(back, data) {
		err = &problem.FileError{Path: path, Problem: "the disk did not keep what was written", Hint: "do not trust this disk: use another"}
	}
	return err
}

const tempMark = ".tmp-"

// writeTemp writes a file under a name of its own beside where it is to go.
func writeTemp(d disk.Disk, dir string, data []byte) (name string, err error) {
	name = filepath.Join(dir, tempMark+rand.Text())
	err = onFile(d, name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, func(f disk.File) error {
		_, err := f.Write(data)
		return err
	})
	if err != nil {
		_ = d.Remove(name) // Tidy finds it later
	}
	return name, err
}

// onFile opens a file, changes it, and returns when the change is safe on disk.
func onFile(d disk.Disk, path string, flag int, change func(disk.File) error) error {
	f, err := d.OpenFile(path, flag, filePerm)
	if err != nil {
		return err
	}
	if err = change(f); err == nil {
		// Without a sync a power cut can leave an empty file under the new name:
		// data and names reach the disk in no given order.
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	return err
}

// readFile reads a plain file of at most a record's size.
func readFile(d disk.Disk, path string) ([]byte, store.Version, error) {
	version, err := regular(d, path)
	if err != nil {
		return nil, version, err
	}
	f, err := d.OpenFile(path, os.O_RDONLY, 0)
	if err != nil {
		return nil, version, err
	}
	defer func() { _ = f.Close() }()
	data, err := io.ReadAll(io.LimitReader(f, store.MaxText+1))
	if err == nil && len(data) > store.MaxText {
		err = tooBig(path)
	}
	return data, version, err
}

// readThrough is readFile, through a link too, which harms nothing. What is wrong with the
// file it leads to is told of the link: that is what somebody named, or can take away.
func readThrough(path string) ([]byte, error) {
	read := func(path string) ([]byte, error) {
		data, _, err := readFile(disk.OS{}, path)
		return data, err
	}
	info, err := os.Lstat(path)
	if err != nil || !isLink(info) {
		return read(path)
	}
	const hint = "name the file itself, or take the link away"
	target, err := filepath.EvalSymlinks(path)
	if err != nil {
		return nil, &problem.FileError{Path: path, Problem: "a link that leads nowhere", Hint: hint}
	}
	data, err := read(target)
	if own := (*problem.FileError)(nil); errors.As(err, &own) {
		err = &problem.FileError{Path: path, Problem: "a link to " + problem.PrintableOnly(target) + ": " + own.Problem, Hint: hint}
	}
	return data, err
}

// isLink reports whether what stands at a path leads elsewhere. A folder of Windows that is
// a junction does, and is neither a link nor a folder by its mode. Source: release notes of Go 1.23, of os.Lstat (from memory).
func isLink(info fs.FileInfo) bool {
	kind := info.Mode().Type()
	return kind&fs.ModeSymlink != 0 || kind == fs.ModeIrregular
}

// regular returns the version of a plain file of a record's size, and an error of anything else: a
// link could lead out of the library, and a pipe would never end.
func regular(d disk.Disk, path string) (store.Version, error) {
	info, err := d.Lstat(path)
	switch {
	case err != nil:
		return store.Version{}, err
	case problem.HasControls(filepath.Base(path)):
		err = badName(path)
	case !info.Mode().IsRegular():
		err = &problem.FileError{Path: path, Problem: "not a plain file", Hint: "a record is never a link, a folder or a device: move it away"}
	case info.Size() > store.MaxText:
		err = tooBig(path)
	}
	return versionOf(info), err
}

// versionOf is what shows that a plain file has changed.
func versionOf(info fs.FileInfo) store.Version {
	if !info.Mode().IsRegular() { // what a link leads to may change unseen
		return store.Version{}
	}
	return store.Version{Size: info.Size(), Time: info.ModTime().UnixNano()}
}

// regularOrNew is regular, of a file that need not be there.
func regularOrNew(d disk.Disk, path string) (store.Version, error) {
	version, err := regular(d, path)
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return version, err
}

func tooBig(path string) error {
	return &problem.FileError{Path: path, Problem: fmt.Sprintf("more than %d bytes is no record", store.MaxText), Hint: "check that this is the right file"}
}

func badName(path string) error {
	return &problem.FileError{Path: path, Problem: "its name has characters that cannot be shown", Hint: "rename it"}
}

// makeFolders makes a folder and those above it, each safe on disk before the next.
func makeFolders(d disk.Disk, dir string) error {
	err := d.Mkdir(dir, folderPerm)
	switch {
	case errors.Is(err, fs.ErrExist):
		if info, err := d.Stat(dir); err != nil || info.IsDir() {
			return err
		}
		return &problem.FileError{Path: dir, Problem: "a file, where a folder is needed", Hint: "move it away, or name another library"}
	case errors.Is(err, fs.ErrNotExist):
		if err := makeFolders(d, filepath.Dir(dir)); err != nil {
			return err
		}
		if err = d.Mkdir(dir, folderPerm); errors.Is(err, fs.ErrExist) {
			err = nil // another program began at the same moment
		}
	}
	if err != nil {
		return err
	}
	return d.SyncDir(filepath.Dir(dir))
}

// reason adds why a disk refused, in a store's words, to its error.
func reason(err error) error {
	var why error
	switch {
	case err == nil:
		return nil
	case disk.IsFull(err):
		why = store.ErrFull
	case disk.IsProtected(err):
		why = store.ErrProtected
	case disk.IsNoFolder(err):
		why = store.ErrNoFolder
	}
	if of, ok := err.(*fs.PathError); ok { // a name may hold anything
		err = &fs.PathError{Op: of.Op, Path: problem.PrintableOnly(of.Path), Err: of.Err}
	}
	if why == nil {
		return err
	}
	return &refusal{err, why}
}

// refusal is a disk's error, with the store's word for why.
type refusal struct{ err, why error }

func (r *refusal) Error() string   { return r.err.Error() }
func (r *refusal) Unwrap() []error { return []error{r.err, r.why} }
