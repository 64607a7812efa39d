package profiles

import (
	"cmp"
	"errors"
	"math"
	"path"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/session/parallel"
	q "brinkmark/session/quantity"
)

// Review is what a supervisor sees of a library: every profile, with what is the matter
// with it. It changes nothing.
type Review struct {
	Profiles   []*Listed // the worst first
	Unreadable []error   // trials and reviews that cannot be read, naming their files
	Unsaved    error     // why the index could not be kept; costs time only

	trials []*row
}

// Listed is one profile of a review. Texts are as written in the record.
type Listed struct {
	ID, Path, File                      string // File is the last part of Path
	Make, Type, Size, Temperature, Reel string // the key, and the reel
	Grip, Speed                         string // the setting
	Kind, Rig, Operator, Watcher        string
	Job, Site                           string
	Made                                time.Time
	Stands                              Standing
	Exceptions                          []Exception // the worst first
	Actions                             []Judged    // in order of time

	store                               store.Store
	row                                 *row
	tooOld                              bool   // its trial is, by the rules
	search, crew, rig, job, cable, duct string // in lower case; the others are parts of the first
}

// Review reads the library's index and lists every profile. progress may be nil; see
// [Library.OpenIndex].
func (l *Library) Review(progress func(done, total int)) (Review, error) {
	x, err := l.OpenIndex(progress)
	if err != nil {
		return Review{}, err
	}
	v := x.review(l.now())
	limits, err := l.CoverLimits()
	if err != nil {
		v.Unreadable, limits = append(v.Unreadable, err), UsualCoverLimits()
	}
	v.findHurt(x.candidates(limits, l.now()), l.now())
	v.findOtherCopies(l.store)
	v.Sort(ByWorst)
	return v, nil
}

func (x *Index) review(now time.Time) Review {
	v := Review{Unsaved: x.Unsaved, trials: x.of("trials")}
	judged := x.judged()
	rows := x.of("profiles")
	list := make([]Listed, len(rows))
	v.Profiles = make([]*Listed, len(rows))
	const often = 1024
	parallel.Each((len(rows)+often-1)/often, func(part int) {
		for i := part * often; i < min((part+1)*often, len(rows)); i++ {
			list[i].fill(x.store, rows[i])
			list[i].judge(judged[rows[i].id], now)
			v.Profiles[i] = &list[i]
		}
	})
	v.findUnsealed()
	v.findFailedChecks()
	v.findDisagreements()
	runs := x.of("runs")
	v.findRuns(runs)
	for _, other := range [][]*row{x.of("reviews"), v.trials, runs} {
		for _, r := range other {
			if err := r.trouble(x.store); err != nil {
				v.Unreadable = append(v.Unreadable, err)
			}
		}
	}
	return v
}

func (p *Listed) fill(in store.Store, r *row) {
	*p = Listed{
		ID: r.id, File: problem.PrintableOnly(r.file), store: in, Make: r.make, Type: r.cable, Size: r.duct, Temperature: r.temperature, Reel: r.reel,
		Grip: r.grip, Speed: r.speed, Kind: r.kind, Rig: r.rig, Operator: r.operator, Watcher: r.watcher,
		Job: r.number, Site: r.site, Made: when(cmp.Or(r.accepted, r.started)), Exceptions: unpackExceptions(r.exceptions), row: r,
	}
	if in != nil {
		p.Path = r.where(in)
	}
	if r.problem != nil {
		kind := Unreadable
		if edited := (*problem.EditedError)(nil); errors.As(r.problem, &edited) {
			kind = EditedSinceSealed
		}
		p.Exceptions = append(p.Exceptions, Exception{kind, r.problem.Error()})
	}
	p.search, p.cable, p.duct, p.crew, p.rig, p.job = r.searched()
}

// searched are the row's texts in lower case: all that words are looked for in, and its
// parts.
func (r *row) searched() (all, cable, duct, crew, rig, job string) {
	var b strings.Builder
	var ends [5]int
	for i, texts := range [...][2]string{{r.make, r.cable}, {r.duct}, {r.operator, r.watcher}, {r.rig}, {r.number, r.site}} {
		b.WriteString(strings.ToLower(texts[0]))
		b.WriteByte(' ')
		b.WriteString(strings.ToLower(texts[1]))
		ends[i] = b.Len()
		b.WriteByte('\n')
	}
	for _, text := range [...]string{r.temperature, r.reel, r.id} {
		b.WriteString(strings.ToLower(text))
		b.WriteByte('\n')
	}
	all = b.String()
	return all, all[:ends[0]], all[ends[0]:ends[1]], all[ends[1]:ends[2]], all[ends[2]:ends[3]], all[ends[3]:ends[4]]
}

// judge adds what supervisors have done.
func (p *Listed) judge(actions []Judged, now time.Time) {
	ofAnother := func(a Judged) bool { return a.Sum != "" && a.Sum != p.row.sumText() } // edited, or of a wrong name
	p.Actions = actions
	counts := slices.DeleteFunc(slices.Clone(actions), func(a Judged) bool { return a.Action == Accept && ofAnother(a) })
	p.Stands = standing(counts, now)
	if p.Made.After(now.Add(day)) {
		p.Exceptions = append(p.Exceptions, Exception{ImpossibleTime, "dated later than this tablet's clock: one of the clocks is wrong"})
	}
	say := func(k ExceptionKind, a Judged) { p.Exceptions = append(p.Exceptions, Exception{k, a.Says()}) }
	for i, a := range counts {
		if a.Action == Query && p.Stands == StandsQueried && isOpen(counts, i) {
			p.Exceptions = append(p.Exceptions, Exception{Question, a.Says() + apart(counts, i)})
		}
	}
	for _, a := range actions {
		switch {
		case a.Action == Withdraw:
			say(Withdrawal, a)
		case a.Action == Expire && !now.Before(a.Expires):
			say(Expiry, a)
		}
		if ofAnother(a) && !slices.ContainsFunc(p.Exceptions, func(e Exception) bool { return e.Kind == EditedSinceReview }) {
			say(EditedSinceReview, a)
		}
		if !a.Sealed && !slices.ContainsFunc(p.Exceptions, func(e Exception) bool { return e.Kind == OddReview }) {
			say(OddReview, a)
		}
	}
}

// unsealed tells a profile that its seals were taken off.
func (p *Listed) unsealed(was bool) {
	if was && p.row.problem == nil {
		p.Exceptions = append(p.Exceptions, Exception{EditedSinceSealed, "its trial here is sealed, and it is not any more"})
	}
}

// SealTakenOff reports whether a profile can be read, but has lost the seals it once had.
func (p *Listed) SealTakenOff() bool {
	return !p.row.sealed && slices.ContainsFunc(p.Exceptions, func(e Exception) bool { return e.Kind == EditedSinceSealed })
}

// findUnsealed tells profiles without a seal whose trials have one.
func (v *Review) findUnsealed() {
	sealed := map[string]bool{}
	for _, r := range v.trials {
		if r.sealed {
			sealed[r.id] = true
		}
	}
	for _, p := range v.Profiles {
		p.unsealed(!p.row.sealed && sealed[p.ID])
	}
}

// findFailedChecks tells profiles of short checks that did not hold.
func (v *Review) findFailedChecks() {
	failed := map[string]string{}
	for _, r := range v.trials {
		if r.failed {
			failed[r.of] = r.id
		}
	}
	for _, p := range v.Profiles {
		if check := failed[p.ID]; check != "" {
			p.Exceptions = append(p.Exceptions, Exception{CheckDidNotHold, check})
		}
	}
}

// byID are the profiles by what they say they are: more than one where a file was copied.
func (v *Review) byID() map[string][]*Listed {
	all := make(map[string][]*Listed, len(v.Profiles))
	for _, p := range v.Profiles {
		all[p.ID] = append(all[p.ID], p)
	}
	return all
}

// findOtherCopies tells what exchanges have kept apart.
func (v *Review) findOtherCopies(in store.Store) {
	entries, err := in.List(differingFolder)
	if err != nil {
		return // there were none
	}
	byID := v.byID()
	for _, e := range entries {
		parts := strings.Split(strings.TrimSuffix(e.Name, ".toml"), "-")
		if strings.HasPrefix(e.Name, ".") || len(parts) < 3 {
			continue
		}
		where := in.Where(path.Join(differingFolder, e.Name))
		if of := byID[parts[len(parts)-2]]; len(of) > 0 {
			for _, p := range of {
				p.Exceptions = append(p.Exceptions, Exception{OtherCopy, where})
			}
			continue
		}
		v.Unreadable = append(v.Unreadable, &problem.FileError{Path: where, Problem: "an exchange brought it, and it differs from the record of that id here", Hint: "compare the two, and keep both"})
	}
}

// Filter says which profiles to show. Every field that is not empty must fit; case does
// not count.
type Filter struct {
	Text            string // words, each of which is somewhere in key, reel, crew, rig, job or id
	Crew, Rig, Job  string // a part of operator or watcher, of the rig's name, of job number or site
	ExceptionsOnly  bool
	Stands          Standing
	Cable, Duct     string // a part of make and type, of the duct size
	Since, NotSince time.Time
}

// Filter returns the profiles that fit, in their order. One whose key cannot be read fits
// whatever is asked of its texts: it may be the one that is looked for.
func (v Review) Filter(f Filter) []*Listed {
	fit := newFitting(f)
	var list []*Listed
	for _, p := range v.Profiles {
		if fit.fits(p) {
			list = append(list, p)
		}
	}
	return list
}

// fitting is a filter in lower case.
type fitting struct {
	Filter
	words []string
}

func newFitting(f Filter) fitting {
	for _, text := range []*string{&f.Text, &f.Crew, &f.Rig, &f.Job, &f.Cable, &f.Duct} {
		*text = strings.ToLower(*text)
	}
	return fitting{f, strings.Fields(f.Text)}
}

func (f fitting) fits(p *Listed) bool {
	switch {
	case f.ExceptionsOnly && len(p.Exceptions) == 0, f.Stands != "" && p.Stands != f.Stands:
		return false
	case p.row.problem != nil && p.Make == "":
		return true
	}
	return strings.Contains(p.crew, f.Crew) && strings.Contains(p.rig, f.Rig) && strings.Contains(p.job, f.Job) &&
		strings.Contains(p.cable, f.Cable) && strings.Contains(p.duct, f.Duct) &&
		(f.Since.IsZero() || !p.Made.Before(f.Since)) && (f.NotSince.IsZero() || p.Made.Before(f.NotSince)) &&
		!slices.ContainsFunc(f.words, func(w string) bool { return !strings.Contains(p.search, w) })
}

// Order is how profiles are sorted.
type Order int

// The orders.
const (
	ByWorst Order = iota + 1 // exceptions first, the worst first, then the newest
	ByTime                   // the newest first
	ByKey                    // cable make, cable type, duct size, temperature
	BySpeed                  // the fastest first
)

// Sort sorts the profiles, and the exceptions of each.
func (v Review) Sort(by Order) {
	for _, p := range v.Profiles {
		slices.SortStableFunc(p.Exceptions, func(a, b Exception) int { return cmp.Compare(a.Kind, b.Kind) })
	}
	newest := func(a, b *Listed) int { return cmp.Or(b.Made.Compare(a.Made), strings.Compare(b.ID, a.ID)) }
	worst := func(p *Listed) ExceptionKind {
		if len(p.Exceptions) == 0 {
			return math.MaxInt
		}
		return p.Exceptions[0].Kind
	}
	slices.SortStableFunc(v.Profiles, func(a, b *Listed) int {
		switch by {
		case ByWorst:
			return cmp.Or(cmp.Compare(worst(a), worst(b)), newest(a, b))
		case ByKey:
			return cmp.Or(strings.Compare(a.Make, b.Make), strings.Compare(a.Type, b.Type), strings.Compare(a.Size, b.Size), cmp.Compare(a.row.celsius, b.row.celsius), newest(a, b))
		case BySpeed:
			return cmp.Or(cmp.Compare(b.row.value, a.row.value), newest(a, b))
		}
		return newest(a, b)
	})
}

// Find returns the profile of an id: of two that say they are it, the one whose file is
// called by it, which is what decisions are about.
func (v Review) Find(id string) (*Listed, error) {
	var found *Listed
	for _, p := range v.Profiles {
		if p.ID == id && (found == nil || p.row.file == id+".toml") {
			found = p
		}
	}
	if found != nil {
		return found, nil
	}
	return nil, noProfile(id)
}

// Record reads the profile itself. A torn end is told as a warning.
func (p *Listed) Record() (r *Record, warning string, err error) {
	from, err := readFrom(p.store, p.row.name())
	if err != nil {
		return nil, "", err
	}
	return from.Record()
}

// Setting is the setting in SI, and whether it and the temperature are known.
func (p *Listed) Setting() (grip q.Pressure, speed q.Reading, temperature q.Temperature, known bool) {
	return q.Pressure(p.row.pascal), q.Reading{Value: p.row.value, Unit: p.row.unit}, q.Temperature(p.row.celsius), p.row.known
}

// AsChanged returns the record's head as its later changes leave it, without entries.
func (r *Record) AsChanged() (Record, error) {
	now, _, err := r.current()
	return now, err
}
