package profiles

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/store"
)

// Health is what can be told of a library by looking at it. Looking changes nothing.
type Health struct {
	Where string
	store.State
	Problem    error // why its records cannot be looked through, or nil
	Counts     []Count
	Unreadable []error
	SealsOff   []string  // profiles whose seals were taken off
	Nothing    []string  // other profiles that can be read and hand out nothing
	Settled    int       // of those, by a supervisor's decision alone
	Torn       []TornEnd // of journals that nobody has open
	SetAside   int       // files with torn ends that were set aside
	Held       []*store.LockedError
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
	journal.Recovery
}

// journalFolders are where records lie that grow entry by entry.
var journalFolders = []string{"trials", "runs", "reviews"}

// Health looks at the library. progress may be nil; see [Library.OpenIndex].
func (l *Library) Health(progress func(done, total int)) Health {
	h := Health{Where: l.Where(), State: l.store.State()}
	if !h.There {
		return h
	}
	index, _, err := l.readIndex(progress)
	if err != nil {
		h.Problem = err
		return h
	}
	for _, kind := range []string{"profiles", "trials", "runs", "reviews"} {
		h.count(index.store, kind, index.of(kind))
	}
	h.addProfiles(l, index, l.now())
	h.addCards(l)
	for _, place := range journalFolders {
		h.addJournals(l.store, place, l.now())
	}
	return h
}

func (h *Health) count(in store.Store, kind string, rows []*row) {
	h.Counts = append(h.Counts, Count{kind, len(rows)})
	for _, r := range rows {
		if err := r.trouble(in); err != nil {
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
func (h *Health) addJournals(in store.Store, folder string, now time.Time) {
	entries, _ := in.List(folder) // the index has read it and told what is the matter
	for _, e := range entries {
		if strings.Contains(e.Name, ".toml.torn-") {
			h.SetAside++
			continue
		}
		if path.Ext(e.Name) != ".toml" || strings.HasPrefix(e.Name, ".") {
			continue
		}
		name := path.Join(folder, e.Name)
		if held := in.HeldBy(name, now); held != nil {
			h.Held = append(h.Held, held) // its end may be being written
			continue
		}
		text, _, err := in.Read(name)
		if torn := journal.TornEnd(in.Where(name), text); err == nil && torn.SetAside > 0 {
			h.Torn = append(h.Torn, TornEnd{in.Where(name), torn})
		}
	}
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
