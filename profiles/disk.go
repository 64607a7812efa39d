package profiles

import (
	"brinkmark/profiles/problem"
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// disk is what records need of a file system. Tests make each call fail.
type disk interface {
	OpenFile(name string, flag int, perm fs.FileMode) (file, error)
	Lstat(name string) (fs.FileInfo, error)
	Link(from, to string) error
	Rename(from, to string) error
	Remove(name string) error
	SyncDir(dir string) error
}

type file interface {
	io.ReadWriteCloser
	Truncate(size int64) error
	Sync() error
}

// osDisk is the real one.
type osDisk struct{}

func (osDisk) OpenFile(name string, flag int, perm fs.FileMode) (f file, err error) {
	err = patiently(isBusy, func() (err error) { f, err = os.OpenFile(name, flag, perm); return err })
	return f, err
}
func (d osDisk) read(name string) ([]byte, error)     { return readFile(d, name) }
func (osDisk) Lstat(name string) (fs.FileInfo, error) { return os.Lstat(name) }
func (osDisk) Link(from, to string) error {
	return patiently(isBusy, func() error { return os.Link(from, to) })
}
func (osDisk) Rename(from, to string) error {
	return patiently(isBusyName, func() error { return os.Rename(from, to) })
}
func (osDisk) Remove(name string) error {
	return patiently(isBusyName, func() error { return os.Remove(name) })
}
func (osDisk) SyncDir(dir string) error { return syncDir(dir) }

// patience is about how long in all something is tried again: the waits double up to half of it.
const patience = 250 * time.Millisecond

// patiently does something again while another program is in its way. On Windows that is
// usual: a virus scanner opens each new file for a moment, and then it can be neither moved
// nor taken away.
func patiently(busy func(error) bool, do func() error) error {
	for wait := time.Millisecond; ; wait *= 2 {
		err := do()
		if err == nil || !busy(err) || wait > patience {
			return err
		}
		time.Sleep(wait)
	}
}

// A supervisor under another account reads the records, so everyone may; the
// user's own mask can narrow it.
const (
	filePerm   = 0o644
	folderPerm = 0o755
)

// replaceFile puts data in place of what the file at path holds, or creates it. At
// any moment, a power cut included, the name shows either the old content whole or
// the new; the new is safe on disk once replaceFile has returned without an error.
func replaceFile(d disk, path string, data []byte) error {
	return plainDiskError(replace(d, path, data))
}

func replace(d disk, path string, data []byte) error {
	if err := regularOrNew(d, path); err != nil {
		return err
	}
	temp, err := writeTemp(d, filepath.Dir(path), data)
	if err != nil {
		return err
	}
	if err := d.Rename(temp, path); err != nil {
		_ = d.Remove(temp) // cleanTemps finds it later
		return err
	}
	return d.SyncDir(filepath.Dir(path))
}

// createFile writes a new file and reads it back. The name only ever shows the
// whole content. A file that is there already stays as it is, and the error is
// [fs.ErrExist].
func createFile(d disk, path string, data []byte) error {
	return plainDiskError(create(d, path, data))
}

// CreateFile writes a new file, whole or not at all. A file that is there already stays
// as it is, and the error is [fs.ErrExist].
func CreateFile(path string, data []byte) error { return createFile(osDisk{}, path, data) }

func create(d disk, path string, data []byte) error {
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
func renameNew(d disk, from, to string) error {
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
func confirm(d disk, path string, data []byte) error {
	if err := d.SyncDir(filepath.Dir(path)); err != nil {
		return err
	}
	back, err := readFile(d, path)
	if err == nil && !bytes.Equal(back, data) {
		err = &problem.FileError{Path: path, Problem: "the disk did not keep what was written", Hint: "do not trust this disk: use another"}
	}
	return err
}

const tempMark = ".tmp-"

// writeTemp writes a file under a name of its own beside where it is to go.
func writeTemp(d disk, dir string, data []byte) (name string, err error) {
	name = filepath.Join(dir, tempMark+rand.Text())
	err = onFile(d, name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, func(f file) error {
		_, err := f.Write(data)
		return err
	})
	if err != nil {
		_ = d.Remove(name) // cleanTemps finds it later
	}
	return name, err
}

// onFile opens a file, changes it, and returns when the change is safe on disk.
func onFile(d disk, path string, flag int, change func(file) error) error {
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

// maxRecord is the most bytes of a record; a trial of a thousand pushes has 1.6 million.
const maxRecord = 4 << 20

// readFile reads a regular file of at most a record's size.
func readFile(d disk, path string) ([]byte, error) {
	if err := regular(d, path); err != nil {
		return nil, err
	}
	f, err := d.OpenFile(path, os.O_RDONLY, 0)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	data, err := io.ReadAll(io.LimitReader(f, maxRecord+1))
	if err == nil && len(data) > maxRecord {
		err = tooBig(path)
	}
	return data, err
}

// readThrough is readFile, through a link too, which harms nothing. What is wrong with the
// file it leads to is told of the link: that is what somebody named, or can take away.
func readThrough(path string) ([]byte, error) {
	info, err := os.Lstat(path)
	if err != nil || !isLink(info) {
		return readFile(osDisk{}, path)
	}
	const hint = "name the file itself, or take the link away"
	target, err := filepath.EvalSymlinks(path)
	if err != nil {
		return nil, &problem.FileError{Path: path, Problem: "a link that leads nowhere", Hint: hint}
	}
	data, err := readFile(osDisk{}, target)
	if own := (*problem.FileError)(nil); errors.As(err, &own) {
		err = &problem.FileError{Path: path, Problem: "a link to " + problem.PrintableOnly(target) + ": " + own.Problem, Hint: hint}
	}
	return data, err
}

// ReadText reads a plain file of ours, of at most a record's size.
func ReadText(path string) ([]byte, error) {
	data, err := readFile(osDisk{}, path)
	return data, plainDiskError(err)
}

// isLink reports whether what stands at a path leads elsewhere. A folder of Windows that is
// a junction does, and is neither a link nor a folder by its mode. Source: release notes of Go 1.23, of os.Lstat (from memory).
func isLink(info fs.FileInfo) bool {
	kind := info.Mode().Type()
	return kind&fs.ModeSymlink != 0 || kind == fs.ModeIrregular
}

// noLink returns an error if a link stands at path: nobody knows where it leads.
func noLink(path string) error {
	if info, err := os.Lstat(path); err == nil && isLink(info) {
		return &problem.FileError{Path: path, Problem: "a link, where a folder of the library is needed", Hint: "put the folder itself there: nothing is written outside the library"}
	}
	return nil
}

// regular returns an error unless path is a plain file of a record's size: a link
// could lead out of the library, and a pipe would never end.
func regular(d disk, path string) error {
	info, err := d.Lstat(path)
	switch {
	case err != nil:
		return err
	case problem.HasControls(filepath.Base(path)):
		return &problem.FileError{Path: path, Problem: "its name has characters that cannot be shown", Hint: "rename it"}
	case !info.Mode().IsRegular():
		return &problem.FileError{Path: path, Problem: "not a plain file", Hint: "a record is never a link, a folder or a device: move it away"}
	case info.Size() > maxRecord:
		return tooBig(path)
	}
	return nil
}

// regularOrNew returns an error if something else than a plain file stands at path.
func regularOrNew(d disk, path string) error {
	if err := regular(d, path); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

func tooBig(path string) error {
	return &problem.FileError{Path: path, Problem: fmt.Sprintf("more than %d bytes is no record", maxRecord), Hint: "check that this is the right file"}
}

// AppendFile adds text to a file that only grows, in a folder made for it if need be;
// a new file begins with head. It returns when text and names are on disk.
func AppendFile(path, head, text string) error {
	d := osDisk{}
	if err := noLink(filepath.Dir(path)); err != nil {
		return err
	}
	if err := makeFolder(d, filepath.Dir(path)); err != nil {
		return err
	}
	if err := regularOrNew(d, path); err != nil {
		return plainDiskError(err)
	}
	if info, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0 {
		text = head + text
	}
	err := onFile(d, path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, func(f file) error {
		_, err := f.Write([]byte(text))
		return err
	})
	if err == nil {
		err = d.SyncDir(filepath.Dir(path))
	}
	return plainDiskError(err)
}

// makeFolder makes a folder and those above it, each safe on disk before the next.
func makeFolder(d disk, dir string) error { return plainDiskError(makeFolders(d, dir)) }

func makeFolders(d disk, dir string) error {
	err := os.Mkdir(dir, folderPerm)
	switch {
	case errors.Is(err, fs.ErrExist):
		if info, err := os.Stat(dir); err != nil || info.IsDir() {
			return err
		}
		return &problem.FileError{Path: dir, Problem: "a file, where a folder is needed", Hint: "move it away, or name another library"}
	case errors.Is(err, fs.ErrNotExist):
		if err := makeFolders(d, filepath.Dir(dir)); err != nil {
			return err
		}
		if err = os.Mkdir(dir, folderPerm); errors.Is(err, fs.ErrExist) {
			err = nil // another program began at the same moment
		}
	}
	if err != nil {
		return err
	}
	return d.SyncDir(filepath.Dir(dir))
}

// tempAge is longer than any write takes: a younger temporary file may be in use.
const tempAge = time.Hour

// cleanTemps removes the temporary files that broken-off writes have left in a
// folder. The caller holds the library's lock.
func cleanTemps(d disk, dir string, now time.Time) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	var problems []error
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !strings.HasPrefix(e.Name(), tempMark) || !info.Mode().IsRegular() {
			continue
		}
		if now.Sub(info.ModTime()) > tempAge {
			problems = append(problems, d.Remove(filepath.Join(dir, e.Name())))
		}
	}
	return errors.Join(problems...)
}

// plainDiskError adds what to do about a disk that refused, unless err says so.
func plainDiskError(err error) error {
	var own *problem.FileError
	if err == nil || errors.As(err, &own) {
		return err
	}
	return fmt.Errorf("%w\n  %s", printablePath(err), diskHint(err))
}

// printablePath is an error of the system's with its path fit to be shown: a name may hold
// anything.
func printablePath(err error) error {
	if of, ok := err.(*fs.PathError); ok {
		return &fs.PathError{Op: of.Op, Path: problem.PrintableOnly(of.Path), Err: of.Err}
	}
	return err
}

// diskHint says what to do about a disk that refused.
func diskHint(err error) string {
	switch {
	case isFull(err):
		return "the disk is full: free some space and try again"
	case isProtected(err):
		return "it is write-protected: take the protection off, or use another"
	case errors.Is(err, fs.ErrPermission):
		return "check the rights of the folder, or name another library"
	case errors.Is(err, fs.ErrExist):
		return "records are never written over: move the file away if it is not needed"
	case errors.Is(err, fs.ErrNotExist):
		return "check the name of the file and its folder"
	case errors.Is(err, syscall.ENOTDIR):
		return "a file stands where a folder is needed: move it away, or name another library"
	}
	return "try again; if that fails too, copy the library to another disk"
}
