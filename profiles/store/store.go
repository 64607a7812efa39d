// Package store says what a library needs of the place where its records are kept: texts by name,
// each written whole or not at all. What a record means, the store does not know; where it is kept,
// nobody else does.
package store

import (
	"errors"
	"io/fs"
	"time"

	q "brinkmark/session/quantity"
)

// MaxText is the most bytes of a record; a trial of a thousand pushes has 1.6 million.
const MaxText = 4 << 20

// Version is how a text shows that it has changed. It is zero of one that is not there.
type Version struct {
	Size, Time int64
	Tag        string // of a store that gives each text one
}

// Entry is what is kept under a name.
type Entry struct {
	Name   string // its last part
	Plain  bool   // a text, and no folder, and nothing that leads elsewhere
	Folder bool
	Stamp  func() Version // see Version; nil of what is not plain
}

// Version is that of a plain text: a store may have to look at it once more.
func (e Entry) Version() Version {
	if e.Stamp == nil {
		return Version{}
	}
	return e.Stamp()
}

// Store keeps texts by their names, "trials/01….toml": parts with slashes, see [ValidName]. What a
// method has done when it returns without an error is done for good, a power cut included. After
// an error of a write nobody knows what is kept: the old text, the new one, or of [Store.Extend]
// the old one with a beginning of what was to be added. It must be read again.
//
// An error is [fs.ErrNotExist] of a name that is not there, [fs.ErrExist] of one that is,
// [ErrChanged] of one that is another version, and [ErrFull], [ErrProtected] or
// [fs.ErrPermission] of a store that refuses.
type Store interface {
	// List returns what is in a folder, in order of names: nothing where there is no such folder.
	List(folder string) ([]Entry, error)
	// Look returns what is kept under a name, without following what leads elsewhere.
	Look(name string) (Entry, error)
	// Read reads a plain text.
	Read(name string) ([]byte, Version, error)
	// ReadThrough is Read, of what leads elsewhere too.
	ReadThrough(name string) ([]byte, error)

	// Write puts a text in place of the version that is there, and makes the folders it is in. The
	// zero version is for a new one, which is read back.
	Write(name string, old Version, text []byte) error
	// Extend adds to the end of the version that is there.
	Extend(name string, old Version, more []byte) error
	// Cut takes off what is beyond so many bytes of the version that is there.
	Cut(name string, old Version, size int) error
	// Confirm makes safe what another program may have written and been killed over.
	Confirm(name string) error
	Remove(name string) error

	// Keep and Recall are for what is made from the records and may be lost or old. Recall
	// returns nothing of more than so many bytes.
	Keep(name string, text []byte) error
	Recall(name string, most int64) []byte
	// Tidy takes away what broken-off writes have left in a folder.
	Tidy(folder string, now time.Time) error

	// Hold keeps other programs from a record until it is let go. Of one that another has, the
	// error is a [LockedError].
	Hold(name string) (Hold, error)
	// HeldBy says which program has a record; nil when none has.
	HeldBy(name string, now time.Time) *LockedError
	// Alone does something while no other program does.
	Alone(do func() error) error

	// Within is the store of a folder.
	Within(folder string) (Store, error)
	// Where says where a name is kept, in words fit to be shown; of "" where the store is.
	Where(name string) string
	State() State
	// Refuses says why nothing can be written in a folder, where that can be seen without writing.
	Refuses(folder string) error
}

// Hold is a record that this program has for itself.
type Hold interface {
	Held() bool
	// Release lets go. A second call does nothing.
	Release() error
}

// State is what can be told of a store by looking at it.
type State struct {
	There    bool            // else the first write makes it
	Usual    bool            // it is the one that is used when none is named
	Writable q.Maybe[bool]   // may this user write to it
	Free     q.Maybe[uint64] // bytes left for this user
}

// Why a store refuses.
var (
	ErrFull      = errors.New("full")
	ErrProtected = errors.New("write-protected")
	ErrNoFolder  = errors.New("not a folder")
	ErrChanged   = errors.New("changed meanwhile")
)

// ValidName reports whether a name leads to something in a store, and nowhere else.
func ValidName(name string) bool { return fs.ValidPath(name) && name != "." }
