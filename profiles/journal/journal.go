// Package journal keeps a record that only grows, entry by entry, each sealed: what was
// acknowledged can always be read again, and what a hand has changed shows.
package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

// The bytes of a journal:
//
//	# brinkmark journal 1        header, the first line
//	format = 1                   head: plain TOML, all single tables
//	…
//	# sealed 0 5d41402a          seal of header and head
//	[[attempt]]                  entry 1: plain TOML
//	seq = 31
//	…
//	# sealed 1 9f3c1a2b          seal of entry 1
//
// A seal is a TOML comment, so the whole file is TOML. Its number is the entry's;
// its eight figures are the CRC-32C of that number, the CRC of the seal before and
// the bytes since that seal: see [Sealed.seal]. No other line may begin with
// "# sealed", and no text runs over several lines, so no note can forge one. Every
// line ends in a line feed.
//
// While there is no entry the head is replaced as a whole file. After that the
// file only grows: an entry and its seal go out in one write and are synced, and
// only then is the entry acknowledged. A write that failed is cut off again before
// the next.
//
// What is found on opening, and what is done:
//
//	first line is no header           written by hand: no seals, read as it stands
//	first line is nearly the header   refused: changed, or of another version
//	seals, and no header              refused: its first line was taken out
//	the head does not fit its seal    refused: heads are never half written
//	every part fits its seal          taken
//	an end without a seal             torn: set aside in FILE.torn-1 (-2 …), then cut off
//	an end in NUL bytes               torn
//	NUL bytes and the next seal       torn: the disk kept the end of a write and not its start
//	whole text that fits no seal      refused: changed after it was written
//	seals after what fits no seal     refused: what came before them was acknowledged
//
// Nothing acknowledged is ever set aside, but for bytes the disk lost at the very
// end. Readers that hold no lock leave a torn end where it is.

// Recovery tells of the torn end of a journal. It is zero when nothing was torn.
type Recovery struct {
	SetAside int    // how many bytes
	Line     int    // where they begin
	KeptIn   string // file they were put in, or "" when they were left where they are
}

// String tells the crew what was found and done, or is "".
func (r Recovery) String() string {
	switch {
	case r.SetAside == 0:
		return ""
	case r.KeptIn == "":
		return fmt.Sprintf("the last entry was not fully written: %d bytes from line %d on are left out", r.SetAside, r.Line)
	}
	return fmt.Sprintf("the last entry was not fully written: %d bytes from line %d on were set aside in %s", r.SetAside, r.Line, r.KeptIn)
}

// Journal is an open record that grows entry by entry. No two can be open for one
// name. It is not safe for use by several goroutines at once.
type Journal struct {
	store  store.Store
	name   string
	hold   store.Hold
	sealed Sealed

	// What a failed write may have left, until settle has dealt with it.
	extra []byte // a part of it after the last seal
	other []byte // all of it in place of the sealed text
}

// Create begins a journal with a head. There must be none of the name: if there is
// the error is [fs.ErrExist]. If another program has it open it is a [store.LockedError].
func Create(s store.Store, name, head string) (*Journal, error) {
	sealed, err := SealHead(head)
	if err != nil {
		return nil, err
	}
	hold, err := s.Hold(name)
	if err != nil {
		return nil, err
	}
	if err := s.Write(name, store.Version{}, sealed.text); err != nil {
		return nil, errors.Join(store.Plain(err), hold.Release())
	}
	return &Journal{store: s, name: name, hold: hold, sealed: sealed}, nil
}

// Open opens a journal to go on with it. A torn end is set aside under a name
// of its own and told. If another program has it open the error is a [store.LockedError].
func Open(s store.Store, name string) (*Journal, Recovery, error) {
	if _, _, err := s.Read(name); err != nil { // nothing is held that is not there
		return nil, Recovery{}, store.Plain(err)
	}
	hold, err := s.Hold(name)
	if err != nil {
		return nil, Recovery{}, err
	}
	j := &Journal{store: s, name: name, hold: hold}
	recovery, err := j.recover()
	if err != nil {
		return nil, Recovery{}, errors.Join(store.Plain(err), hold.Release())
	}
	return j, recovery, nil
}

// recover reads the journal, and sets a torn end aside.
func (j *Journal) recover() (Recovery, error) {
	data, version, err := j.store.Read(j.name)
	if err != nil {
		return Recovery{}, err
	}
	where := j.Where()
	switch is, err := IsJournal(where, data); {
	case err != nil:
		return Recovery{}, err
	case !is:
		return Recovery{}, ByHand(where)
	}
	s, torn, err := Unseal(where, data)
	if err != nil {
		return Recovery{}, err
	}
	j.sealed = s
	if len(torn) == 0 {
		return Recovery{}, j.store.Confirm(j.name)
	}
	recovery := recoveryOf(s, torn)
	if recovery.KeptIn, err = setAside(j.store, j.name, torn); err != nil {
		return Recovery{}, err
	}
	return recovery, j.cutOff(version)
}

// ByHand is the error for a record that has no seals, where one is to be gone on with.
func ByHand(where string) error {
	return &problem.FileError{Path: where, Problem: "written by hand: it can be read but not gone on with", Hint: "begin anew: a trial with this file as its job, a run with its profile"}
}

// setAside keeps the torn bytes of a journal under a name beside it.
func setAside(s store.Store, name string, torn []byte) (keptIn string, err error) {
	const most = 1000
	for n := range most {
		kept := fmt.Sprintf("%s.torn-%d", name, n+1)
		if err = s.Write(kept, store.Version{}, torn); !errors.Is(err, fs.ErrExist) {
			return s.Where(kept), err
		}
		// The last recovery may have been broken off before the bytes were cut off.
		if old, _, err := s.Read(kept); err == nil && bytes.Equal(old, torn) {
			return s.Where(kept), s.Confirm(kept)
		}
	}
	return "", err
}

// TextOf is what a record's bytes say: of a journal up to the last good seal, of a record written
// by hand as it stands. Seals are comments in it, and its lines are those of the bytes. A journal
// that was changed after it was sealed reads as if by hand, and the flaw says so.
func TextOf(where string, data []byte) (text string, found Flaw, err error) {
	is, err := IsJournal(where, data)
	if err == nil && !is {
		return string(data), Flaw{}, nil
	}
	var s Sealed
	var torn []byte
	if err == nil {
		s, torn, err = Unseal(where, data)
	}
	var damaged *problem.FileError
	if errors.As(err, &damaged) {
		return string(data), Flaw{fmt.Sprintf("line %d: %s", damaged.Line, damaged.Problem), true}, nil
	}
	return string(s.text), Flaw{Says: recoveryOf(s, torn).String()}, err
}

// Flaw is what is the matter with a journal that could be read all the same. It is zero
// when nothing is.
type Flaw struct {
	Says   string
	Edited bool // changed after it was sealed; else its end is torn
}

// TornEnd tells of a journal's torn end left where it is.
func TornEnd(where string, data []byte) Recovery {
	if is, err := IsJournal(where, data); err != nil || !is {
		return Recovery{}
	}
	s, torn, err := Unseal(where, data)
	if err != nil {
		return Recovery{}
	}
	return recoveryOf(s, torn)
}

// recoveryOf tells of a torn end left where it is.
func recoveryOf(s Sealed, torn []byte) Recovery {
	if len(torn) == 0 {
		return Recovery{}
	}
	return Recovery{SetAside: len(torn), Line: s.lines() + 1}
}

// Name is what the journal is kept under, and Where is where that is.
func (j *Journal) Name() string  { return j.name }
func (j *Journal) Where() string { return j.store.Where(j.name) }

// Text returns all that is acknowledged, as it stands in the file with its seals.
func (j *Journal) Text() string { return string(j.sealed.text) }

// Entries returns the number of entries.
func (j *Journal) Entries() int { return j.sealed.entries() }

// Close lets another program open the journal. A second call does nothing.
func (j *Journal) Close() error { return j.hold.Release() }

// ReplaceHead replaces the head. It is an error once there is an entry: what
// changes then is an entry of its own. After an error the old head stands.
func (j *Journal) ReplaceHead(head string) error {
	if n := j.Entries(); n > 0 {
		return fmt.Errorf("the job cannot be written anew: %d entries rest on it\n  record a change instead", n)
	}
	next, err := SealHead(head)
	if err != nil {
		return err
	}
	version, err := j.settle()
	if err != nil {
		return store.Plain(err)
	}
	j.other = next.text
	if err := j.store.Write(j.name, version, next.text); err != nil {
		_, _ = j.settle() // else before the next write
		return store.Plain(err)
	}
	j.other, j.sealed = nil, next
	return nil
}

// Append adds an entry. It is safe when Append returns without an error;
// after an error it is not in the journal, nothing before it is lost, and Append
// may be called again.
func (j *Journal) Append(block string) error {
	next, err := j.sealed.Add(block)
	if err != nil {
		return err
	}
	version, err := j.settle()
	if err != nil {
		return notAppended(err)
	}
	j.extra = next.text[len(j.sealed.text):]
	if err := j.store.Extend(j.name, version, j.extra); err != nil {
		_, _ = j.settle() // else before the next write
		return notAppended(err)
	}
	j.extra, j.sealed = nil, next
	return nil
}

func notAppended(err error) error {
	var own *problem.FileError
	if errors.As(err, &own) {
		return err
	}
	what, hint := "not on disk", "answer again; if that fails too, copy the library to another disk"
	switch {
	case errors.Is(err, store.ErrFull):
		what, hint = "the disk is full", "free some space and answer again"
	case errors.Is(err, store.ErrProtected):
		hint = "it is write-protected: take the protection off and answer again"
	case errors.Is(err, fs.ErrPermission):
		hint = "check the rights of the folder, then answer again"
	case errors.Is(err, fs.ErrNotExist):
		hint = "the record is gone from its place: put the disk or the folder back, then answer again"
	}
	return fmt.Errorf("%s: nothing was lost up to the last answer: %w\n  %s", what, err, hint)
}

// settle makes sure that the sealed text is kept and nothing else, and returns its version. What
// our own failed write left is undone. After a failed write nobody knows what is safe, so what is
// undone is made safe as well. Anything else there is not ours, and an error.
func (j *Journal) settle() (store.Version, error) {
	if !j.hold.Held() {
		return store.Version{}, fs.ErrClosed
	}
	data, version, err := j.store.Read(j.name)
	if err != nil {
		return version, err
	}
	rest, goesOn := bytes.CutPrefix(data, j.sealed.text)
	switch {
	case j.other != nil && (bytes.Equal(data, j.other) || goesOn && len(rest) == 0):
		err = j.store.Write(j.name, version, j.sealed.text)
	case !goesOn || !bytes.HasPrefix(j.extra, rest):
		return version, &problem.FileError{Path: j.Where(), Problem: "another program has changed the file", Hint: "close the record and open it again"}
	case j.extra != nil:
		err = j.cutOff(version)
	default:
		return version, nil
	}
	if err != nil {
		return version, err
	}
	j.other, j.extra = nil, nil
	_, version, err = j.store.Read(j.name)
	return version, err
}

// cutOff takes off what follows the last seal.
func (j *Journal) cutOff(version store.Version) error {
	return j.store.Cut(j.name, version, len(j.sealed.text))
}
