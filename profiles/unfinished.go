package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

// Unfinished is a trial or a run of this tablet that is not closed: what it is of, and how far
// it has come.
type Unfinished struct {
	ID                 string
	Of                 string // of a run: the profile it installs with
	Make, Type, Size   string
	Temperature, Route string
	Pushes             int
	Last               time.Time // when the last entry was made
	Empty              bool      // it has no entry
}

// recent is how many records are read to the end whatever the index says of them, and whose
// faults are told: those of years ago are told by the review.
const recent = 50

// Unfinished returns all trials that are not closed, newest first. Of the newest those that
// cannot be read, or not be gone on with, are named in unreadable, and hide nothing.
func (l *Library) Unfinished() (list []Unfinished, unreadable []error, err error) {
	return l.unfinished("trials", l.openTrial)
}

// UnfinishedRuns returns all runs that are not closed, as [Library.Unfinished] does trials.
func (l *Library) UnfinishedRuns() (list []Unfinished, unreadable []error, err error) {
	return l.unfinished("runs", l.openRun)
}

// unfinished looks through the records of a folder. read returns nil for one that is closed.
func (l *Library) unfinished(place string, read func(id string) (*Unfinished, error)) (list []Unfinished, unreadable []error, err error) {
	ids, err := l.recordIDs(place)
	if err != nil {
		return nil, nil, err
	}
	var known []entry
	if len(ids) > recent { // what was closed once stays so, and need not be read again
		known = loadIndex(l.store)[place]
	}
	for i, id := range ids {
		if i >= recent && closedOnce(known, id+".toml") {
			continue
		}
		open, err := read(id)
		switch {
		case err != nil && i < recent:
			unreadable = append(unreadable, err)
		case err == nil && open != nil:
			list = append(list, *open)
		}
	}
	return list, unreadable, nil
}

// closedOnce reports whether a folder's part of the index, which is sorted by file, has a
// record as closed.
func closedOnce(known []entry, file string) bool {
	i, found := slices.BinarySearchFunc(known, file, func(e entry, file string) int { return strings.Compare(e.file, file) })
	var r row
	return found && r.readLine(string(known[i].line)) && r.closed
}

// openTrial reads a trial; nil when it is closed. Of one that is not, the error says why it
// cannot be gone on with.
func (l *Library) openTrial(id string) (*Unfinished, error) {
	from, err := l.read(trialName(id))
	if err != nil {
		return nil, err
	}
	r, found, err := from.flawed()
	if err != nil {
		return nil, err
	}
	t, err := r.Trial()
	if err != nil || t.Closed() {
		return nil, err
	}
	if err := goesOn(from, found); err != nil {
		return nil, err
	}
	now, err := r.AsChanged()
	if err != nil {
		return nil, err
	}
	u := &Unfinished{ID: id, Make: now.Cable.Make, Type: now.Cable.Type, Size: now.Duct.Size,
		Pushes: len(t.Attempts()), Last: r.Started, Empty: len(partsOf(&r.Entries)) == 0}
	for _, e := range t.Entries {
		if e.When().After(u.Last) {
			u.Last = e.When()
		}
	}
	return u, nil
}

// goesOn says why a record cannot be gone on with; nil when it can.
func goesOn(from Source, found journal.Flaw) error {
	switch {
	case found.Edited:
		return &problem.FileError{Path: from.Path, Problem: found.Says, Hint: "it cannot be gone on with: " + journal.PutBack}
	case !journal.Begins(string(from.Text)):
		return journal.ByHand(from.Path)
	}
	return nil
}

// openRun reads a run; nil when it is closed.
func (l *Library) openRun(id string) (*Unfinished, error) {
	from, err := l.read(runName(id))
	if err != nil {
		return nil, err
	}
	text, found, err := journal.TextOf(from.Path, from.Text)
	if err != nil {
		return nil, err
	}
	r, engine, err := parseRun(from.Path, []byte(text))
	if err != nil || engine.Closed() {
		return nil, err
	}
	if err := goesOn(from, found); err != nil {
		return nil, err
	}
	u := &Unfinished{ID: id, Of: r.Of, Type: r.Cable.Type, Size: r.Duct.Size, Route: r.Route.Name,
		Last: r.Started, Empty: len(engine.Entries) == 0}
	for _, e := range engine.Entries {
		if e.When().After(u.Last) {
			u.Last = e.When()
		}
	}
	return u, nil
}

// Discard takes an unfinished trial or run off the disk, if it has no entry: only its job was written.
// What has an entry stays for good: it can be gone on with, and closed.
func (l *Library) Discard(id string) error {
	if !ValidID(id) {
		return fmt.Errorf("%q is no id of a record\n  ids are 26 capital letters and digits", problem.Clip(id))
	}
	name := trialName(id)
	if _, err := l.store.Look(name); errors.Is(err, fs.ErrNotExist) {
		name = runName(id)
	}
	kept, _, err := journal.Open(l.store, name)
	if err != nil {
		return err
	}
	if n := kept.Entries(); n > 0 {
		return errors.Join(fmt.Errorf("record %s has %s, and what was answered is never thrown away\n  go on with it, and close it", id, counted(n, "answer")), kept.Close())
	}
	return errors.Join(store.Plain(l.store.Remove(name)), kept.Close())
}
