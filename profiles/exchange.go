package profiles

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

// Exchanged is what became of the records of an exchange. Records are told by kind and
// id, "trials/<id>.toml", wherever on a side they are kept.
type Exchanged struct {
	In, Out   []string        // copied into the library, and out of it
	Grown     []string        // journals of which one side had the beginning only, brought up to date
	Same      int             // records that both sides had
	Open      []string        // unfinished trials and runs, which stay where they can be gone on with
	News      map[string]bool // records copied unfinished, for the cable folded in them (true) or its jacket was marked
	Ahead     []string        // of those copied in: dated later than now, so one of the clocks is wrong
	Differing []Differing     // the same id, another content: both kept
	Cards     []ExchangedCard // those that were copied, or that are not the same on both sides
	Refused   []error         // what was found and left alone, naming its file

	NotOut     []string // what the folder did not take
	Unwritable error    // and why: it is full or write-protected; nil when it took all
}

// Differing are two records of one id. Each side keeps its own where it was, and gets a
// copy of the other's in its folder "differing", which nothing is ever advised from.
type Differing struct {
	Record    string
	Mine, Its string // the two, each where it was
	Copy      string // of the other's, in the library
}

const (
	// differingFolder is where the other's copies of differing records are kept.
	differingFolder = "differing"
	// receivedFolder is below the folder of trials. An exchange writes there only, on
	// either side, so that a trial is this tablet's own if it lies in "trials" itself.
	receivedFolder = "received"
)

// received is the place of another tablet's record, by the place of one's own.
func received(name string) string {
	return path.Join(path.Dir(name), receivedFolder, path.Base(name))
}

// Exchange copies records from a folder, such as a stick or a shared one, into the
// library, and from the library into the folder. Nothing is ever written over; what an
// exchange that was broken off has copied is whole, and the next one goes on. A folder
// that takes nothing more, being full or write-protected, is read to the end all the
// same, and told.
//
// The folder is not trusted: only plain files with a record's name in a record's place
// are looked at, each is read strictly, and no link is followed. A seal shows damage and
// thoughtless edits; it cannot show what somebody forged with care.
//
// progress, unless nil, is told how many of the records have been looked at.
func (l *Library) Exchange(other store.Store, progress func(done, total int)) (Exchanged, error) {
	x := &exchange{library: l, here: newShelf(l.store), there: newShelf(other)}
	err := x.run(progress)
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
		refused, err := s.find()
		x.done.Refused = append(x.done.Refused, refused...)
		if err != nil {
			return fmt.Errorf("exchange: nothing was copied: %w", store.Plain(err))
		}
		for name := range s.places {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	names = x.once(slices.Compact(names))
	// What speaks against a profile goes before it: an exchange that is broken off leaves no
	// setting behind without the news against it.
	slices.SortStableFunc(names, func(a, b string) int {
		isProfile := func(name string) int { return btoi(kindOf(name).folder == "profiles") }
		return isProfile(a) - isProfile(b)
	})
	for i, name := range names {
		if err := x.one(name); err != nil {
			return fmt.Errorf("exchange broken off at %s: %w", name, store.Plain(err))
		}
		if progress != nil {
			progress(i+1, len(names))
		}
	}
	if err := x.cards(); err != nil {
		return fmt.Errorf("exchange broken off at the cards: %w", store.Plain(err))
	}
	return nil
}

// once leaves out the profiles of which there is another of the same id in another month's
// folder, on either side: whoever looked for the id would find the one or the other.
func (x *exchange) once(names []string) []string {
	months := map[string][]string{} // the folders of each profile's file name
	for _, name := range names {
		if kindOf(name).folder == "profiles" {
			months[path.Base(name)] = append(months[path.Base(name)], path.Dir(name))
		}
	}
	return slices.DeleteFunc(names, func(name string) bool {
		if kindOf(name).folder != "profiles" || len(months[path.Base(name)]) < 2 {
			return false
		}
		for _, s := range []*shelf{x.here, x.there} {
			if at := s.places[name]; at != "" {
				x.done.Refused = append(x.done.Refused, s.odd(at, "there is a record of the same id in each of "+strings.Join(months[path.Base(name)], ", "), "left alone: compare them, and move all but one away"))
			}
		}
		return true
	})
}

// one exchanges one record. Its error is of the library's disk; a record that cannot be
// taken is told and hides no other.
func (x *exchange) one(name string) error {
	mine, err := x.here.load(name)
	if err != nil && !x.refuse(err) {
		return err
	}
	its, err2 := x.there.load(name)
	if err2 != nil && !x.refuse(err2) {
		x.done.Refused = append(x.done.Refused, store.Plain(err2)) // a stick with a bad spot has others
	}
	switch {
	case err != nil || err2 != nil:
		return nil // never beside one of the same id that nobody can read
	case mine != nil && bytes.Equal(mine, its):
		x.done.Same++
		return nil
	}
	a, err := x.here.judge(name, mine)
	b, err2 := x.there.judge(name, its)
	switch {
	case x.refuse(err) || x.refuse(err2):
		return nil
	case a.open || b.open:
		return x.unfinished(name, a, b)
	case a.text == nil && b.text == nil: // gone meanwhile
		return nil
	case a.text == nil:
		return x.take(name, b.text)
	case b.text == nil:
		return x.give(name, func() error { return x.put(x.there, x.there.home(name), a.text) }, &x.done.Out)
	case a.growsInto(b):
		return x.grow(x.here, name, a, b)
	case b.growsInto(a):
		return x.give(name, func() error { return x.grow(x.there, name, b, a) }, nil)
	}
	return x.keepBoth(name, a.text, b.text)
}

// refuse tells of a record that cannot be taken, and reports whether that is what err is.
func (x *exchange) refuse(err error) bool {
	var own *problem.FileError
	if !errors.As(err, &own) {
		return false
	}
	x.done.Refused = append(x.done.Refused, err)
	return true
}

// unlessThere passes over a file that appeared meanwhile: the next exchange compares it.
func unlessThere(err error) error {
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	return err
}

// take copies a record into the library.
func (x *exchange) take(name string, text []byte) error {
	if err := x.put(x.here, x.here.home(name), text); err != nil {
		return unlessThere(err)
	}
	x.done.In = append(x.done.In, name)
	if idTime(name).After(x.library.now().Add(day)) {
		x.done.Ahead = append(x.done.Ahead, name)
	}
	return nil
}

// give writes to the folder, and tells in a list what it took. Once it has refused it is
// asked no more: it is full, write-protected, or was pulled out.
func (x *exchange) give(name string, write func() error, told *[]string) error {
	if x.done.Unwritable == nil {
		err := write()
		switch {
		case err == nil && told != nil:
			*told = append(*told, name)
		case unlessThere(err) != nil:
			x.done.Unwritable = store.Plain(err)
		}
	}
	if x.done.Unwritable != nil {
		x.done.NotOut = append(x.done.NotOut, name)
	}
	return nil
}

// put writes a new file. A file that another window has put there meanwhile stays.
func (x *exchange) put(to *shelf, at string, text []byte) error {
	write := func() error { return to.store.Write(at, store.Version{}, text) }
	if to == x.here {
		return x.library.store.Alone(write)
	}
	return write()
}

// grow brings a journal that is the beginning of another up to date, where it is.
func (x *exchange) grow(to *shelf, name string, short, long exchangedRecord) error {
	at := to.places[name]
	if to == x.here {
		hold, err := to.store.Hold(at)
		var held *store.LockedError
		if errors.As(err, &held) { // it is being written: the next exchange finds it
			x.done.Open = append(x.done.Open, name)
			return nil
		}
		if err != nil {
			return err
		}
		defer func() { _ = hold.Release() }()
	}
	now, version, err := to.store.Read(at)
	if err != nil || !bytes.Equal(now, short.text) { // it has grown by itself
		return err
	}
	if err := to.store.Write(at, version, long.text); err != nil {
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
	if err := unlessThere(x.put(x.here, copyOf(its), its)); err != nil {
		return err
	}
	x.done.Differing = append(x.done.Differing, Differing{name, x.here.at(x.here.places[name]), x.there.at(x.there.places[name]), x.here.at(copyOf(its))})
	return x.give(name, func() error { return x.put(x.there, copyOf(mine), mine) }, nil)
}
