package disk

import (
	"io"
	"io/fs"
	"os"
	"runtime"
	"time"
)

// Disk is what a store needs of a file system. Tests make each call fail.
type Disk interface {
	OpenFile(name string, flag int, perm fs.FileMode) (File, error)
	Lstat(name string) (fs.FileInfo, error)
	Stat(name string) (fs.FileInfo, error)
	Mkdir(name string, perm fs.FileMode) error
	Link(from, to string) error
	Rename(from, to string) error
	Remove(name string) error
	SyncDir(dir string) error
}

// File is an open file of a [Disk].
type File interface {
	io.ReadWriteCloser
	Truncate(size int64) error
	Sync() error
}

// OS is the real disk.
type OS struct{}

func (OS) OpenFile(name string, flag int, perm fs.FileMode) (File, error) {
	return opened(func() (*os.File, error) { return os.OpenFile(name, flag, perm) })
}
func (OS) Lstat(name string) (fs.FileInfo, error)    { return os.Lstat(name) }
func (OS) Stat(name string) (fs.FileInfo, error)     { return os.Stat(name) }
func (OS) Mkdir(name string, perm fs.FileMode) error { return os.Mkdir(name, perm) }
func (OS) Link(from, to string) error {
	return Patiently(IsBusy, func() error { return os.Link(from, to) })
}
func (OS) Rename(from, to string) error {
	return Patiently(isBusyName, func() error { return os.Rename(from, to) })
}
func (OS) Remove(name string) error {
	return Patiently(isBusyName, func() error { return os.Remove(name) })
}

// SyncDir makes the names in a folder safe on disk. Windows opens no folder for that, and orders
// its names itself.
func (OS) SyncDir(dir string) error {
	return syncOpened(func() (*os.File, error) { return os.Open(dir) })
}

// Below is a disk Below one folder, which nothing on it can lead out of: no link is followed to
// the outside.
type Below struct{ *os.Root }

func (d Below) OpenFile(name string, flag int, perm fs.FileMode) (File, error) {
	return opened(func() (*os.File, error) { return d.Root.OpenFile(name, flag, perm) })
}
func (d Below) Link(from, to string) error {
	return Patiently(IsBusy, func() error { return d.Root.Link(from, to) })
}
func (d Below) Rename(from, to string) error {
	return Patiently(isBusyName, func() error { return d.Root.Rename(from, to) })
}
func (d Below) Remove(name string) error {
	return Patiently(isBusyName, func() error { return d.Root.Remove(name) })
}
func (d Below) SyncDir(dir string) error {
	return syncOpened(func() (*os.File, error) { return d.Open(dir) })
}

func opened(open func() (*os.File, error)) (File, error) {
	var f *os.File
	err := Patiently(IsBusy, func() (err error) { f, err = open(); return err })
	if err != nil { // not a file that is nil
		return nil, err
	}
	return f, nil
}

func syncOpened(open func() (*os.File, error)) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := open()
	if err != nil {
		return err
	}
	return syncNames(f)
}

// patience is about how long in all something is tried again: the waits double up to half of it.
const patience = 250 * time.Millisecond

// Patiently does something again while another program is in its way. On Windows that is
// usual: a virus scanner opens each new file for a moment, and then it can be neither moved
// nor taken away.
func Patiently(busy func(error) bool, do func() error) error {
	for wait := time.Millisecond; ; wait *= 2 {
		err := do()
		if err == nil || !busy(err) || wait > patience {
			return err
		}
		time.Sleep(wait)
	}
}
