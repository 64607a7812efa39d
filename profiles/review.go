package profiles

import (
	"cmp"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

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
	ID, Path                            string
	Make, Type, Size, Temperature, Reel string // the key, and the reel
	Grip, Speed                         string // the setting
	Kind, Rig, Operator, Watcher        string
	Job, Site                           string
	Made                                time.Time
	Stands                              Standing
	Exceptions                          []Exception // the worst first
	Actions                             []Judged    // in order of time

	row                                 *row
	search, crew, rig, job, cable, duct string // in lower case
}

// Review reads the library's index and lists every profile. progress may be nil; see
// [Library.OpenIndex].
func (l *Library) Review(progress func(done, total int)) (Review, error) {
	x, err := l.OpenIndex(progress)
	if err != nil {
		return Review{}, err
	}
	v := x.review(l.now())
	v.findOtherCopies(filepath.Join(l.dir, differingFolder))
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
	parallel((len(rows)+often-1)/often, func(part int) {
		for i := part * often; i < min((part+1)*often, len(rows)); i++ {
			list[i].fill(x.library, rows[i])
			list[i].judge(judged[rows[i].id], now)
			v.Profiles[i] = &list[i]
		}
	})
	v.findFailedChecks()
	v.findDisagreements()
	for _, other := range [][]*row{x.of("reviews"), v.trials} {
		for _, r := range other {
			if r.problem != nil {
				v.Unreadable = append(v.Unreadable, r.problem)
			}
		}
	}
	return v
}

func (p *Listed) fill(library string, r *row) {
	*p = Listed{
		ID: r.id, Path: r.path(library), Make: r.make, Type: r.cable, Size: r.duct, Temperature: r.temperature, Reel: r.reel,
		Grip: r.grip, Speed: r.speed, Kind: r.kind, Rig: r.rig, Operator: r.operator, Watcher: r.watcher,
		Job: r.number, Site: r.site, Made: when(cmp.Or(r.accepted, r.started)), Exceptions: unpackExceptions(r.exceptions), row: r,
	}
	if r.problem != nil {
		kind, text := Unreadable, r.problem.Error()
		if strings.Contains(text, notAsWritten) {
			kind = EditedSinceSealed
		}
		p.Exceptions = append(p.Exceptions, Exception{kind, text})
	}
	lower := func(texts ...string) string { return strings.ToLower(strings.Join(texts, "\n")) }
	p.crew, p.rig, p.job, p.cable, p.duct = lower(p.Operator, p.Watcher), lower(p.Rig), lower(p.Job, p.Site), lower(p.Make+" "+p.Type), lower(p.Size)
	p.search = strings.Join([]string{p.cable, p.duct, lower(p.Temperature, p.Reel, p.ID), p.crew, p.rig, p.job}, "\n")
}

// notAsWritten is in every problem of a journal that was changed after it was sealed.
const notAsWritten = "as it was written"

// judge adds what supervisors have done.
func (p *Listed) judge(actions []Judged, now time.Time) {
	p.Actions, p.Stands = actions, standing(actions, now)
	say := func(k ExceptionKind, a Judged) {
		p.Exceptions = append(p.Exceptions, Exception{k, strings.Trim(fmt.Sprintf("%s, %s: %s", a.By, a.At.Format(time.DateOnly), a.Note), ": ")})
	}
	for i, a := range actions {
		switch {
		case a.Action == Withdraw:
			say(Withdrawal, a)
		case a.Action == Expire && !now.Before(a.Expires):
			say(Expiry, a)
		case a.Action == Query && p.Stands == StandsQueried && !slices.ContainsFunc(actions[i+1:], func(b Judged) bool { return b.Action == Query }):
			say(Question, a)
		}
		if a.Sum != "" && a.Sum != fmt.Sprintf("%08x", p.row.sum) && !slices.ContainsFunc(p.Exceptions, func(e Exception) bool { return e.Kind == EditedSinceReview }) {
			say(EditedSinceReview, a)
		}
		if !a.Sealed && !slices.ContainsFunc(p.Exceptions, func(e Exception) bool { return e.Kind == OddReview }) {
			say(OddReview, a)
		}
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

// findOtherCopies tells what exchanges have kept apart.
func (v *Review) findOtherCopies(dir string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return // there were none
	}
	byID := map[string]*Listed{}
	for _, p := range v.Profiles {
		byID[p.ID] = p
	}
	for _, e := range entries {
		parts := strings.Split(strings.TrimSuffix(e.Name(), ".toml"), "-")
		if strings.HasPrefix(e.Name(), ".") || len(parts) < 3 {
			continue
		}
		if p := byID[parts[len(parts)-2]]; p != nil {
			p.Exceptions = append(p.Exceptions, Exception{OtherCopy, filepath.Join(dir, e.Name())})
			continue
		}
		v.Unreadable = append(v.Unreadable, &FileError{Path: printableOnly(filepath.Join(dir, e.Name())), Problem: "an exchange brought it, and it differs from the record of that id here", Hint: "compare the two, and keep both"})
	}
}

// Two trials disagree when their temperatures are within the band that one setting
// covers, and their speeds further apart than this. Source: derived here; a rung is at
// most 40 %, and the gap under a fold is 10 %.
const (
	alikeCelsius  = 4.0
	disagreeRatio = 1.5
)

// findDisagreements compares the trials of the same cable, duct and rig.
func (v *Review) findDisagreements() {
	groups := map[string][]*Listed{}
	folded := map[string]string{}
	plain := func(s string) string {
		f, ok := folded[s]
		if !ok {
			f = newName(s).folded
			folded[s] = f
		}
		return f
	}
	for _, p := range v.Profiles {
		if r := p.row; r.known && r.value > 0 {
			key := plain(r.make) + "\n" + plain(r.cable) + "\n" + plain(r.duct) + "\n" + plain(r.rig) + "\n" + r.unit
			groups[key] = append(groups[key], p)
		}
	}
	for _, group := range groups {
		slices.SortFunc(group, func(a, b *Listed) int { return cmp.Compare(a.row.celsius, b.row.celsius) })
		disagreements(group)
	}
}

// disagreements names to each profile of a group, which is sorted by temperature, the
// one within reach whose setting is farthest off.
func disagreements(group []*Listed) {
	low, high := &extremes{sign: 1}, &extremes{sign: -1}
	from, to := 0, 0
	for _, p := range group {
		for ; to < len(group) && group[to].row.celsius <= p.row.celsius+alikeCelsius; to++ {
			low.push(group, to)
			high.push(group, to)
		}
		for ; group[from].row.celsius < p.row.celsius-alikeCelsius; from++ {
			low.drop(from)
			high.drop(from)
		}
		worst, ratio := p, 1.0
		for _, other := range []*Listed{group[low.first()], group[high.first()]} {
			if off := math.Exp(math.Abs(math.Log(other.row.value / p.row.value))); off > ratio {
				worst, ratio = other, off
			}
		}
		if ratio > disagreeRatio {
			p.Exceptions = append(p.Exceptions, Exception{Disagrees, fmt.Sprintf("%s at %s, %s", worst.ID, worst.Temperature, worst.Speed)})
		}
	}
}

// extremes keeps the least value, or with sign -1 the greatest, of a window that moves
// along a group: those that can still become it, in order.
type extremes struct {
	sign  float64
	queue []int
}

func (e *extremes) push(group []*Listed, i int) {
	v := e.sign * group[i].row.value
	for len(e.queue) > 0 && e.sign*group[e.queue[len(e.queue)-1]].row.value >= v {
		e.queue = e.queue[:len(e.queue)-1]
	}
	e.queue = append(e.queue, i)
}

func (e *extremes) drop(i int) {
	if e.queue[0] == i {
		e.queue = e.queue[1:]
	}
}

func (e *extremes) first() int { return e.queue[0] }

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

// Filter returns the profiles that fit, in their order.
func (v Review) Filter(f Filter) []*Listed {
	words := strings.Fields(strings.ToLower(f.Text))
	crew, rig, job := strings.ToLower(f.Crew), strings.ToLower(f.Rig), strings.ToLower(f.Job)
	cable, duct := strings.ToLower(f.Cable), strings.ToLower(f.Duct)
	var list []*Listed
	for _, p := range v.Profiles {
		switch {
		case f.ExceptionsOnly && len(p.Exceptions) == 0,
			f.Stands != "" && p.Stands != f.Stands,
			!strings.Contains(p.crew, crew), !strings.Contains(p.rig, rig), !strings.Contains(p.job, job),
			!strings.Contains(p.cable, cable), !strings.Contains(p.duct, duct),
			!f.Since.IsZero() && p.Made.Before(f.Since), !f.NotSince.IsZero() && !p.Made.Before(f.NotSince),
			slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(p.search, w) }):
			continue
		}
		list = append(list, p)
	}
	return list
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

// Find returns the profile of an id.
func (v Review) Find(id string) (*Listed, error) {
	if i := slices.IndexFunc(v.Profiles, func(p *Listed) bool { return p.ID == id }); i >= 0 {
		return v.Profiles[i], nil
	}
	return nil, fmt.Errorf("profile %s: %w", clip(printableOnly(id)), fs.ErrNotExist)
}

// Record reads the profile itself.
func (p *Listed) Record() (*Record, error) {
	r, _, err := ReadFile(p.Path)
	return r, err
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
