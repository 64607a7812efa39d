package profiles

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
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
	hurts      hurts                       // folds and marked jackets of trials and runs
	expires    map[string]time.Time        // by profile: the earliest a supervisor set
	looked     map[string]bool             // profiles accepted as their files are
	before     func(*Record) (*session.Trial, error)
	settled    bool
	Problem    error   // why nothing is known; nothing is promised then
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
	c := x.candidates(limits, l.now())
	c.before = l.Before
	return c, nil
}

func readCandidate(in store.Store, name string) (*side, error) {
	from, err := readFrom(in, name)
	if err != nil {
		return nil, err
	}
	r, found, err := from.flawed()
	if err != nil {
		return nil, err
	}
	sealed := journal.Begins(string(from.Text))
	if !sealed && sealedOnce(in, name) {
		found = sealsGone
	}
	s, err := candidateOf(from.Path, r, found)
	if err == nil {
		s.byHand = !sealed
	}
	return s, err
}

// sealsGone is what is the matter with a profile that was sealed once.
var sealsGone = journal.Flaw{Says: "it was sealed when it was written, and is not any more: it was edited", Edited: true}

// candidateOf is a profile that was read, or what keeps it from being used.
func candidateOf(path string, r *Record, found journal.Flaw) (*side, error) {
	fail := func(wrong string) error {
		return &problem.FileError{Path: path, Problem: wrong, Hint: "it hands out nothing: put it back from a copy or another tablet, or make a new trial"}
	}
	switch {
	case found.Edited:
		return nil, &problem.EditedError{Err: fail(found.Says)}
	case found.Says != "":
		return nil, fail(found.Says)
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

// Unsaid reports whether neither side says what is compared.
func (r Reason) Unsaid() bool { return r.Profile == "" && r.Job == "" && r.Field != "setting.accepted" }

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
	ByHand bool   // the best was written by hand, or by a version that did not seal
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
	nearest := func() {
		slices.SortFunc(near, func(a, b *Match) int {
			return cmp.Or(cmp.Compare(a.Effect, b.Effect), btoi(a.asked())-btoi(b.asked()), cmp.Compare(a.weight, b.weight), cmp.Compare(b.alike, a.alike), b.Made.Compare(a.Made), strings.Compare(b.ID, a.ID))
		})
	}
	// What the rule would advise takes a decision's time: it is asked of the best only.
	for nearest(); len(near) > 0 && near[0].Effect < Retest && !near[0].with.profile.judged; nearest() {
		c.judge(near[0].with.profile)
		*near[0] = *near[0].with.match()
	}
	v := Verdict{Effect: Retest, Job: today.trial, Thermometer: today.trial.Conditions.Unit, Unreadable: c.Unreadable, Further: further}
	if len(near) == 0 {
		v.Reasons = []Reason{{"profile", "", today.record.Cable.Make + ", " + today.record.Cable.Type + ", " + today.record.Duct.Size, Retest,
			"The library has no profile of this cable in this duct, nor of one near to it.", false}}
		return v, nil
	}
	v.Best, v.Near = near[0], near[1:]
	v.Effect, v.Reasons, v.ByHand = v.Best.Effect, v.Best.Reasons(), v.Best.with.profile.byHand
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

// asked reports whether a supervisor has asked about it.
func (m *Match) asked() bool { return m.with.profile.findings[Asked] }

// match goes through the rules.
func (c *compared) match() *Match {
	m := &Match{ID: c.profile.id, Effect: Covered, Setting: c.profile.setting(), Made: c.profile.proved, with: *c}
	if len(c.uncarried()) > 0 {
		m.Effect, m.weight = Retest, 1
	}
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
			if m.Effect == Retest && (f.key == "limits.speed" || f.key == "plan.speed") { // which setting is not said: it is not to be installed with
				r.Profile = "its setting"
			}
			if r.Alike {
				r.Why += " The two are written almost alike: if they are one, write it the same way in the job."
			}
			reasons = append(reasons, r)
		}
	}
	for _, why := range c.uncarried() {
		reasons = append(reasons, Reason{settingField, c.profile.settingText(), "", Retest, words(why) + " " + c.mends(), false})
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
	p := c.promise()
	warmest := c.job.warmest()
	v.CoveredUpTo, v.Until = p.UpTo, p.Until
	if s, some := p.At(warmest); some && len(p.Why) == 0 {
		v.Setting = q.Known(s)
	}
	for _, d := range p.DropTo {
		if d.UpTo >= warmest-degreesRounding {
			v.DropTo = append(v.DropTo, d)
		}
	}
}

// CoverFields are the record keys that profile and job are compared in, and "findings".
func CoverFields() []string {
	keys := []string{settingField}
	for _, f := range coverRules {
		keys = append(keys, f.key)
	}
	return keys
}
