package profiles

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
)

// disk is what record files are written with. Tests put one in its place that
// fails at any call.
type disk interface {
	create(path string) (file, error) // a new file; it must not exist
	open(path string) (file, error)   // an existing file, writes go to its end
	read(path string) ([]byte, error)
	rename(from, to string) error
	link(from, to string) error
	remove(path string) error
	syncDir(dir string) error
}

type file interface {
	io.Writer
	Sync() error
	Close() error
}

type osDisk struct{}

func (osDisk) create(path string) (file, error) {
	// Readable by others: a supervisor may read the records under another account.
	return os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
}

func (osDisk) open(path string) (file, error) {
	return os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
}

// read reads a whole record. Anything but a plain file is refused, so that a link
// in a copied folder cannot lead elsewhere and a device cannot block.
func (osDisk) read(path string) ([]byte, error) {
	info, err := os.Lstat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is not a plain file", path)
	}
	if info.Size() > maxRecord {
		return nil, fmt.Errorf("%s has %d bytes: no record has more than %d", path, info.Size(), maxRecord)
	}
	return os.ReadFile(path)
}

func (osDisk) rename(from, to string) error { return os.Rename(from, to) }
func (osDisk) link(from, to string) error   { return os.Link(from, to) }
func (osDisk) remove(path string) error     { return os.Remove(path) }

// syncDir makes a new name in a folder survive a power cut. Windows has no such call.
func (osDisk) syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// writeTemp writes data, synced, to a new file beside path and returns its name.
func writeTemp(d disk, path string, data []byte) (temp string, err error) {
	for i := range 100 {
		temp = filepath.Join(filepath.Dir(path), fmt.Sprintf(".tmp-%s-%d-%d", filepath.Base(path), os.Getpid(), i))
		f, err := d.create(temp)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return "", err
		}
		_, err = f.Write(data)
		if err == nil {
			err = f.Sync()
		}
		if err = errors.Join(err, f.Close()); err != nil {
			return "", errors.Join(err, d.remove(temp))
		}
		return temp, nil
	}
	return "", fmt.Errorf("%s: too many left-over files beside it", path)
}

// replaceFile puts data in the place of a file: a reader, and the next start after a
// power cut, see the old content or the new, whole.
func replaceFile(d disk, path string, data []byte) error {
	temp, err := writeTemp(d, path, data)
	if err != nil {
		return plainDiskError(err)
	}
	if err := d.rename(temp, path); err != nil {
		return plainDiskError(errors.Join(err, d.remove(temp)))
	}
	return plainDiskError(d.syncDir(filepath.Dir(path)))
}

// createFile writes a file that must not exist yet, whole or not at all, and reads
// it back.
func createFile(d disk, path string, data []byte) error {
	temp, err := writeTemp(d, path, data)
	if err != nil {
		return plainDiskError(err)
	}
	switch err = d.link(temp, path); {
	case errors.Is(err, fs.ErrExist):
		return errors.Join(fmt.Errorf("%s exists already: nothing was written over it", path), d.remove(temp))
	case err != nil: // a file system without links, such as a stick's
		if _, statErr := d.read(path); !errors.Is(statErr, fs.ErrNotExist) {
			return errors.Join(plainDiskError(err), d.remove(temp))
		}
		err = d.rename(temp, path)
	default:
		err = d.remove(temp)
	}
	if err == nil {
		err = d.syncDir(filepath.Dir(path))
	}
	if err != nil {
		return plainDiskError(err)
	}
	back, err := d.read(path)
	if err == nil && string(back) != string(data) {
		err = fmt.Errorf("%s does not read back as it was written", path)
	}
	return plainDiskError(err)
}

// plainDiskError puts the commonest failures into the crew's words, with what to do.
func plainDiskError(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, syscall.ENOSPC):
		return fmt.Errorf("the disk is full: %w\n  what was written before is kept; free some space and do it again", err)
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("this folder cannot be written: %w\n  what was written before is kept; check the folder's rights, or name another with --library", err)
	}
	return fmt.Errorf("%w\n  what was written before is kept; check the disk and do it again", err)
}
