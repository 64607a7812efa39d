// Package memory keeps a library's records in memory: for tests, and for what is to be gone
// afterwards.
package memory

import (
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"
	"time"

	"brinkmark/profiles/store"
	q "brinkmark/session/quantity"
)

// Memory is a store in memory. It is safe for use by several goroutines.
type Memory struct {
	kept   *kept
	prefix string // of its names, "" or one that ends in a slash
}

type kept struct {
	lock    sync.Mutex // of what follows
	texts   map[string]text
	caches  map[string][]byte
	held    map[string]time.Time
	changes int64

	alone sync.Mutex
}

type text struct {
	data    []byte
	version store.Version
}

// New is a store with nothing in it.
func New() *Memory {
	return &Memory{&kept{texts: map[string]text{}, caches: map[string][]byte{}, held: map[string]time.Time{}}, ""}
}

// Where names the memory, and not a disk.
func (m *Memory) Where(name string) string { return path.Join("memory", m.prefix, name) }

func (m *Memory) fail(name string, err error) error {
	return &fs.PathError{Op: "keep", Path: m.Where(name), Err: err}
}

// on does something with the text of a name, alone.
func (m *Memory) on(name string, do func(whole string, old text, there bool) error) error {
	if !store.ValidName(name) {
		return m.fail(name, fs.ErrInvalid)
	}
	m.kept.lock.Lock()
	defer m.kept.lock.Unlock()
	old, there := m.kept.texts[m.prefix+name]
	return do(m.prefix+name, old, there)
}

// change is on, of the version that is there.
func (m *Memory) change(name string, old store.Version, do func(data []byte) []byte) error {
	return m.on(name, func(whole string, now text, there bool) error {
		switch {
		case !there && old != store.Version{}:
			return m.fail(name, fs.ErrNotExist)
		case there && old == store.Version{}:
			return m.fail(name, fs.ErrExist)
		case now.version != old:
			return m.fail(name, store.ErrChanged)
		}
		data := do(slices.Clip(now.data))
		m.kept.changes++
		m.kept.texts[whole] = text{data, store.Version{Size: int64(len(data)), Time: m.kept.changes}}
		return nil
	})
}

// List returns what is in a folder.
func (m *Memory) List(folder string) ([]store.Entry, error) {
	if !fs.ValidPath(folder) {
		return nil, m.fail(folder, fs.ErrInvalid)
	}
	m.kept.lock.Lock()
	defer m.kept.lock.Unlock()
	in := m.prefix
	if folder != "." {
		in += folder + "/"
	}
	found := map[string]store.Entry{}
	for whole, t := range m.kept.texts {
		rest, inside := strings.CutPrefix(whole, in)
		first, _, deeper := strings.Cut(rest, "/")
		switch {
		case !inside:
		case deeper:
			found[first] = store.Entry{Name: first, Folder: true}
		default:
			found[first] = entryOf(first, t)
		}
	}
	list := make([]store.Entry, 0, len(found))
	for _, e := range found {
		list = append(list, e)
	}
	slices.SortFunc(list, func(a, b store.Entry) int { return strings.Compare(a.Name, b.Name) })
	return list, nil
}

func entryOf(name string, t text) store.Entry {
	return store.Entry{Name: name, Plain: true, Stamp: func() store.Version { return t.version }}
}

// Look returns what is kept under a name.
func (m *Memory) Look(name string) (e store.Entry, err error) {
	err = m.on(name, func(whole string, t text, there bool) error {
		if there {
			e = entryOf(path.Base(name), t)
			return nil
		}
		for other := range m.kept.texts {
			if strings.HasPrefix(other, whole+"/") {
				e = store.Entry{Name: path.Base(name), Folder: true}
				return nil
			}
		}
		return m.fail(name, fs.ErrNotExist)
	})
	return e, err
}

// Read reads a text.
func (m *Memory) Read(name string) (data []byte, v store.Version, err error) {
	err = m.on(name, func(_ string, t text, there bool) error {
		if !there {
			return m.fail(name, fs.ErrNotExist)
		}
		data, v = slices.Clone(t.data), t.version
		return nil
	})
	return data, v, err
}

// ReadThrough is Read: nothing leads elsewhere.
func (m *Memory) ReadThrough(name string) ([]byte, error) {
	data, _, err := m.Read(name)
	return data, err
}

// Write puts a text in place of a version.
func (m *Memory) Write(name string, old store.Version, data []byte) error {
	return m.change(name, old, func([]byte) []byte { return slices.Clone(data) })
}

// Extend adds to the end of a version.
func (m *Memory) Extend(name string, old store.Version, more []byte) error {
	if old == (store.Version{}) {
		return m.fail(name, fs.ErrNotExist)
	}
	return m.change(name, old, func(data []byte) []byte { return append(data, more...) })
}

// Cut takes off what is beyond so many bytes.
func (m *Memory) Cut(name string, old store.Version, size int) error {
	if old == (store.Version{}) {
		return m.fail(name, fs.ErrNotExist)
	}
	return m.change(name, old, func(data []byte) []byte { return data[:min(size, len(data))] })
}

// Confirm has nothing to make safe.
func (m *Memory) Confirm(name string) error {
	_, err := m.Look(name)
	return err
}

// Remove takes a text away.
func (m *Memory) Remove(name string) error {
	return m.on(name, func(whole string, _ text, there bool) error {
		if !there {
			return m.fail(name, fs.ErrNotExist)
		}
		delete(m.kept.texts, whole)
		return nil
	})
}

// Keep keeps what may be lost.
func (m *Memory) Keep(name string, data []byte) error {
	return m.on(name, func(whole string, _ text, _ bool) error {
		m.kept.caches[whole] = slices.Clone(data)
		return nil
	})
}

// Recall returns it.
func (m *Memory) Recall(name string, most int64) (data []byte) {
	_ = m.on(name, func(whole string, _ text, _ bool) error {
		if c := m.kept.caches[whole]; int64(len(c)) <= most {
			data = slices.Clone(c)
		}
		return nil
	})
	return data
}

// Tidy has nothing to take away: no write is broken off.
func (m *Memory) Tidy(string, time.Time) error { return nil }

// Hold keeps others from a record.
func (m *Memory) Hold(name string) (store.Hold, error) {
	var h *hold
	err := m.on(name, func(whole string, _ text, _ bool) error {
		now := time.Now()
		if since, held := m.kept.held[whole]; held {
			return m.locked(name, since, now)
		}
		m.kept.held[whole] = now
		h = &hold{m.kept, whole, true}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return h, nil
}

func (m *Memory) locked(name string, since, now time.Time) *store.LockedError {
	return &store.LockedError{Path: m.Where(name), Holder: store.Holder{Host: "memory", Since: since}, At: now}
}

// HeldBy says who has a record.
func (m *Memory) HeldBy(name string, now time.Time) (e *store.LockedError) {
	_ = m.on(name, func(whole string, _ text, _ bool) error {
		if since, held := m.kept.held[whole]; held {
			e = m.locked(name, since, now)
		}
		return nil
	})
	return e
}

type hold struct {
	kept *kept
	name string
	held bool
}

func (h *hold) Held() bool {
	h.kept.lock.Lock()
	defer h.kept.lock.Unlock()
	return h.held
}

func (h *hold) Release() error {
	h.kept.lock.Lock()
	defer h.kept.lock.Unlock()
	if h.held {
		delete(h.kept.held, h.name)
		h.held = false
	}
	return nil
}

// Alone does something while nobody else does.
func (m *Memory) Alone(do func() error) error {
	m.kept.alone.Lock()
	defer m.kept.alone.Unlock()
	return do()
}

// Within is the part of the store in a folder.
func (m *Memory) Within(folder string) (store.Store, error) {
	if !store.ValidName(folder) {
		return nil, m.fail(folder, fs.ErrInvalid)
	}
	return &Memory{m.kept, m.prefix + folder + "/"}, nil
}

// State is that of a store that is there and can be written to.
func (m *Memory) State() store.State { return store.State{There: true, Writable: q.Known(true)} }

// Refuses nothing.
func (m *Memory) Refuses(string) error { return nil }
