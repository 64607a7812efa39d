package profiles

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"sort"
	"strings"
	"time"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Library is all records of this device, in a store.
type Library struct {
	store   store.Store
	now     func() time.Time
	entropy io.Reader
}

// OpenLibrary opens the library in a store. The clock and the randomness of ids are handed in.
func OpenLibrary(in store.Store, now func() time.Time, entropy io.Reader) *Library {
	return &Library{in, now, entropy}
}

// Store is where its records are kept.
func (l *Library) Store() store.Store { return l.store }

// Where says where the library is.
func (l *Library) Where() string { return l.store.Where("") }

// Within is how all begins that says where something of it is.
func (l *Library) Within() string { return strings.TrimSuffix(l.store.Where("x"), "x") }

// Missing reports whether the library is not there: what is read from it is nothing.
func (l *Library) Missing() bool { return !l.store.State().There }

// Now is the library's clock.
func (l *Library) Now() time.Time { return l.now() }

// The names that records are kept under, by their ids.
func trialName(id string) string { return "trials/" + id + ".toml" }
func runName(id string) string   { return "runs/" + id + ".toml" }

// read reads a file of the library.
func (l *Library) read(name string) (Source, error) { return readFrom(l.store, name) }

func readFrom(in store.Store, name string) (Source, error) {
	text, err := in.ReadThrough(name)
	return Source{Path: in.Where(name), Text: text}, store.Plain(err)
}

// put writes a text that takes the place of what is there.
func (l *Library) put(name string, text []byte) error {
	_, old, err := l.store.Read(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return l.store.Write(name, old, text)
}

// NewTrial begins a trial from a job. Nothing of it is on disk until it is first written to: a
// job that was only looked at leaves no trial behind. A folder that refuses all writes is told
// at once.
func (l *Library) NewTrial(job Record) (*Trial, error) {
	ids, err := l.trialIDs()
	if err != nil {
		return nil, err
	}
	last := ""
	if len(ids) > 0 {
		last = ids[0]
	}
	job.Format, job.Policy, job.Checks = Format, session.DefaultPolicy().Name, session.CheckTable()
	if job.Kind == 0 {
		job.Kind = session.Full
	}
	if job, err = l.Planned(job); err != nil {
		return nil, err
	}
	job.Started = l.now().Truncate(time.Second)
	if job.ID, err = NewID(l.now(), l.entropy, last); err != nil {
		return nil, err
	}
	text, err := job.headText()
	if err != nil {
		return nil, err
	}
	record, err := Parse(l.store.Where(trialName(job.ID)), []byte(text))
	if err != nil {
		return nil, err
	}
	before, err := l.Before(record)
	if err != nil {
		return nil, err
	}
	t := &Trial{store: l.store, name: trialName(job.ID), head: text, before: before, find: l.Before, now: l.now}
	if err := l.store.Refuses("trials"); err != nil {
		return nil, err
	}
	return t, t.take(record)
}

// OpenTrial opens a trial to go on with it. A torn end is set aside and told.
func (l *Library) OpenTrial(id string) (*Trial, journal.Recovery, error) {
	if !ValidID(id) {
		return nil, journal.Recovery{}, fmt.Errorf("%q is no trial id\n  ids are 26 capital letters and digits", problem.Clip(id))
	}
	kept, recovery, err := journal.Open(l.store, trialName(id))
	if err != nil {
		return nil, recovery, err
	}
	record, err := Parse(kept.Where(), []byte(kept.Text()))
	if err != nil {
		return nil, recovery, errors.Join(err, kept.Close())
	}
	before, err := l.Before(record)
	if err != nil { // it could be read when the trial began: go on without
		before = nil
	}
	t := &Trial{journal: kept, store: l.store, name: kept.Name(), before: before, find: l.Before, now: l.now}
	if err := t.take(record); err != nil {
		return nil, recovery, errors.Join(err, kept.Close())
	}
	return t, recovery, nil
}

// trialIDs returns the ids of all trials, newest first.
func (l *Library) trialIDs() ([]string, error) { return l.recordIDs("trials") }

// recordIDs returns the ids of a folder's own records, newest first.
func (l *Library) recordIDs(place string) ([]string, error) {
	entries, err := l.store.List(place)
	if err != nil {
		return nil, fmt.Errorf("read the library: %w\n  check the folder's rights", err)
	}
	var ids []string
	for _, e := range entries {
		if id, ok := strings.CutSuffix(e.Name, ".toml"); ok && ValidID(id) {
			ids = append(ids, id)
		}
	}
	sort.Sort(sort.Reverse(sort.StringSlice(ids)))
	return ids, nil
}

// Trial reads a trial without locking it or writing anything.
func (l *Library) Trial(id string) (session.Trial, error) {
	r, err := l.TrialRecord(id)
	if err != nil {
		return session.Trial{}, err
	}
	return r.Trial()
}

// TrialRecord reads a trial's record without locking it or writing anything.
func (l *Library) TrialRecord(id string) (*Record, error) {
	from, err := l.read(trialName(id))
	if err != nil {
		return nil, err
	}
	r, _, err := from.Record()
	return r, err
}

// TrialWarning says what is the matter with the file of a trial, this tablet's or another's, that
// can be read all the same; "" when nothing is.
func (l *Library) TrialWarning(id string) (warning string, err error) {
	_, warning, err = l.readRecord(trialName(id))
	if errors.Is(err, fs.ErrNotExist) {
		_, warning, err = l.readRecord(received(trialName(id)))
	}
	return warning, err
}

// LastJobs returns the jobs of the last trials that differ in cable, duct or rig,
// newest first, without their entries. Trials that cannot be read are left out.
func (l *Library) LastJobs() ([]Record, error) {
	ids, err := l.trialIDs()
	if err != nil {
		return nil, err
	}
	var jobs []Record
	seen := map[[5]string]bool{}
	for _, id := range ids[:min(len(ids), recent)] {
		r, err := l.TrialRecord(id)
		if err != nil || r.Cable.Make == "" || r.Duct.Size == "" {
			continue
		}
		key := [5]string{fold(r.Cable.Make), fold(r.Cable.Type), fold(r.Duct.Size), fold(r.Rig.Name), fold(r.Cable.Reel)}
		if !seen[key] {
			seen[key] = true
			job := r.job()
			if now, _, err := r.current(); err == nil && sameDate(r.Started, l.now()) { // one weather report a day
				job.Conditions.DayLow, job.Conditions.DayHigh = now.Conditions.DayLow, now.Conditions.DayHigh
			}
			jobs = append(jobs, job)
		}
	}
	return jobs, nil
}

// job is what of a record a new trial of the same kind can begin with.
func (r Record) job() Record {
	r.ID, r.Of, r.Earlier, r.Kind, r.Policy, r.Checks = "", "", "", 0, "", ""
	r.Answers, r.Attempts, r.Undos, r.Changes, r.Setting = nil, nil, nil, nil, nil
	r.Conditions.CableTemperature = Quantity[q.Temperature]{} // read anew, every time
	r.Conditions.StubTemperature, r.Conditions.AirTemperature = Quantity[q.Temperature]{}, Quantity[q.Temperature]{}
	r.Conditions.InletAirTemperature = Quantity[q.Temperature]{}
	r.Conditions.DayLow, r.Conditions.DayHigh = Quantity[q.Temperature]{}, Quantity[q.Temperature]{}
	r.Plan = Plan{}
	return r
}

// SameSetup returns the log of the newest other trial of today on the same rig,
// belts, reel and duct, whose checks need no second asking; nil when there is none.
func (l *Library) SameSetup(t *Trial) []session.Happened {
	ids, err := l.trialIDs()
	if err != nil {
		return nil
	}
	mine := t.Session()
	for _, id := range ids[:min(len(ids), recent)] {
		if id == t.ID() {
			continue
		}
		r, warning, err := l.readRecord(trialName(id))
		if err != nil || warning != "" { // what was edited or damaged answers for nothing
			continue
		}
		if other, err := r.Trial(); err == nil && mine.SameSetup(other) {
			return mine.EarlierLog(other)
		}
	}
	return nil
}

// readRecord reads a record, sealed or written by hand. A torn end of a sealed one is left out and
// told as a warning.
func (l *Library) readRecord(name string) (r *Record, warning string, err error) {
	from, err := l.read(name)
	if err != nil {
		return nil, "", err
	}
	return from.Record()
}

// SaveProfile writes the profile of a finished trial, reads it back, and only then
// returns. The profile has its trial's id and is never written twice.
func (l *Library) SaveProfile(t *Trial, accepted session.Setting) (where string, err error) {
	candidates, err := l.Candidates()
	if err != nil {
		return "", err
	}
	r := t.Record()
	with, err := candidates.ofTrial(r, t.Session(), accepted, l.now())
	if err != nil {
		return "", err
	}
	promised := with.promise()
	if len(promised.Why) > 0 && !promised.Look {
		return "", fmt.Errorf("no profile: %s", strings.Join(promised.Why, " "))
	}
	promised.Promise, _ = with.claimed()
	setting, err := newSetting(t.Session(), promised, l.now())
	if err != nil {
		return "", err
	}
	r.Setting = setting
	text, err := r.Text()
	if err != nil {
		return "", err
	}
	if _, err := Parse(t.ID(), []byte(text)); err != nil {
		return "", fmt.Errorf("not written: %w", err)
	}
	sealed, err := journal.SealHead(text) // so that a later edit shows
	if err != nil {
		return "", fmt.Errorf("not written: %w", err)
	}
	name := path.Join("profiles", r.Started.Format("2006-01"), t.ID()+".toml")
	return l.store.Where(name), l.createProfile(name, sealed.Text())
}

// newSetting is the recommendation as it was given, and what was accepted of it.
func newSetting(t session.Trial, promised Promise, now time.Time) (*Setting, error) {
	o, accepted := session.View(t), promised.Setting
	install, ok := o.Next.(session.Install)
	if !ok {
		return nil, errors.New("no profile: the trial has no install setting")
	}
	if accepted.Speed.Value > install.Setting.Speed.Value*(1+1e-6) || accepted.Grip > install.Setting.Grip*(1+1e-6) {
		return nil, fmt.Errorf("no profile: %s is above the advised %s", t.Rig.Show(accepted), t.Rig.Show(install.Setting))
	}
	s := &Setting{
		Grip: quantityOf(accepted.Grip, t.Rig.GripUnit), Speed: readingOf(t, accepted),
		AdvisedGrip: quantityOf(install.Setting.Grip, t.Rig.GripUnit), AdvisedSpeed: readingOf(t, install.Setting),
		EndedOn: install.EndedOn.String(), Reason: install.Reason, Lines: o.Lines(t, promised.Promise), Warnings: o.Warnings,
		FoldChance: pointer(o.FoldChance), FoldChanceHigh: pointer(o.FoldChanceHigh),
		FoldChanceVaried: pointer(o.FoldChanceVaried), SlipChance: pointer(o.SlipChance),
		Accepted: now.Truncate(time.Second),
	}
	s.CoveredUpTo, _ = NewQuantity[q.Temperature](session.WholeDegrees(promised.UpTo, t.Conditions.Unit))
	if at, _ := t.CheckDue(promised.UpTo, now); at.Or(now).After(now) {
		s.CheckDue = at.Or(now).Truncate(time.Second)
	}
	for _, d := range promised.DropTo {
		upTo, _ := NewQuantity[q.Temperature](session.WholeDegrees(d.UpTo, t.Conditions.Unit))
		s.DropTo = append(s.DropTo, DropTo{upTo, quantityOf(d.Setting.Grip, t.Rig.GripUnit), readingOf(t, d.Setting)})
	}
	return s, nil
}

func quantityOf(p q.Pressure, unit string) Quantity[q.Pressure] {
	return Quantity[q.Pressure]{q.Text(p, unit), q.Known(p)}
}

func readingOf(t session.Trial, s session.Setting) Reading {
	return Reading{t.Rig.ShowSpeed(s.Speed.Value), q.Known(s.Speed)}
}

func pointer(m q.Maybe[float64]) *float64 {
	if v, ok := m.Get(); ok {
		return &v
	}
	return nil
}

// Apart returns a library of its own in a folder of this one, for records that
// must never be taken for the crew's.
func (l *Library) Apart(name string) (*Library, error) {
	in, err := l.store.Within(name)
	if err != nil {
		return nil, err
	}
	return OpenLibrary(in, l.now, l.entropy), nil
}

// createProfile writes a profile once. The same profile found there already is a
// save that was cut off before it could be told, and counts.
func (l *Library) createProfile(name, text string) error {
	return l.store.Alone(func() error {
		if err := l.store.Tidy(path.Dir(name), l.now()); err != nil {
			return store.Plain(err)
		}
		if old, _, err := l.store.Read(name); err == nil && sameButAccepted(string(old), text) {
			return store.Plain(l.store.Confirm(name)) // it may have been cut off before its name was safe
		}
		return store.Plain(l.store.Write(name, store.Version{}, []byte(text)))
	})
}

// sameButAccepted compares profiles without the time of the save and what follows from it.
func sameButAccepted(a, b string) bool {
	strip := func(s string) string {
		var keep []string
		for _, line := range strings.Split(s, "\n") {
			if !strings.HasPrefix(line, "accepted = ") && !strings.HasPrefix(line, "check_due = ") && !strings.HasPrefix(line, journal.SealMark) {
				keep = append(keep, line)
			}
		}
		return strings.Join(keep, "\n")
	}
	return strip(a) == strip(b)
}
