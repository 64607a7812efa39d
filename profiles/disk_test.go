package profiles

import (
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// fault is how a call of a disk goes wrong.
type fault int

const (
	refuses fault = iota + 1 // nothing done
	halves                   // a write ends half way, anything else is refused
	forgets                  // done, and then reported as failed
)

var allFaults = map[string]fault{"refuses": refuses, "halves": halves, "forgets": forgets}

// faultyDisk fails its call number at, counted from 1, and when it stays broken
// every one after it.
type faultyDisk struct {
	disk
	fault fault
	at    int
	stays bool
	calls int
}

var errFault = &fs.PathError{Op: "test", Path: "disk", Err: errorDiskFull}

func (d *faultyDisk) call(op func() error) error {
	d.calls++
	if d.calls != d.at && (!d.stays || d.calls < d.at) {
		return op()
	}
	if d.fault == forgets {
		_ = op()
	}
	return errFault
}

func (d *faultyDisk) OpenFile(name string, flag int, perm fs.FileMode) (file, error) {
	var f file
	err := d.call(func() (err error) { f, err = d.disk.OpenFile(name, flag, perm); return err })
	if err != nil && f != nil {
		_ = f.Close()
	}
	return &faultyFile{f, d}, err
}

func (d *faultyDisk) Lstat(name string) (info fs.FileInfo, err error) {
	err = d.call(func() (err error) { info, err = d.disk.Lstat(name); return err })
	return info, err
}

func (d *faultyDisk) Link(from, to string) error {
	return d.call(func() error { return d.disk.Link(from, to) })
}

func (d *faultyDisk) Rename(from, to string) error {
	return d.call(func() error { return d.disk.Rename(from, to) })
}

func (d *faultyDisk) Remove(name string) error {
	return d.call(func() error { return d.disk.Remove(name) })
}

func (d *faultyDisk) SyncDir(dir string) error {
	return d.call(func() error { return d.disk.SyncDir(dir) })
}

type faultyFile struct {
	file
	d *faultyDisk
}

func (f *faultyFile) Read(b []byte) (n int, err error) {
	if broken := f.d.call(func() error { n, err = f.file.Read(b); return nil }); broken != nil {
		return n, broken
	}
	return n, err
}

func (f *faultyFile) Write(b []byte) (n int, err error) {
	err = f.d.call(func() (err error) { n, err = f.file.Write(b); return err })
	if err == errFault && f.d.fault == halves {
		n, _ = f.file.Write(b[:len(b)/2])
	}
	return n, err
}

func (f *faultyFile) Truncate(size int64) error {
	return f.d.call(func() error { return f.file.Truncate(size) })
}

func (f *faultyFile) Sync() error { return f.d.call(f.file.Sync) }

// Close always closes: an error of it is one of what was written before.
func (f *faultyFile) Close() error {
	err := f.file.Close()
	return f.d.call(func() error { return err })
}

// memoryDisk knows what a power cut would leave: of a file what was synced, of a
// folder the names it had when it was synced.
type memoryDisk struct {
	names, syncedNames map[string]*memoryFile
}

type memoryFile struct{ data, synced []byte }

func newMemoryDisk() *memoryDisk {
	return &memoryDisk{map[string]*memoryFile{}, map[string]*memoryFile{}}
}

type openMemory struct {
	*memoryFile
	at int
}

func (d *memoryDisk) OpenFile(name string, flag int, _ fs.FileMode) (file, error) {
	f := d.names[name]
	switch {
	case f == nil && flag&os.O_CREATE == 0:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	case f != nil && flag&os.O_EXCL != 0:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrExist}
	case f == nil:
		f = &memoryFile{}
		d.names[name] = f
	}
	return &openMemory{f, 0}, nil
}

func (d *memoryDisk) Lstat(name string) (fs.FileInfo, error) {
	f := d.names[name]
	if f == nil {
		return nil, &fs.PathError{Op: "lstat", Path: name, Err: fs.ErrNotExist}
	}
	return plainFile(len(f.data)), nil
}

func (d *memoryDisk) Link(from, to string) error {
	if d.names[to] != nil {
		return &fs.PathError{Op: "link", Path: to, Err: fs.ErrExist}
	}
	d.names[to] = d.names[from]
	return nil
}

func (d *memoryDisk) Rename(from, to string) error {
	d.names[to] = d.names[from]
	delete(d.names, from)
	return nil
}

func (d *memoryDisk) Remove(name string) error {
	delete(d.names, name)
	return nil
}

func (d *memoryDisk) SyncDir(string) error {
	d.syncedNames = maps.Clone(d.names)
	return nil
}

func (f *openMemory) Read(b []byte) (int, error) {
	n := copy(b, f.data[f.at:])
	f.at += n
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func (f *openMemory) Write(b []byte) (int, error) {
	f.data = append(slices.Clip(f.data), b...)
	return len(b), nil
}

func (f *openMemory) Truncate(size int64) error {
	f.data = slices.Clone(f.data[:size])
	return nil
}

func (f *openMemory) Sync() error {
	f.synced = slices.Clone(f.data)
	return nil
}

func (f *openMemory) Close() error { return nil }

// plainFile is the FileInfo of a plain file of so many bytes.
type plainFile int64

func (plainFile) Name() string       { return "" }
func (p plainFile) Size() int64      { return int64(p) }
func (plainFile) Mode() fs.FileMode  { return filePerm }
func (plainFile) ModTime() time.Time { return time.Time{} }
func (plainFile) IsDir() bool        { return false }
func (plainFile) Sys() any           { return nil }

// survivals are the ways what was not synced may come through a power cut.
var survivals = map[string]func(f *memoryFile) []byte{
	"nothing": func(f *memoryFile) []byte { return f.synced },
	"all":     func(f *memoryFile) []byte { return f.data },
	"half":    func(f *memoryFile) []byte { return f.data[:min(len(f.data), (len(f.synced)+len(f.data))/2)] },
	"length": func(f *memoryFile) []byte {
		kept := f.synced[:min(len(f.synced), len(f.data))]
		return append(slices.Clip(kept), make([]byte, len(f.data)-len(kept))...)
	},
	"end": func(f *memoryFile) []byte {
		kept := f.synced[:min(len(f.synced), len(f.data))]
		after := slices.Clone(f.data[len(kept):])
		clear(after[:len(after)/2])
		return append(slices.Clip(kept), after...)
	},
}

// powerCuts lays out in a folder each state a power cut may leave, and calls check.
func (d *memoryDisk) powerCuts(t *testing.T, check func(dir, state string)) {
	t.Helper()
	for named, names := range map[string]map[string]*memoryFile{"synced names": d.syncedNames, "all names": d.names} {
		for kept, survive := range survivals {
			dir := t.TempDir()
			for name, f := range names {
				require.NoError(t, os.WriteFile(filepath.Join(dir, filepath.Base(name)), survive(f), filePerm))
			}
			check(dir, named+", of unsynced bytes "+kept)
		}
	}
}
