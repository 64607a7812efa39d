package profiles

import (
	"brinkmark/profiles/problem"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
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
// the bytes since that seal: see [sealed.seal]. No other line may begin with
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
// file. It is not safe for use by several goroutines at once.
type Journal struct {
	disk   disk
	path   string
	lock   *fileLock
	sealed sealed

	// What a failed write may have left in the file, until settle has dealt with it.
	extra []byte // a part of it after the last seal
	other []byte // all of it in place of the sealed text
}

// CreateJournal begins a journal with a head. The file must not exist: if it does
// the error is [fs.ErrExist]. If another program has it open it is a [LockedError].
func CreateJournal(path, head string) (*Journal, error) {
	return createJournal(osDisk{}, path, head)
}

func createJournal(d disk, path, head string) (*Journal, error) {
	s, err := sealHead(head)
	if err != nil {
		return nil, err
	}
	lock, err := lockJournal(path, time.Now())
	if err != nil {
		return nil, err
	}
	if err := create(d, path, s.text); err != nil {
		return nil, errors.Join(plainDiskError(err), lock.Unlock())
	}
	return &Journal{disk: d, path: path, lock: lock, sealed: s}, nil
}

// OpenJournal opens a journal to go on with it. A torn end is set aside in a file
// of its own and told. If another program has it open the error is a [LockedError].
func OpenJournal(path string) (*Journal, Recovery, error) {
	return openJournal(osDisk{}, path)
}

func openJournal(d disk, path string) (*Journal, Recovery, error) {
	if err := regular(d, path); err != nil {
		return nil, Recovery{}, plainDiskError(err)
	}
	lock, err := lockJournal(path, time.Now())
	if err != nil {
		return nil, Recovery{}, err
	}
	j := &Journal{disk: d, path: path, lock: lock}
	recovery, err := j.recover()
	if err != nil {
		return nil, Recovery{}, errors.Join(plainDiskError(err), lock.Unlock())
	}
	return j, recovery, nil
}

// recover reads the journal, and sets a torn end aside.
func (j *Journal) recover() (Recovery, error) {
	data, err := readFile(j.disk, j.path)
	if err != nil {
		return Recovery{}, err
	}
	switch is, err := isJournal(j.path, data); {
	case err != nil:
		return Recovery{}, err
	case !is:
		return Recovery{}, writtenByHand(j.path)
	}
	s, torn, err := unseal(j.path, data)
	if err != nil {
		return Recovery{}, err
	}
	j.sealed = s
	if len(torn) == 0 {
		// The last program may have been killed between writing and syncing, or naming and syncing.
		if err := onFile(j.disk, j.path, os.O_WRONLY, func(file) error { return nil }); err != nil {
			return Recovery{}, err
		}
		return Recovery{}, j.disk.SyncDir(filepath.Dir(j.path))
	}
	recovery := recoveryOf(s, torn)
	if recovery.KeptIn, err = setAside(j.disk, j.path, torn); err != nil {
		return Recovery{}, err
	}
	return recovery, j.cutOff()
}

func writtenByHand(path string) error {
	return &problem.FileError{Path: path, Problem: "written by hand: it can be read but not gone on with", Hint: "begin anew: a trial with this file as its job, a run with its profile"}
}

// setAside keeps the torn bytes of a journal in a file beside it.
func setAside(d disk, path string, torn []byte) (kept string, err error) {
	const most = 1000
	for n := range most {
		kept = fmt.Sprintf("%s.torn-%d", path, n+1)
		if err = create(d, kept, torn); !errors.Is(err, fs.ErrExist) {
			return kept, err
		}
		// The last recovery may have been broken off before the bytes were cut off.
		if old, err := readFile(d, kept); err == nil && bytes.Equal(old, torn) {
			return kept, d.SyncDir(filepath.Dir(kept))
		}
	}
	return "", err
}

// readText reads a record's text without locking it or writing anything: of a
// journal up to the last good seal, of a file written by hand as it stands. Seals
// are comments in it, and its lines are those of the file. A journal that was
// changed after it was sealed reads as if by hand, and the flaw says so.
func readText(path string) (text string, found flaw, err error) {
	data, err := readThrough(path)
	if err != nil {
		return "", flaw{}, plainDiskError(err)
	}
	is, err := isJournal(path, data)
	if err == nil && !is {
		return string(data), flaw{}, nil
	}
	var s sealed
	var torn []byte
	if err == nil {
		s, torn, err = unseal(path, data)
	}
	var damaged *problem.FileError
	if errors.As(err, &damaged) {
		return string(data), flaw{fmt.Sprintf("line %d: %s", damaged.Line, damaged.Problem), true}, nil
	}
	return string(s.text), flaw{says: recoveryOf(s, torn).String()}, err
}

// flaw is what is the matter with a journal that could be read all the same. It is zero
// when nothing is.
type flaw struct {
	says   string
	edited bool // changed after it was sealed; else its end is torn
}

// recoveryOf tells of a torn end left where it is.
func recoveryOf(s sealed, torn []byte) Recovery {
	if len(torn) == 0 {
		return Recovery{}
	}
	return Recovery{SetAside: len(torn), Line: s.lines() + 1}
}

// Path returns the journal's file.
func (j *Journal) Path() string { return j.path }

// Text returns all that is acknowledged, as it stands in the file with its seals.
func (j *Journal) Text() string { return string(j.sealed.text) }

// Entries returns the number of entries.
func (j *Journal) Entries() int { return j.sealed.entries() }

// Close lets another program open the journal. A second call does nothing.
func (j *Journal) Close() error { return j.lock.Unlock() }

// ReplaceHead replaces the head. It is an error once there is an entry: what
// changes then is an entry of its own. After an error the old head stands.
func (j *Journal) ReplaceHead(head string) error {
	if n := j.Entries(); n > 0 {
		return fmt.Errorf("the job cannot be written anew: %d entries rest on it\n  record a change instead", n)
	}
	next, err := sealHead(head)
	if err != nil {
		return err
	}
	if err := j.settle(); err != nil {
		return plainDiskError(err)
	}
	j.other = next.text
	if err := replace(j.disk, j.path, next.text); err != nil {
		_ = j.settle() // else before the next write
		return plainDiskError(err)
	}
	j.other, j.sealed = nil, next
	return nil
}

// Append adds an entry. It is safe on disk when Append returns without an error;
// after an error it is not in the journal, nothing before it is lost, and Append
// may be called again.
func (j *Journal) Append(block string) error {
	next, err := j.sealed.add(block)
	if err != nil {
		return err
	}
	if err := j.settle(); err != nil {
		return notAppended(err)
	}
	j.extra = next.text[len(j.sealed.text):]
	err = onFile(j.disk, j.path, os.O_WRONLY|os.O_APPEND, func(f file) error {
		_, err := f.Write(j.extra)
		return err
	})
	if err != nil {
		_ = j.settle() // else before the next write
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
	case isFull(err):
		what, hint = "the disk is full", "free some space and answer again"
	case isProtected(err):
		hint = "it is write-protected: take the protection off and answer again"
	case errors.Is(err, fs.ErrPermission):
		hint = "check the rights of the folder, then answer again"
	case errors.Is(err, fs.ErrNotExist):
		hint = "the record is gone from its place: put the disk or the folder back, then answer again"
	}
	return fmt.Errorf("%s: nothing was lost up to the last answer: %w\n  %s", what, err, hint)
}

// settle makes sure that the file holds the sealed text and nothing else. What our
// own failed write left is undone. After a failed sync nobody knows what the disk
// has, so what is undone is synced as well. Anything else in the file is not ours,
// and an error.
func (j *Journal) settle() error {
	if !j.lock.held() {
		return fs.ErrClosed
	}
	data, err := readFile(j.disk, j.path)
	if err != nil {
		return err
	}
	rest, goesOn := bytes.CutPrefix(data, j.sealed.text)
	switch {
	case j.other != nil && (bytes.Equal(data, j.other) || goesOn && len(rest) == 0):
		if err := replace(j.disk, j.path, j.sealed.text); err != nil {
			return err
		}
		j.other = nil
		return nil
	case !goesOn || !bytes.HasPrefix(j.extra, rest):
		return &problem.FileError{Path: j.path, Problem: "another program has changed the file", Hint: "close the record and open it again"}
	case j.extra != nil:
		return j.cutOff()
	}
	return nil
}

// cutOff takes off what follows the last seal.
func (j *Journal) cutOff() error {
	err := onFile(j.disk, j.path, os.O_WRONLY, func(f file) error {
		return f.Truncate(int64(len(j.sealed.text)))
	})
	if err == nil {
		j.extra = nil
	}
	return err
}
