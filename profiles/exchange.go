package profiles

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"
)

// Exchanged is what became of the records of an exchange. Records are told by their
// place in a library, "trials/<id>.toml".
type Exchanged struct {
	In, Out   []string    // copied into the library, and out of it
	Grown     []string    // journals of which one side had the beginning only, brought up to date
	Same      int         // records that both sides had
	Open      []string    // unfinished trials, which stay where they can be gone on with
	Differing []Differing // the same id, another content: both kept
	Refused   []error     // what was found and left alone, naming its file
}

// Differing are two records of one id. Each side keeps its own where it was, and gets a
// copy of the other's in its folder "differing", which nothing is ever advised from.
type Differing struct {
	Record string
	Copy   string // of the other's, in the library
}

// differingFolder is where the other's copies of differing records are kept.
const differingFolder = "differing"

// Exchange copies records from a folder, such as a stick or a shared one, into the
// library, and from the library into the folder. Nothing is ever written over; what an
// exchange that was broken off has copied is whole, and the next one goes on.
//
// The folder is not trusted: only plain files with a record's name in a record's place
// are looked at, each is read strictly, and no link is followed. A seal shows damage and
// thoughtless edits; it cannot show what somebody forged with care.
//
// progress, unless nil, is told how many of the records have been looked at.
func (l *Library) Exchange(dir string, progress func(done, total int)) (Exchanged, error) {
	if err := makeFolder(osDisk{}, l.dir); err != nil {
		return Exchanged{}, err
	}
	here, err := openShelf(l.dir)
	if err != nil {
		return Exchanged{}, err
	}
	defer func() { _ = here.root.Close() }()
	there, err := openShelf(dir)
	if err != nil {
		return Exchanged{}, fmt.Errorf("exchange: %w", err)
	}
	defer func() { _ = there.root.Close() }()
	if a, err1 := os.Stat(l.dir); err1 == nil {
		if b, err2 := os.Stat(dir); err2 == nil && os.SameFile(a, b) {
			return Exchanged{}, fmt.Errorf("exchange: %s is the library itself\n  name the folder of a stick, or a shared one", dir)
		}
	}
	x := &exchange{library: l, here: here, there: there}
	err = x.run(progress)
	return x.done, err
}

type exchange struct {
	library     *Library
	here, there *shelf
	done        Exchanged
}

func (x *exchange) run(progress func(done, total int)) error {
	var names []string
	for _, s := range []*shelf{x.here, x.there} {
		found, refused := s.records()
		names, x.done.Refused = append(names, found...), append(x.done.Refused, refused...)
	}
	slices.Sort(names)
	names = slices.Compact(names)
	for i, name := range names {
		if idTime(name).After(x.library.now().Add(farAhead)) {
			x.done.Refused = append(x.done.Refused, x.there.odd(name, "its id is of a year to come: a clock was wrong"))
		} else if err := x.one(name); err != nil {
			return fmt.Errorf("exchange broken off at %s: %w", name, plainDiskError(err))
		}
		if progress != nil {
			progress(i+1, len(names))
		}
	}
	return nil
}

// farAhead is how far in the future an id may be. New ids come after the last one, so
// that a record from the end of time would leave none.
const farAhead = 365 * day

// idTime is the time in the id of a record's name.
func idTime(name string) time.Time {
	return ulid.Time(ulid.MustParseStrict(strings.TrimSuffix(path.Base(name), ".toml")).Time())
}

var monthName = regexp.MustCompile(`^[0-9]{4}-(0[1-9]|1[0-2])$`)

// records are the names of a shelf's records, and what it has that is none.
func (s *shelf) records() (names []string, refused []error) {
	months, err := s.list("profiles")
	if err != nil {
		refused = append(refused, plainDiskError(err))
	}
	folders := []string{"reviews", "trials"}
	for _, m := range months {
		switch {
		case monthName.MatchString(m.Name()) && m.IsDir():
			folders = append(folders, path.Join("profiles", m.Name()))
		case !strings.HasPrefix(m.Name(), "."):
			refused = append(refused, s.odd(path.Join("profiles", m.Name()), "not a month's folder"))
		}
	}
	for _, folder := range folders {
		entries, err := s.list(folder)
		if err != nil {
			refused = append(refused, plainDiskError(err))
		}
		for _, e := range entries {
			name := path.Join(folder, e.Name())
			id, isTOML := strings.CutSuffix(e.Name(), ".toml")
			switch {
			case strings.HasPrefix(e.Name(), tempMark):
				s.clean(name, e)
			case !isTOML || strings.HasPrefix(e.Name(), "."): // ours: locks and torn ends
			case !ValidID(id):
				refused = append(refused, s.odd(name, "not a record's name"))
			case !e.Type().IsRegular():
				refused = append(refused, s.odd(name, "not a plain file"))
			default:
				names = append(names, name)
			}
		}
	}
	return names, refused
}

// clean removes what a copy that was broken off long ago has left.
func (s *shelf) clean(name string, e fs.DirEntry) {
	if info, err := e.Info(); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > tempAge {
		_ = s.disk.Remove(name)
	}
}

func (s *shelf) odd(name, problem string) error {
	return &FileError{Path: printableOnly(filepath.Join(s.dir, name)), Problem: problem, Hint: "it was left alone"}
}

// one exchanges one record. Its error is of the disk; a record that cannot be taken is
// told and hides no other.
func (x *exchange) one(name string) error {
	mine, err1 := x.here.read(name)
	its, err2 := x.there.read(name)
	var refused *FileError
	for _, err := range []error{err1, err2} {
		switch {
		case errors.As(err, &refused):
			x.done.Refused = append(x.done.Refused, err)
		case err != nil && !errors.Is(err, fs.ErrNotExist):
			return err
		}
	}
	switch {
	case errors.As(err1, &refused) || errors.As(err2, &refused):
		return nil // never beside one of the same id that nobody can read
	case mine.open || its.open:
		x.done.Open = append(x.done.Open, name)
		return nil
	case mine.text == nil:
		return x.take(name, its.text)
	case its.text == nil:
		return x.give(name, mine.text)
	case bytes.Equal(mine.text, its.text):
		x.done.Same++
		return nil
	case mine.growsInto(its):
		return x.grow(x.here, name, mine, its)
	case its.growsInto(mine):
		return x.grow(x.there, name, its, mine)
	}
	return x.keepBoth(name, mine.text, its.text)
}

// record is a record on a shelf. It is zero when there is none.
type exchangedRecord struct {
	text   []byte
	sealed bool
	open   bool // an unfinished trial
}

// growsInto reports whether the other is this journal with more entries.
func (r exchangedRecord) growsInto(longer exchangedRecord) bool {
	return r.sealed && longer.sealed && bytes.HasPrefix(longer.text, r.text)
}

// read reads a record as strictly as it can be read. A [FileError] says why it cannot be
// taken; of one that is not there the error is [fs.ErrNotExist].
func (s *shelf) read(name string) (r exchangedRecord, err error) {
	data, err := readFile(s.disk, name)
	if err != nil {
		return r, s.under(err)
	}
	fail := func(problem string) (exchangedRecord, error) { return exchangedRecord{}, s.odd(name, problem) }
	at := filepath.Join(s.dir, name)
	if r.sealed, err = isJournal(at, data); err != nil {
		return exchangedRecord{}, err
	}
	if r.sealed {
		_, torn, err := unseal(at, data)
		if err != nil {
			return exchangedRecord{}, err
		}
		if len(torn) > 0 {
			return fail("its last entry is not whole: it is being written, or was broken off")
		}
	}
	r.text = data
	id, err := identify(at, name, data, &r)
	if err != nil {
		return exchangedRecord{}, err
	}
	if id != strings.TrimSuffix(path.Base(name), ".toml") {
		return fail("its id is not its name")
	}
	return r, nil
}

// under puts the shelf's folder before the name in an error of ours.
func (s *shelf) under(err error) error {
	var own *FileError
	if errors.As(err, &own) && !filepath.IsAbs(own.Path) {
		own.Path = filepath.Join(s.dir, own.Path)
	}
	return err
}

// identify reads the record itself and returns its id.
func identify(at, name string, data []byte, r *exchangedRecord) (id string, err error) {
	if strings.HasPrefix(name, "reviews/") {
		f, err := parseReview(at, data)
		if err != nil {
			return "", err
		}
		return f.ID, nil
	}
	record, err := Parse(at, data)
	if err != nil {
		return "", ownError(at, err)
	}
	if strings.HasPrefix(name, "profiles/") {
		if _, err := candidateOf(at, record, ""); err != nil {
			return "", err
		}
		if want := path.Dir(name); path.Base(want) != record.Started.Format("2006-01") {
			return "", &FileError{Path: at, Problem: "not in the folder of the month it was begun in", Hint: "it was left alone"}
		}
		return record.ID, nil
	}
	t, err := record.Trial()
	if err != nil {
		return "", ownError(at, err)
	}
	r.open = !t.Closed()
	return record.ID, nil
}

// ownError makes sure that what is wrong with a record is not taken for a failing disk.
func ownError(at string, err error) error {
	var own *FileError
	if errors.As(err, &own) {
		return err
	}
	return &FileError{Path: at, Problem: printableOnly(err.Error()), Hint: "it was left alone"}
}

// take copies a record into the library.
func (x *exchange) take(name string, text []byte) error {
	if err := x.put(x.here, name, text); err != nil {
		return unlessThere(err)
	}
	x.done.In = append(x.done.In, name)
	return nil
}

// give copies a record into the folder.
func (x *exchange) give(name string, text []byte) error {
	if err := x.put(x.there, name, text); err != nil {
		return unlessThere(err)
	}
	x.done.Out = append(x.done.Out, name)
	return nil
}

// unlessThere passes over a file that appeared meanwhile: the next exchange compares it.
func unlessThere(err error) error {
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	return err
}

// put writes a new file. A file that another window has put there meanwhile stays.
func (x *exchange) put(to *shelf, name string, text []byte) (err error) {
	if to == x.here {
		lock, err := lockLibrary(x.library.dir)
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, lock.Unlock()) }()
	}
	if err := to.folder(path.Dir(name)); err != nil {
		return err
	}
	return create(to.disk, name, text)
}

// grow brings a journal that is the beginning of another up to date.
func (x *exchange) grow(to *shelf, name string, short, long exchangedRecord) error {
	if to == x.here {
		lock, err := lockJournal(filepath.Join(to.dir, name), x.library.now())
		var held *LockedError
		if errors.As(err, &held) { // it is being written: the next exchange finds it
			x.done.Open = append(x.done.Open, name)
			return nil
		}
		if err != nil {
			return err
		}
		defer func() { _ = lock.Unlock() }()
	}
	now, err := readFile(to.disk, name)
	if err != nil || !bytes.Equal(now, short.text) { // it has grown by itself
		return err
	}
	if err := replace(to.disk, name, long.text); err != nil {
		return err
	}
	x.done.Grown = append(x.done.Grown, name)
	return nil
}

// keepBoth gives each side a copy of the other's record, out of the way.
func (x *exchange) keepBoth(name string, mine, its []byte) error {
	copyOf := func(text []byte) string {
		return path.Join(differingFolder, fmt.Sprintf("%s-%.8x.toml", strings.TrimSuffix(strings.ReplaceAll(name, "/", "-"), ".toml"), sha256.Sum256(text)))
	}
	for _, c := range []struct {
		to   *shelf
		text []byte
	}{{x.here, its}, {x.there, mine}} {
		if err := unlessThere(x.put(c.to, copyOf(c.text), c.text)); err != nil {
			return err
		}
	}
	x.done.Differing = append(x.done.Differing, Differing{name, filepath.Join(x.library.dir, copyOf(its))})
	return nil
}
