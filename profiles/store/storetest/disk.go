// Package storetest holds what every store must do, and disks that go wrong.
package storetest

import (
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"brinkmark/profiles/store/folder/disk"

	"github.com/stretchr/testify/require"
)

// Fault is how a call of a disk goes wrong.
type Fault int

const (
	Refuses Fault = iota + 1 // nothing done
	Halves                   // a write ends half way, anything else is refused
	Forgets                  // done, and then reported as failed
)

// AllFaults are all of them, by name.
var AllFaults = map[string]Fault{"refuses": Refuses, "halves": Halves, "forgets": Forgets}

// FaultyDisk fails its call number at, counted from 1, and when it stays broken
// every one after it.
type FaultyDisk struct {
	disk.Disk
	Fault Fault
	At    int
	Stays bool
	Calls int
}

// ErrFault is what a call that goes wrong returns.
var ErrFault = &fs.PathError{Op: "test", Path: "disk", Err: disk.ErrDiskFull}

func (d *FaultyDisk) call(op func() error) error {
	d.Calls++
	if d.Calls != d.At && (!d.Stays || d.Calls < d.At) {
		return op()
	}
	if d.Fault == Forgets {
		_ = op()
	}
	return ErrFault
}

func (d *FaultyDisk) OpenFile(name string, flag int, perm fs.FileMode) (disk.File, error) {
	var f disk.File
	err := d.call(func() (err error) { f, err = d.Disk.OpenFile(name, flag, perm); return err })
	if err != nil && f != nil {
		_ = f.Close()
	}
	return &faultyFile{f, d}, err
}

func (d *FaultyDisk) Lstat(name string) (info fs.FileInfo, err error) {
	err = d.call(func() (err error) { info, err = d.Disk.Lstat(name); return err })
	return info, err
}

func (d *FaultyDisk) Mkdir(name string, perm fs.FileMode) error {
	return d.call(func() error { return d.Disk.Mkdir(name, perm) })
}

func (d *FaultyDisk) Link(from, to string) error {
	return d.call(func() error { return d.Disk.Link(from, to) })
}

func (d *FaultyDisk) Rename(from, to string) error {
	return d.call(func() error { return d.Disk.Rename(from, to) })
}

func (d *FaultyDisk) Remove(name string) error {
	return d.call(func() error { return d.Disk.Remove(name) })
}

func (d *FaultyDisk) SyncDir(dir string) error {
	return d.call(func() error { return d.Disk.SyncDir(dir) })
}

type faultyFile struct {
	disk.File
	d *FaultyDisk
}

func (f *faultyFile) Read(b []byte) (n int, err error) {
	if broken := f.d.call(func() error { n, err = f.File.Read(b); return nil }); broken != nil {
		return n, broken
	}
	return n, err
}

func (f *faultyFile) Write(b []byte) (n int, err error) {
	err = f.d.call(func() (err error) { n, err = f.File.Write(b); return err })
	if err == ErrFault && f.d.Fault == Halves {
		n, _ = f.File.Write(b[:len(b)/2])
	}
	return n, err
}

func (f *faultyFile) Truncate(size int64) error {
	return f.d.call(func() error { return f.File.Truncate(size) })
}

func (f *faultyFile) Sync() error { return f.d.call(f.File.Sync) }

// Close always closes: an error of it is one of what was written before.
func (f *faultyFile) Close() error {
	err := f.File.Close()
	return f.d.call(func() error { return err })
}

// MemoryDisk knows what a power cut would leave: of a file what was synced, of a
// folder the names it had when it was synced.
type MemoryDisk struct {
	Names, SyncedNames map[string]*MemoryFile
}

type MemoryFile struct{ Data, Synced []byte }

func NewMemoryDisk() *MemoryDisk {
	return &MemoryDisk{map[string]*MemoryFile{}, map[string]*MemoryFile{}}
}

type openMemory struct {
	*MemoryFile
	at int
}

func (d *MemoryDisk) OpenFile(name string, flag int, _ fs.FileMode) (disk.File, error) {
	f := d.Names[name]
	switch {
	case f == nil && flag&os.O_CREATE == 0:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	case f != nil && flag&os.O_EXCL != 0:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrExist}
	case f == nil:
		f = &MemoryFile{}
		d.Names[name] = f
	}
	return &openMemory{f, 0}, nil
}

func (d *MemoryDisk) Lstat(name string) (fs.FileInfo, error) {
	f := d.Names[name]
	if f == nil {
		return nil, &fs.PathError{Op: "lstat", Path: name, Err: fs.ErrNotExist}
	}
	return plainFile(len(f.Data)), nil
}

// Mkdir has nothing to do: every folder is there.
func (d *MemoryDisk) Mkdir(name string, _ fs.FileMode) error {
	return &fs.PathError{Op: "mkdir", Path: name, Err: fs.ErrExist}
}

func (d *MemoryDisk) Stat(string) (fs.FileInfo, error) { return aFolder{}, nil }

func (d *MemoryDisk) Link(from, to string) error {
	if d.Names[to] != nil {
		return &fs.PathError{Op: "link", Path: to, Err: fs.ErrExist}
	}
	d.Names[to] = d.Names[from]
	return nil
}

func (d *MemoryDisk) Rename(from, to string) error {
	d.Names[to] = d.Names[from]
	delete(d.Names, from)
	return nil
}

func (d *MemoryDisk) Remove(name string) error {
	delete(d.Names, name)
	return nil
}

func (d *MemoryDisk) SyncDir(string) error {
	d.SyncedNames = maps.Clone(d.Names)
	return nil
}

func (f *openMemory) Read(b []byte) (int, error) {
	n := copy(b, f.Data[f.at:])
	f.at += n
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func (f *openMemory) Write(b []byte) (int, error) {
	f.Data = append(slices.Clip(f.Data), b...)
	return len(b), nil
}

func (f *openMemory) Truncate(size int64) error {
	f.Data = slices.Clone(f.Data[:size])
	return nil
}

func (f *openMemory) Sync() error {
	f.Synced = slices.Clone(f.Data)
	return nil
}

func (f *openMemory) Close() error { return nil }

// plainFile is the FileInfo of a plain file of so many bytes.
type plainFile int64

func (plainFile) Name() string       { return "" }
func (p plainFile) Size() int64      { return int64(p) }
func (plainFile) Mode() fs.FileMode  { return 0o644 }
func (plainFile) ModTime() time.Time { return time.Time{} }
func (plainFile) IsDir() bool        { return false }
func (plainFile) Sys() any           { return nil }

// survivals are the ways what was not synced may come through a power cut.
var survivals = map[string]func(f *MemoryFile) []byte{
	"nothing": func(f *MemoryFile) []byte { return f.Synced },
	"all":     func(f *MemoryFile) []byte { return f.Data },
	"half":    func(f *MemoryFile) []byte { return f.Data[:min(len(f.Data), (len(f.Synced)+len(f.Data))/2)] },
	"length": func(f *MemoryFile) []byte {
		kept := f.Synced[:min(len(f.Synced), len(f.Data))]
		return append(slices.Clip(kept), make([]byte, len(f.Data)-len(kept))...)
	},
	"end": func(f *MemoryFile) []byte {
		kept := f.Synced[:min(len(f.Synced), len(f.Data))]
		after := slices.Clone(f.Data[len(kept):])
		clear(after[:len(after)/2])
		return append(slices.Clip(kept), after...)
	},
}

// PowerCuts lays out in a folder each state a power cut may leave, and calls check.
func (d *MemoryDisk) PowerCuts(t *testing.T, check func(dir, state string)) {
	t.Helper()
	for named, names := range map[string]map[string]*MemoryFile{"synced names": d.SyncedNames, "all names": d.Names} {
		for kept, survive := range survivals {
			dir := t.TempDir()
			for name, f := range names {
				require.NoError(t, os.WriteFile(filepath.Join(dir, filepath.Base(name)), survive(f), 0o644))
			}
			check(dir, named+", of unsynced bytes "+kept)
		}
	}
}

// aFolder is the FileInfo of a folder.
type aFolder struct{ plainFile }

func (aFolder) Mode() fs.FileMode { return fs.ModeDir | 0o755 }
func (aFolder) IsDir() bool       { return true }
