package profiles

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/store"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Promise is what may be installed with by one record: the one answer that every page, tag,
// sheet, run and reach takes its setting, its band and its expiry from.
type Promise struct {
	session.Promise           // zero where nothing may be
	Why             []string  // why nothing may be, each a sentence
	Look            bool      // a supervisor's acceptance would do
	Until           time.Time // when shift, age or a supervisor's expiry ask for a check
	ByHand          bool      // the record was written by hand, or by a version that did not seal
	Rig             session.Rig
	Thermometer     string
}

// ByHandSays is told wherever a setting of such a record is given.
const ByHandSays = "The profile was written by hand, or by a version that did not seal: nobody can tell whether it was changed since."

const (
	// settingField is the reason's field where a record's own pushes do not carry its setting.
	settingField = "setting"
	whoMends     = "It hands out nothing: put the record back from a copy or another tablet if it was changed; else make a new trial."
	lookMends    = "It hands out nothing until a supervisor has looked at it and accepted it in the review; or make a new trial."
)

// claim is the profile's setting with all that bears on it.
func (c *compared) claim() session.Claim {
	p := c.profile
	return session.Claim{
		Trial: p.whole, Setting: p.setting(), From: p.from, Coldest: p.coldest, Hottest: p.hottest, Hurts: p.hurts,
		Covered: c.limits.covered(), Checked: c.limits.checked(),
		Highest: p.record.Setting.CoveredUpTo.value, NoDrop: c.limits.retest["conditions.cable_temperature"],
	}
}

// claimed is what a claim came to.
type claimed struct {
	promise session.Promise
	flaws   []string
}

// claimed works a claim out once: the job has no part in it.
func (c *compared) claimed() (session.Promise, []string) {
	if c.profile.claimed == nil {
		p, flaws := c.claim().Promise()
		c.profile.claimed = &claimed{p, flaws}
	}
	return c.profile.claimed.promise, c.profile.claimed.flaws
}

// uncarried says why the record's setting is not to be used, whatever the job.
func (c *compared) uncarried() []string {
	_, flaws := c.claimed()
	flaws = slices.Concat(flaws, c.profile.tooOther)
	if p := c.profile; p.judged {
		return append(flaws, p.carried...)
	}
	return flaws
}

// mends says who can mend a record that hands out nothing: one that its own pushes do not carry
// was changed or made up, one that others speak against is only to be tried anew.
func (c *compared) mends() string {
	if len(c.profile.whole.Proof(c.profile.setting()).Flaws) == 0 && len(c.profile.carried) == 0 {
		return "It hands out nothing: make a new trial."
	}
	return whoMends
}

// oddTimes says which of the record's times cannot be, unless a supervisor has looked at it.
func (c *compared) oddTimes() string {
	if c.profile.looked {
		return ""
	}
	return c.profile.odd
}

// promise is what may be installed with, or why nothing may.
func (c *compared) promise() Promise { return c.promiseBy("findings", "times", "setting.accepted") }

// promiseBy is the promise where the rules of these fields can end it.
func (c *compared) promiseBy(ending ...string) Promise {
	p := Promise{Until: c.limits.Until(c.profile.proved, c.profile.root), ByHand: c.profile.byHand,
		Rig: c.profile.trial.Rig, Thermometer: c.profile.trial.Conditions.Unit}
	if at := c.profile.expires; !at.IsZero() && at.Before(p.Until) {
		p.Until = at
	}
	p.Until = p.Until.In(c.now.Location()) // a clock on a wall says when
	for _, key := range ending {
		if row := coverFieldOf(key).decides(c); row != nil && c.limits.effect(key, row.effect) == Retest {
			p.Why = append(p.Why, row.why)
		}
	}
	p.Look = len(p.Why) == 1 && c.oddTimes() != ""
	if flaws := c.uncarried(); len(flaws) > 0 {
		for _, why := range flaws {
			p.Why = append(p.Why, words(why))
		}
		p.Why, p.Look = append(p.Why, c.mends()), false
	}
	if len(p.Why) == 0 {
		p.Promise, _ = c.claimed()
	}
	return p
}

func coverFieldOf(key string) *coverField {
	for i := range coverRules {
		if coverRules[i].key == key {
			return &coverRules[i]
		}
	}
	panic("profiles: no rule for " + key)
}

// refusal is the error of who wants to use a record that promises nothing.
func (p Promise) refusal() error {
	return fmt.Errorf("this profile holds for nothing any more: %s\n  make a new trial", strings.Join(p.Why, " "))
}

// words makes a sentence of a reason.
func words(why string) string {
	first, size := utf8.DecodeRuneInString(why)
	return string(unicode.ToUpper(first)) + strings.TrimSuffix(why[size:], ".") + "."
}

// judge asks what the rule advises by a record's pushes.
func (c *Candidates) judge(s *side) {
	if s.judged {
		return
	}
	s.judged = true
	t := s.whole
	if before, err := c.beforeOf(&s.record); err == nil && before != nil {
		if after, err := t.After(*before); err == nil {
			t = after
		}
	}
	if s.carried = nil; t.Advisable() != nil {
		return // its proof says so
	}
	if why := t.Advises(s.setting()); why != "" {
		s.carried = []string{why}
	}
}

func (c *Candidates) beforeOf(r *Record) (*session.Trial, error) {
	if c.before == nil {
		return nil, nil
	}
	return c.before(r)
}

// Promised is what may be installed with by a profile, today, by this library's rules and all
// that it knows. Of one that is not in the library the error is [fs.ErrNotExist]; one that was
// edited, or cannot be read, is an error too.
func (l *Library) Promised(id string) (Promise, error) {
	with, err := l.itself(id)
	if err != nil {
		return Promise{}, err
	}
	return with.promise(), nil
}

// itself is a profile beside its own job, now.
func (l *Library) itself(id string) (*compared, error) {
	name, err := l.profileName(id)
	if err != nil {
		return nil, err
	}
	c, err := l.Candidates()
	if err != nil {
		return nil, err
	}
	return c.itself(name, id, l.now())
}

func (c *Candidates) itself(name, id string, now time.Time) (*compared, error) {
	s, err := readCandidate(c.unread.store, name)
	if err != nil {
		return nil, err
	}
	return c.beside(s, id, now), nil
}

// beside puts a record beside its own job, with what is found of it and of what it rests on.
func (c *Candidates) beside(s *side, id string, now time.Time) *compared {
	s.id = id
	c.readChain(s)
	c.all, c.settled = append(c.all, s), false
	c.settle()
	c.judge(s)
	return &compared{s, s, &c.limits, now}
}

// PromiseOf is what may be installed with by a trial that has just ended with a setting,
// before its profile is written.
func (c *Candidates) PromiseOf(record Record, t session.Trial, accepted session.Setting, now time.Time) Promise {
	with, err := c.ofTrial(record, t, accepted, now)
	if err != nil {
		return Promise{Why: []string{words(err.Error())}}
	}
	return with.promise()
}

// Lowered is the setting of a trial brought under what other trials and runs of this cable,
// duct and rig leave; false where nothing is left.
func (c *Candidates) Lowered(record Record, t session.Trial, advised session.Setting, now time.Time) (session.Setting, bool) {
	with, err := c.ofTrial(record, t, advised, now)
	if err != nil {
		return advised, false
	}
	return with.claim().Lowered()
}

func (c *Candidates) ofTrial(record Record, t session.Trial, accepted session.Setting, now time.Time) (*compared, error) {
	if c.Problem != nil {
		return nil, c.Problem
	}
	record.Setting = &Setting{Grip: quantityOf(accepted.Grip, t.Rig.GripUnit), Speed: readingOf(t, accepted), Accepted: now.Truncate(time.Second)}
	s, err := newSide(&record)
	if err != nil {
		return nil, err
	}
	// The band is written down in whole degrees, and holds no further than that.
	top := c.limits.covered().Warmest(s.from)
	s.record.Setting.CoveredUpTo, _ = NewQuantity[q.Temperature](session.WholeDegrees(top, t.Conditions.Unit))
	s.id = record.ID
	c.readChain(s) // here, and not in the copy: each profile is read once
	own := *c      // what is said of a trial that may yet change is not kept
	own.all = append([]*side{}, c.all...)
	if t.Before != nil {
		own.before = func(*Record) (*session.Trial, error) { return t.Before, nil }
	}
	return own.beside(s, record.ID, now), nil
}

// NoCandidates is a library without a record, by the usual rules.
func NoCandidates() *Candidates {
	return &Candidates{limits: UsualCoverLimits(), findings: map[string]map[Finding]bool{}}
}

// NothingKnown is a library that cannot be read: nothing is promised beside it.
func NothingKnown(err error) *Candidates {
	c := NoCandidates()
	c.Problem = err
	return c
}

// LookedAt is the same, of a record whose times a supervisor has looked at, or that needs no look: in a
// lesson a push of the simulated rig is made as fast as its trainee reads.
func LookedAt(id string) *Candidates {
	c := NoCandidates()
	c.looked = map[string]bool{id: true}
	return c
}

// sealedOnce reports whether a profile that has no seal is known to have been sealed: its
// trial is, or another tablet's copy of it. name is what the profile is kept under.
func sealedOnce(in store.Store, name string) bool {
	id := strings.TrimSuffix(path.Base(name), ".toml")
	if !ValidID(id) {
		return false
	}
	others := []string{trialName(id), received(trialName(id))}
	copies, _ := in.List(differingFolder)
	for _, c := range copies {
		if strings.Contains(c.Name, id) && strings.HasSuffix(c.Name, ".toml") {
			others = append(others, path.Join(differingFolder, c.Name))
		}
	}
	for _, other := range others {
		if text, _, err := in.Read(other); err == nil && journal.Begins(string(text)) {
			return true
		}
	}
	return false
}
