package profiles

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles/store"
)

// unread are the profiles of an index that have not been read yet.
type unread struct {
	store    store.Store
	rows     []*row   // those that can be compared
	spelled  [][3]int // of each row: the names of make, type and duct size
	names    []name   // each spelling once
	byID     map[string][]*row
	checksOf map[string][]*row // short checks, by the profile they are of
	read     map[*row]bool
}

// Ended is what ends all that a profile covers: a review, a failed check, a run that hurt
// the cable. There is none where it may be used.
func (l *Library) Ended(id string) ([]Finding, error) {
	x, err := l.OpenIndex(nil)
	if err != nil {
		return nil, err
	}
	found := maps.Clone(x.candidates(CoverLimits{}, l.now()).findings[id])
	delete(found, Asked) // it ends nothing
	return slices.Sorted(maps.Keys(found)), nil
}

// candidates are the profiles of the index, with what was found of them until now.
func (x *Index) candidates(limits CoverLimits, now time.Time) *Candidates {
	u := &unread{store: x.store, byID: map[string][]*row{}, checksOf: map[string][]*row{}, read: map[*row]bool{}}
	c := &Candidates{limits: limits, unread: u, findings: map[string]map[Finding]bool{}, expires: map[string]time.Time{}, looked: map[string]bool{}}
	places := map[string]int{}
	place := func(said string) int {
		at, seen := places[said]
		if !seen {
			at = len(u.names)
			places[said], u.names = at, append(u.names, newName(said))
		}
		return at
	}
	for _, kind := range []string{"profiles", "trials", "runs", "reviews"} {
		for _, r := range x.of(kind) {
			if r.hurts != "" {
				c.hurts.rows = append(c.hurts.rows, hurtRow{r, [4]int{place(r.make), place(r.cable), place(r.duct), place(r.rig)}})
			}
			c.take(kind, r, place)
		}
	}
	c.decided(x.judged(), now)
	c.hurts.names = u.names
	return c
}

// take takes in what a row says of its own profile, or of the one it is about. place is where a
// spelling stands among the names.
func (c *Candidates) take(kind string, r *row, place func(string) int) {
	hides := r.problem != nil // a run may hide a fold, a trial that was a short check its failing
	u := c.unread
	trouble := r.trouble(u.store)
	if trouble != nil && (kind != "trials" || r.kind != "") {
		c.Unreadable = append(c.Unreadable, trouble)
	}
	if trouble != nil && (kind == "trials" || kind == "runs") && r.of != "" {
		c.Find(r.of, OddRecord)
	}
	switch {
	case kind == "profiles" && !hides:
		u.rows = append(u.rows, r)
		u.spelled = append(u.spelled, [3]int{place(r.make), place(r.cable), place(r.duct)})
		if r.of != "" {
			u.checksOf[r.of] = append(u.checksOf[r.of], r)
		}
	case kind == "trials" && r.failed:
		c.Find(r.of, CheckFailed)
	case kind == "runs":
		if r.folded {
			c.Find(r.of, RunFolded)
		}
		if r.damaged {
			c.Find(r.of, RunDamaged)
		}
	}
}

// decided takes in what supervisors decided.
func (c *Candidates) decided(judged map[string][]Judged, now time.Time) {
	sums := map[string]string{}
	for _, r := range c.unread.rows {
		if len(judged[r.id]) > 0 {
			sums[r.id] = r.sumText()
		}
	}
	for id, actions := range judged {
		switch standing(actions, now) {
		case StandsWithdrawn:
			c.Find(id, Withdrawn)
		case StandsExpired:
			c.Find(id, Expired)
		case StandsQueried:
			c.Find(id, Asked)
		}
		for _, a := range actions {
			switch {
			case a.Action == Expire && (c.expires[id].IsZero() || a.Expires.Before(c.expires[id])):
				c.expires[id] = a.Expires
			case a.Sum != "" && sums[id] != "" && a.Sum != sums[id]:
				c.Find(id, OtherFile)
			case a.Action == Accept && a.Sealed && a.Sum != "":
				c.looked[id] = true
			}
		}
	}
}

// read reads the profiles that may be near a job, and those that they rest on or that
// rest on them: what was found of one of a chain counts for others. It returns how many
// near ones were left unread.
func (c *Candidates) read(job *side) (further int) {
	u := c.unread
	if u == nil {
		return 0
	}
	var next []*row
	near := u.near(job, &c.limits)
	for _, r := range near[:min(len(near), worth(near))] {
		if !u.read[r.row] {
			next = append(next, r.row)
		}
	}
	c.readRows(next)
	for _, r := range near {
		if !u.read[r.row] {
			further++
		}
	}
	return further
}

// readChain reads what a profile rests on, and what rests on it.
func (c *Candidates) readChain(s *side) {
	u := c.unread
	if u == nil {
		return
	}
	u.index()
	for _, own := range u.byID[s.id] {
		u.read[own] = true
	}
	c.readRows(append(append([]*row{}, u.checksOf[s.id]...), u.byID[s.record.Of]...))
}

// index orders the rows by id, once.
func (u *unread) index() {
	if len(u.byID) > 0 {
		return
	}
	for _, r := range u.rows {
		u.byID[r.id] = append(u.byID[r.id], r)
	}
}

// readRows reads rows, and those that they rest on or that rest on them.
func (c *Candidates) readRows(next []*row) {
	u := c.unread
	if len(next) > 0 {
		u.index()
	}
	for len(next) > 0 {
		r := next[0]
		next = next[1:]
		if u.read[r] {
			continue
		}
		u.read[r] = true
		next = append(append(next, u.checksOf[r.id]...), u.byID[r.of]...)
		s, err := readCandidate(u.store, r.name())
		if err != nil { // it has changed meanwhile
			c.Unreadable = append(c.Unreadable, err)
			continue
		}
		s.id = r.id
		c.all, c.settled = append(c.all, s), false
	}
}

// shown is how many profiles that can only be a retest are read, to be shown.
const shown = 24

// nearRow is a row near a job, with how many of make, type and duct size are the job's.
type nearRow struct {
	*row
	same   int
	warmth float64
	// mayHold reports whether the row's setting may hold for the job. The others differ in
	// make, type or duct size, or by more warmth than a short check can confirm: a retest,
	// whatever else stands in them.
	mayHold bool
}

// worth is how many of the near rows, the nearest first, are worth reading: all that may
// hold for the job, and some to show.
func worth(near []nearRow) int {
	n := 0
	for n < len(near) && near[n].mayHold {
		n++
	}
	return n + shown
}

// warmth is how far a row's cable temperature is from the job's cable or inlet air.
func (r *row) warmth(job *side) float64 {
	if !r.known {
		return 0
	}
	return min(math.Abs(r.celsius-float64(job.temperature())), math.Abs(r.celsius-float64(job.warmest())))
}

// near returns the rows for which [compared.near] may hold, the nearest first.
func (u *unread) near(job *side, limits *CoverLimits) []nearRow {
	var fits [3][]bool // by spelling
	for i, of := range [...]name{job.cableMake, job.cableType, job.size} {
		for _, n := range u.names {
			fits[i] = append(fits[i], n.same(of) || n.alike(of))
		}
	}
	outer, measured := job.trial.Cable.OuterDiameter.Get()
	alike := func(r *row) bool {
		return measured && r.diameter > 0 && math.Abs(float64(outer)-r.diameter) <= limits.CheckDiameter*r.diameter*(1+10*rounding)
	}
	var near []nearRow
	for i, r := range u.rows {
		at := u.spelled[i]
		size := fits[2][at[2]]
		same := btoi(fits[0][at[0]]) + btoi(fits[1][at[1]]) + btoi(size)
		if same >= 2 || size && alike(r) {
			warmth := r.warmth(job)
			near = append(near, nearRow{r, same, warmth, same == 3 && warmth <= limits.CheckDegrees*(1+rounding)})
		}
	}
	slices.SortFunc(near, func(a, b nearRow) int {
		switch { // plainly, for it is asked a million times
		case a.mayHold != b.mayHold:
			return btoi(b.mayHold) - btoi(a.mayHold)
		case a.same != b.same:
			return b.same - a.same
		case a.warmth != b.warmth:
			return cmp.Compare(a.warmth, b.warmth)
		}
		return strings.Compare(b.id, a.id)
	})
	return near
}
