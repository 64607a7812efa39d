package profiles

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/gofrs/flock"
	"github.com/oklog/ulid/v2"

	q "brinkmark/session/quantity"
)

// Health is what can be told of a library by looking at it. Looking changes nothing.
type Health struct {
	Dir        string
	There      bool            // the folder exists; else a first save makes it
	Problem    error           // why its records cannot be looked through, or nil
	Writable   q.Maybe[bool]   // may this user write to it
	Free       q.Maybe[uint64] // bytes left for this user on its disk
	Counts     []Count
	Unreadable []error
	SealsOff   []string  // profiles whose seals were taken off
	Nothing    []string  // other profiles that can be read and hand out nothing
	Settled    int       // of those, by a supervisor's decision alone
	Torn       []TornEnd // of journals that nobody has open
	SetAside   int       // files with torn ends that were set aside
	Held       []*LockedError
	Newest     time.Time // when the newest record began; zero when there is none
}

// Count is how many records there are of a kind, in the crew's word for many of them.
type Count struct {
	Kind string
	N    int
}

// TornEnd is the end of a journal that was not fully written.
type TornEnd struct {
	Path string
	Recovery
}

// journalFolders are where records lie that grow entry by entry.
var journalFolders = []string{"trials", "runs", "reviews"}

// Health looks at the library. progress may be nil; see [Library.OpenIndex].
func (l *Library) Health(progress func(done, total int)) Health {
	place := nearestFolder(l.dir) // in which the library will be made
	h := Health{Dir: l.dir, There: place == l.dir, Writable: mayWrite(place), Free: freeSpace(place)}
	if !h.There {
		return h
	}
	index, _, err := l.readIndex(progress)
	if err != nil {
		h.Problem = err
		return h
	}
	for _, kind := range []string{"profiles", "trials", "runs", "reviews"} {
		h.count(index.library, kind, index.of(kind))
	}
	h.addProfiles(l, index, l.now())
	h.addCards(l)
	for _, place := range journalFolders {
		h.addJournals(filepath.Join(l.dir, place), l.now())
	}
	return h
}

func (h *Health) count(library, kind string, rows []*row) {
	h.Counts = append(h.Counts, Count{kind, len(rows)})
	for _, r := range rows {
		if err := r.trouble(library); err != nil {
			h.Unreadable = append(h.Unreadable, err)
		}
		id, _ := strings.CutSuffix(r.file, ".toml")
		if !ValidID(id) {
			continue
		}
		if began := ulid.Time(ulid.MustParseStrict(id).Time()); began.After(h.Newest) {
			h.Newest = began
		}
	}
}

// addProfiles looks for profiles that hand out nothing though they can be read.
func (h *Health) addProfiles(l *Library, index *Index, now time.Time) {
	v := index.review(now)
	limits, err := l.CoverLimits()
	if err != nil { // told of with the cards
		limits = UsualCoverLimits()
	}
	v.findHurt(index.candidates(limits, now), now)
	v.Sort(ByTime)
	for _, p := range v.Profiles {
		switch {
		case p.SealTakenOff():
			h.SealsOff = append(h.SealsOff, p.ID)
			h.Unreadable = slices.DeleteFunc(h.Unreadable, func(told error) bool { return told == p.row.problem }) // once is enough
		case p.row.problem != nil: // told of already
		case len(p.ends()) > 0: // that all grow old is no news
			h.Nothing = append(h.Nothing, p.ID)
			h.Settled += btoi(p.endedByDecision())
		}
	}
}

func (h *Health) addCards(l *Library) {
	cards := l.Cards()
	routes, unreadable := l.Routes()
	h.Counts = append(h.Counts, Count{"cards", len(cards.Cables) + len(cards.Ducts) + len(cards.Rigs) + len(cards.People)}, Count{"routes", len(routes)})
	h.Unreadable = append(append(h.Unreadable, cards.Unreadable...), unreadable...)
	if _, err := l.CoverLimits(); err != nil {
		h.Unreadable = append(h.Unreadable, err)
	}
	if _, err := l.Options(); err != nil {
		h.Unreadable = append(h.Unreadable, err)
	}
}

// addJournals looks at the ends and the locks of a folder's journals.
func (h *Health) addJournals(dir string, now time.Time) {
	entries, _ := os.ReadDir(dir) // the index has read it and told what is the matter
	for _, e := range entries {
		name, full := e.Name(), filepath.Join(dir, e.Name())
		if strings.Contains(name, ".toml.torn-") {
			h.SetAside++
			continue
		}
		if filepath.Ext(name) != ".toml" || strings.HasPrefix(name, ".") {
			continue
		}
		if held := holderOf(full, now); held != nil {
			h.Held = append(h.Held, held) // its end may be being written
			continue
		}
		if torn := tornEnd(full); torn.SetAside > 0 {
			h.Torn = append(h.Torn, TornEnd{full, torn})
		}
	}
}

// holderOf says which program has a journal open; nil when none has. A lock that is left
// from a killed program holds nothing.
func holderOf(path string, now time.Time) *LockedError {
	if regular(osDisk{}, path+".lock") != nil { // nobody has it open
		return nil
	}
	// To be let in beside others for a moment: who wants it alone tries for longer.
	look := flock.New(path+".lock", flock.SetFlag(os.O_RDONLY))
	free, err := look.TryRLock()
	switch {
	case err != nil: // gone meanwhile
		return nil
	case free:
		_ = look.Unlock()
		return nil
	}
	return &LockedError{path, readHolder(path + ".holder"), now}
}

// tornEnd tells of a journal's torn end, and leaves it where it is.
func tornEnd(path string) Recovery {
	data, err := readFile(osDisk{}, path)
	if err != nil {
		return Recovery{}
	}
	if is, err := isJournal(path, data); err != nil || !is {
		return Recovery{}
	}
	s, torn, err := unseal(path, data)
	if err != nil {
		return Recovery{}
	}
	return recoveryOf(s, torn)
}

// ClockError says why the clock cannot be right; nil when nothing speaks against it.
func (h Health) ClockError(now time.Time) error {
	const minute = "2006-01-02 15:04"
	const leeway = 10 * time.Minute // two tablets that exchange records
	switch {
	case now.Before(earliestClock):
		return fmt.Errorf("it shows %s, before the first record ever made", now.Format(minute))
	case h.Newest.After(now.Add(leeway)):
		return fmt.Errorf("it shows %s, but a record was begun at %s", now.Format(minute), h.Newest.In(now.Location()).Format(minute))
	}
	return nil
}
