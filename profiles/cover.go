package profiles

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Candidates are the profiles a job can be compared with. Which those are the library's
// index tells; only they are read.
type Candidates struct {
	limits     CoverLimits
	unread     *unread
	all        []*side
	findings   map[string]map[Finding]bool // by profile
	settled    bool
	Unreadable []error // named to the crew; they hide nothing
}

// Candidates looks at all profiles of the library and reads the supervisor's rules.
func (l *Library) Candidates() (*Candidates, error) {
	limits, err := l.CoverLimits()
	if err != nil {
		return nil, err
	}
	x, err := l.OpenIndex(nil)
	if err != nil {
		return nil, err
	}
	return x.candidates(limits, l.now()), nil
}

func readCandidate(path string) (*side, error) {
	r, found, err := readFlawed(path)
	if err != nil {
		return nil, err
	}
	return candidateOf(path, r, found)
}

// candidateOf is a profile that was read, or what keeps it from being used.
func candidateOf(path string, r *Record, found flaw) (*side, error) {
	fail := func(problem string) error {
		return &FileError{Path: path, Problem: problem, Hint: "it was passed over: mend it, or move it away"}
	}
	switch {
	case found.edited:
		return nil, &editedError{fail(found.says)}
	case found.says != "":
		return nil, fail(found.says)
	case r.Setting == nil:
		return nil, fail("this profile has no [setting]")
	case !r.Setting.Grip.value.Known() || !r.Setting.Speed.value.Known():
		return nil, fail("its [setting] lacks grip or speed")
	}
	s, err := newSide(r)
	if err != nil {
		return nil, fail(err.Error())
	}
	return s, nil
}

// Reason is one difference between a profile and today's job. A covered one says only
// what could not be compared.
type Reason struct {
	Field, Profile, Job string
	Effect              Effect
	Why                 string
	Alike               bool // the two names may be one, written wrongly
}

// Match is one profile beside today's job.
type Match struct {
	ID      string
	Effect  Effect
	Setting session.Setting
	Made    time.Time

	with   compared
	weight int // reasons that are more than a remark
	alike  int // names that may be today's, written wrongly
}

// Name is the key of the profile, as written.
func (m Match) Name() string {
	r := m.with.profile.record
	return strings.Join([]string{r.Cable.Make, r.Cable.Type, r.Duct.Size, r.Conditions.CableTemperature.text}, ", ")
}

// Show writes a setting in the units of the profile's gauges.
func (m Match) Show(s session.Setting) string { return m.with.profile.trial.Rig.Show(s) }

// Named writes a setting with what its two numbers are called.
func (m Match) Named(s session.Setting) string { return m.with.profile.trial.Rig.Named(s) }

// Record is the profile's record with its later changes, without its entries.
func (m Match) Record() Record { return m.with.profile.record }

// Rig is the profile's rig, in whose units its settings are.
func (m Match) Rig() session.Rig { return m.with.profile.trial.Rig }

// Verdict says whether a profile holds for today's job.
type Verdict struct {
	Effect Effect
	Best   *Match // nil when no profile is near
	// Setting is what may be used meanwhile: the profile's, or one lower for a warmer
	// cable. It is not known on a retest, nor where no lower one can be worked out.
	Setting     q.Maybe[session.Setting]
	Job         session.Trial    // today's, as it was compared
	Until       time.Time        // when shift or age ask for a check, when covered
	CoveredUpTo q.Temperature    // the warmest cable or inlet air it holds for, when covered
	DropTo      []session.DropTo // for a cable warmer than now
	Thermometer string           // the job's unit
	Reasons     []Reason
	Near        []*Match // the other near profiles, the nearest first
	Further     int      // more of them, each a retest
	Unreadable  []error
}

// Cover compares a job with every profile of the library: does one hold today? It
// returns an error when the job lacks one of the four values profiles are kept by, or
// when the supervisor's rules cannot be read.
func (l *Library) Cover(job Record, now time.Time) (Verdict, error) {
	c, err := l.Candidates()
	if err != nil {
		return Verdict{}, err
	}
	return c.Cover(job, now)
}

// Cover compares a job with these profiles. See [Library.Cover].
func (c *Candidates) Cover(job Record, now time.Time) (Verdict, error) {
	job.Setting = nil // a profile may be the job of another day
	today, err := newSide(&job)
	if err != nil {
		return Verdict{}, fmt.Errorf("%w\n  add what is missing to the job", err)
	}
	today.proved = now
	further := c.read(today)
	c.settle()
	var near []*Match
	for _, p := range c.all {
		if with := (&compared{p, today, &c.limits, now}); with.near() {
			near = append(near, with.match())
		}
	}
	slices.SortFunc(near, func(a, b *Match) int {
		return cmp.Or(cmp.Compare(a.Effect, b.Effect), cmp.Compare(a.weight, b.weight), cmp.Compare(b.alike, a.alike), b.Made.Compare(a.Made), strings.Compare(b.ID, a.ID))
	})
	v := Verdict{Effect: Retest, Job: today.trial, Thermometer: today.trial.Conditions.Unit, Unreadable: c.Unreadable, Further: further}
	if len(near) == 0 {
		v.Reasons = []Reason{{"profile", "", today.record.Cable.Make + ", " + today.record.Cable.Type + ", " + today.record.Duct.Size, Retest,
			"The library has no profile of this cable in this duct, nor of one near to it.", false}}
		return v, nil
	}
	v.Best, v.Near = near[0], near[1:]
	v.Effect, v.Reasons = v.Best.Effect, v.Best.Reasons()
	if v.Effect != Retest {
		v.settings(&v.Best.with)
	}
	return v, nil
}

// near reports whether a profile is worth showing: most of its key is today's, or it is
// a cable of the same diameter in the same duct.
func (c *compared) near() bool {
	p, j, same := c.profile, c.job, 0
	for _, pair := range [][2]name{{p.cableMake, j.cableMake}, {p.cableType, j.cableType}, {p.size, j.size}} {
		if pair[0].same(pair[1]) || pair[0].alike(pair[1]) {
			same++
		}
	}
	return same >= 2 || sameDiameter(c) && p.size.same(j.size)
}

// match goes through the rules.
func (c *compared) match() *Match {
	m := &Match{ID: c.profile.id, Effect: Covered, Setting: c.profile.setting(), Made: c.profile.proved, with: *c}
	for i := range coverRules {
		if row := coverRules[i].decides(c); row != nil && row.effect > Covered {
			m.Effect = max(m.Effect, c.limits.effect(coverRules[i].key, row.effect))
			m.weight++
			if c.alike(coverRules[i].key) {
				m.alike++
			}
		}
	}
	return m
}

// effect is what a row of a field asks for, as the supervisor has tightened it.
func (l *CoverLimits) effect(key string, usual Effect) Effect {
	if usual == ShortCheck && l.retest[key] {
		return Retest
	}
	return usual
}

// Reasons are all differences, the strongest first.
func (m Match) Reasons() []Reason {
	var reasons []Reason
	c := &m.with
	for i := range coverRules {
		f := &coverRules[i]
		if row := f.decides(c); row != nil {
			r := Reason{f.key, f.text(c.profile), f.text(c.job), c.limits.effect(f.key, row.effect), row.why, c.alike(f.key)}
			if r.Alike {
				r.Why += " The two are written almost alike: if they are one, write it the same way in the job."
			}
			reasons = append(reasons, r)
		}
	}
	slices.SortStableFunc(reasons, func(a, b Reason) int { return cmp.Compare(b.Effect, a.Effect) })
	return reasons
}

// decides returns the first row that applies, nil when none does.
func (f *coverField) decides(c *compared) *coverRow {
	for i := range f.rows {
		if f.rows[i].applies(c) {
			return &f.rows[i]
		}
	}
	return nil
}

// spelled are the fields whose names someone may have misspelled.
var spelled = map[string]func(*side) name{
	"cable.make": func(s *side) name { return s.cableMake }, "cable.type": func(s *side) name { return s.cableType },
	"duct.size": func(s *side) name { return s.size }, "cable.head": head, "rig.name": rig, "rig.belts": belts, "rig.supply": supply,
	"cable.reel": reel, "cable.lot": lot, "duct.lot": ductLot,
}

// alike offers that two names may be one.
func (c *compared) alike(key string) bool {
	of := spelled[key]
	return of != nil && of(c.profile).alike(of(c.job))
}

// settings finds what may be used meanwhile, and what for a warmer cable yet. Nothing is
// ever above the profile's setting.
func (v *Verdict) settings(c *compared) {
	own, warmest := c.profile.setting(), c.job.warmest()
	v.CoveredUpTo, v.Until = c.coveredUpTo(), c.limits.Until(c.profile.proved, c.profile.root)
	v.DropTo = c.dropTo(warmest)
	switch {
	case c.inBand(warmest) || warmest <= c.profile.temperature():
		v.Setting = q.Known(own)
	case len(v.DropTo) > 0:
		v.Setting = q.Known(v.DropTo[0].Setting)
	}
}

// dropTo is the written table of lower settings, the coolest first.
func (s *Setting) dropTo() []session.DropTo {
	var table []session.DropTo
	for _, d := range s.DropTo {
		upTo, ok1 := d.UpTo.value.Get()
		grip, ok2 := d.Grip.value.Get()
		speed, ok3 := d.Speed.value.Get()
		if ok1 && ok2 && ok3 {
			table = append(table, session.DropTo{UpTo: upTo, Setting: session.Setting{Grip: grip, Speed: speed}})
		}
	}
	slices.SortFunc(table, func(a, b session.DropTo) int { return cmp.Compare(a.UpTo, b.UpTo) })
	return table
}

// CoverFields are the record keys that profile and job are compared in, and "findings".
func CoverFields() []string {
	var keys []string
	for _, f := range coverRules {
		keys = append(keys, f.key)
	}
	return keys
}
