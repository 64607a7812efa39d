package profiles

import (
	"errors"
	"fmt"
	"strings"
)

// A journal on disk:
//
//	# brinkmark journal 1            first line: what this file is
//	format = 1 …                     the head, plain TOML
//	# sealed 0 5ad9c1e3              a seal: number, and a checksum chained from the seal before
//	[[answer]] …                     an entry
//	# sealed 1 07b2aa40
//
// The head is replaced whole, as a file, until the first entry. From then on the
// file only grows, by one entry and its seal in one write, synced before it counts.
//
// What a reader finds and does:
//
//	every seal true, nothing after the last    go on
//	bytes after the last seal, none sealed     a cut in the middle of a write: set them aside, say so, go on
//	a seal that does not fit what it seals     edited or damaged: never written to, and said wherever it is read
//	no first line                              written by hand: no seals expected
const journalHeader = "# brinkmark journal 1\n"

// Journal is an open journal, locked against a second window.
type Journal struct {
	disk   disk
	path   string
	file   file
	lock   *heldLock
	sealed string // all that counts, as on disk
	next   int    // number of the next seal
	chain  uint32
	broken bool // a write failed: the file may hold more than sealed
}

// Recovery is what was found and done when a journal was opened.
type Recovery struct {
	SetAside int    // bytes after the last seal
	KeptIn   string // the file they were put into
}

// String tells the crew, or is empty when there was nothing to do.
func (r Recovery) String() string {
	if r.SetAside == 0 {
		return ""
	}
	return fmt.Sprintf("The last write was cut off. Everything before it is here; %d bytes that were not finished are kept in %s.", r.SetAside, r.KeptIn)
}

// CreateJournal begins a journal with a head. The file must not exist.
func CreateJournal(path, head string) (*Journal, error) { return createJournal(osDisk{}, path, head) }

func createJournal(d disk, path, head string) (*Journal, error) {
	text, chain, err := sealedHead(head)
	if err != nil {
		return nil, err
	}
	lock, err := lockJournal(path)
	if err != nil {
		return nil, err
	}
	j := &Journal{disk: d, path: path, lock: lock, sealed: text, next: 1, chain: chain}
	if err := createFile(d, path, []byte(text)); err != nil {
		return nil, errors.Join(err, j.Close())
	}
	if j.file, err = d.open(path); err != nil {
		return nil, errors.Join(plainDiskError(err), j.Close())
	}
	return j, nil
}

// OpenJournal opens a journal to go on with it. A torn end is first copied beside
// it, then cut off.
func OpenJournal(path string) (*Journal, Recovery, error) { return openJournal(osDisk{}, path) }

func openJournal(d disk, path string) (*Journal, Recovery, error) {
	lock, err := lockJournal(path)
	if err != nil {
		return nil, Recovery{}, err
	}
	j := &Journal{disk: d, path: path, lock: lock}
	recovery, err := j.load()
	if err != nil {
		return nil, recovery, errors.Join(err, j.Close())
	}
	return j, recovery, nil
}

func (j *Journal) load() (Recovery, error) {
	data, err := j.disk.read(j.path)
	if err != nil {
		return Recovery{}, plainDiskError(err)
	}
	found, err := readJournal(j.path, data)
	if err != nil {
		return Recovery{}, err
	}
	if !found.isJournal {
		return Recovery{}, &FileError{Path: j.path, Problem: "it is not a sealed record", Hint: "begin a trial from it: brinkmark trial FILE"}
	}
	j.sealed, j.next, j.chain = found.sealed, found.next, found.chain
	var recovery Recovery
	if found.torn != "" {
		recovery = Recovery{SetAside: len(found.torn)}
		if recovery.KeptIn, err = j.setAside(found.torn); err != nil {
			return recovery, err
		}
		if err := replaceFile(j.disk, j.path, []byte(j.sealed)); err != nil {
			return recovery, err
		}
	}
	j.file, err = j.disk.open(j.path)
	return recovery, plainDiskError(err)
}

// setAside keeps a torn end in a file of its own.
func (j *Journal) setAside(torn string) (string, error) {
	for n := 1; ; n++ {
		path := fmt.Sprintf("%s.torn-%d", j.path, n)
		if _, err := j.disk.read(path); err == nil {
			continue
		}
		return path, createFile(j.disk, path, []byte(torn))
	}
}

// Path returns the journal's file.
func (j *Journal) Path() string { return j.path }

// Text returns all that counts, seals and all: they are comments to TOML.
func (j *Journal) Text() string { return j.sealed }

// ReplaceHead writes the head anew. Only before the first entry.
func (j *Journal) ReplaceHead(head string) error {
	if j.next > 1 {
		return errors.New("the job is settled: write a change with its reason instead")
	}
	text, chain, err := sealedHead(head)
	if err != nil {
		return err
	}
	if err := replaceFile(j.disk, j.path, []byte(text)); err != nil {
		return err
	}
	j.sealed, j.chain = text, chain
	return j.reopen()
}

// reopen follows the name to the file that was put in its place.
func (j *Journal) reopen() error {
	f, err := j.disk.open(j.path)
	if err != nil {
		return plainDiskError(err)
	}
	old := j.file
	j.file, j.broken = f, false
	if old != nil {
		_ = old.Close() // it was replaced: nothing of it counts any more
	}
	return nil
}

// Append adds an entry. When it returns nil, the entry is on disk for good; when it
// returns an error, the entry is not in the journal and may be given again.
func (j *Journal) Append(block string) error {
	if err := sealable(block); err != nil {
		return err
	}
	if j.broken {
		if err := j.repair(); err != nil {
			return err
		}
	}
	seal, chain := makeSeal(j.next, j.chain, block)
	_, err := j.file.Write([]byte(block + seal))
	if err == nil {
		err = j.file.Sync()
	}
	if err != nil {
		j.broken = true
		_ = j.repair() // if it fails now, the next Append tries again and tells
		return plainDiskError(err)
	}
	j.sealed += block + seal
	j.next, j.chain = j.next+1, chain
	return nil
}

// repair writes the whole journal anew after a failed write: once a sync has
// failed, nobody can say what of the old file is on disk.
func (j *Journal) repair() error {
	if err := replaceFile(j.disk, j.path, []byte(j.sealed)); err != nil {
		return err
	}
	return j.reopen()
}

// Close gives the journal free.
func (j *Journal) Close() error {
	var err error
	if j.file != nil {
		err = j.file.Close()
	}
	return errors.Join(err, j.lock.release())
}

// readText reads a record's text without a lock and without writing anything. What
// is wrong with its seals is a warning, for a reader who only looks.
func readText(path string) (text, warning string, err error) {
	data, err := (osDisk{}).read(path)
	if err != nil {
		return "", "", err
	}
	found, err := readJournal(path, data)
	var damaged *FileError
	switch {
	case errors.As(err, &damaged):
		return string(data), fmt.Sprintf("the record was edited or damaged after it was sealed, at line %d", damaged.Line), nil
	case err != nil:
		return "", "", err
	case found.torn != "":
		return found.sealed, fmt.Sprintf("the last write was cut off: its %d bytes are left out", len(found.torn)), nil
	}
	return found.sealed, "", nil
}

// sealable refuses text that could be taken for a seal, or that no journal holds.
func sealable(text string) error {
	switch {
	case !strings.HasSuffix(text, "\n"):
		return errors.New("an entry must end its last line")
	case strings.Contains(text, `"""`), strings.Contains(text, "'''"):
		return errors.New("a text over several lines cannot be kept")
	}
	for _, line := range strings.Split(text, "\n") {
		if strings.HasPrefix(strings.TrimSpace(line), "#") {
			return errors.New("an entry cannot hold comments")
		}
	}
	return nil
}
