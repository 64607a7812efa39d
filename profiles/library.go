package profiles

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"time"

	"brinkmark/profiles/problem"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Library is the folder of all records on this device.
type Library struct {
	dir     string
	now     func() time.Time
	entropy io.Reader
}

// DefaultDir is the library's usual place: the user's data folder.
func DefaultDir() (string, error) {
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "brinkmark"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("no home folder: %w\n  name a folder with --library", err)
	}
	if config, err := os.UserConfigDir(); err == nil && !strings.HasPrefix(config, filepath.Join(home, ".config")) {
		return filepath.Join(config, "brinkmark"), nil // the data folder of windows and darwin
	}
	return filepath.Join(home, ".local", "share", "brinkmark"), nil
}

// OpenLibrary opens the library in a folder, made on the first save. The clock and
// the randomness of ids are handed in.
func OpenLibrary(dir string, now func() time.Time, entropy io.Reader) (*Library, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("library %s: %w", dir, err)
	}
	if problem.HasControls(dir) {
		return nil, fmt.Errorf("library %s: its name has characters that cannot be shown\n  name another folder with --library", problem.PrintableOnly(dir))
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return nil, fmt.Errorf("library %s is a file\n  name a folder with --library", dir)
	}
	return &Library{dir, now, entropy}, nil
}

// Dir returns the library's folder.
func (l *Library) Dir() string { return l.dir }

// Missing reports whether the library's folder is not there: what is read from it is nothing.
func (l *Library) Missing() bool {
	_, err := os.Stat(l.dir)
	return errors.Is(err, fs.ErrNotExist)
}

// Usual reports whether it is the library that is used when none is named.
func (l *Library) Usual() bool {
	usual, err := DefaultDir()
	return err == nil && usual == l.dir
}

// Now is the library's clock.
func (l *Library) Now() time.Time { return l.now() }

func (l *Library) trialPath(id string) string { return filepath.Join(l.dir, "trials", id+".toml") }

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
	record, err := Parse(l.trialPath(job.ID), []byte(text))
	if err != nil {
		return nil, err
	}
	before, err := l.Before(record)
	if err != nil {
		return nil, err
	}
	t := &Trial{path: l.trialPath(job.ID), head: text, before: before, find: l.Before, now: l.now, create: l.createTrial}
	if err := l.refuses(filepath.Dir(t.path)); err != nil {
		return nil, err
	}
	return t, t.take(record)
}

// createTrial puts the first bytes of a trial on disk.
func (l *Library) createTrial(path, head string) (*Journal, error) {
	if err := l.makeFolder(filepath.Dir(path)); err != nil {
		return nil, err
	}
	return CreateJournal(path, head)
}

// OpenTrial opens a trial to go on with it. A torn end is set aside and told.
func (l *Library) OpenTrial(id string) (*Trial, Recovery, error) {
	if !ValidID(id) {
		return nil, Recovery{}, fmt.Errorf("%q is no trial id\n  ids are 26 capital letters and digits", problem.Clip(id))
	}
	if err := l.ownFolder(filepath.Dir(l.trialPath(id))); err != nil {
		return nil, Recovery{}, err
	}
	journal, recovery, err := OpenJournal(l.trialPath(id))
	if err != nil {
		return nil, recovery, err
	}
	record, err := Parse(l.trialPath(id), []byte(journal.Text()))
	if err != nil {
		return nil, recovery, errors.Join(err, journal.Close())
	}
	before, err := l.Before(record)
	if err != nil { // it could be read when the trial began: go on without
		before = nil
	}
	t := &Trial{journal: journal, path: l.trialPath(id), before: before, find: l.Before, now: l.now}
	if err := t.take(record); err != nil {
		return nil, recovery, errors.Join(err, journal.Close())
	}
	return t, recovery, nil
}

// trialIDs returns the ids of all trials, newest first.
func (l *Library) trialIDs() ([]string, error) { return l.recordIDs("trials") }

// recordIDs returns the ids of a folder's own records, newest first.
func (l *Library) recordIDs(place string) ([]string, error) {
	entries, err := os.ReadDir(filepath.Join(l.dir, place))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read the library: %w\n  check the folder's rights", err)
	}
	var ids []string
	for _, e := range entries {
		if id, ok := strings.CutSuffix(e.Name(), ".toml"); ok && ValidID(id) {
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
	r, _, err := ReadFile(l.trialPath(id))
	return r, err
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
		r, warning, err := ReadFile(l.trialPath(id))
		if err != nil || warning != "" { // what was edited or damaged answers for nothing
			continue
		}
		if other, err := r.Trial(); err == nil && mine.SameSetup(other) {
			return mine.EarlierLog(other)
		}
	}
	return nil
}

// ReadFile reads a record, sealed or hand-written, without writing anything. A torn
// end of a sealed one is left out and told as a warning.
func ReadFile(path string) (r *Record, warning string, err error) {
	r, found, err := readFlawed(path)
	return r, found.says, err
}

// Edited reports whether a record's file was changed after it was sealed: nothing is handed out by it.
func Edited(path string) bool {
	_, found, err := readText(path)
	return err == nil && found.edited
}

func readFlawed(path string) (*Record, flaw, error) {
	text, found, err := readText(path)
	if err != nil {
		return nil, flaw{}, err
	}
	r, err := Parse(path, []byte(text))
	return r, found, err
}

// SaveProfile writes the profile of a finished trial, reads it back, and only then
// returns. The profile has its trial's id and is never written twice.
func (l *Library) SaveProfile(t *Trial, accepted session.Setting) (path string, err error) {
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
	dir := filepath.Join(l.dir, "profiles", r.Started.Format("2006-01"))
	if err := l.makeFolder(dir); err != nil {
		return "", err
	}
	sealed, err := sealHead(text) // so that a later edit shows
	if err != nil {
		return "", fmt.Errorf("not written: %w", err)
	}
	path = filepath.Join(dir, t.ID()+".toml")
	return path, l.createProfile(path, string(sealed.text))
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
	if err := l.ownFolder(filepath.Join(l.dir, name)); err != nil {
		return nil, err
	}
	return OpenLibrary(filepath.Join(l.dir, name), l.now, l.entropy)
}

// createProfile writes a profile once. The same profile found there already is a
// save that was cut off before it could be told, and counts.
func (l *Library) createProfile(path, text string) error {
	lock, err := lockLibrary(l.dir)
	if err != nil {
		return err
	}
	if err := cleanTemps(osDisk{}, filepath.Dir(path), l.now()); err != nil {
		return errors.Join(plainDiskError(err), lock.Unlock())
	}
	if old, err := (osDisk{}).read(path); err == nil && ValidID(strings.TrimSuffix(filepath.Base(path), ".toml")) {
		if sameButAccepted(string(old), text) {
			// It may have been cut off before its name was safe.
			return errors.Join(plainDiskError(osDisk{}.SyncDir(filepath.Dir(path))), lock.Unlock())
		}
	}
	return errors.Join(createFile(osDisk{}, path, []byte(text)), lock.Unlock())
}

// sameButAccepted compares profiles without the time of the save and what follows from it.
func sameButAccepted(a, b string) bool {
	strip := func(s string) string {
		var keep []string
		for _, line := range strings.Split(s, "\n") {
			if !strings.HasPrefix(line, "accepted = ") && !strings.HasPrefix(line, "check_due = ") && !strings.HasPrefix(line, sealMark) {
				keep = append(keep, line)
			}
		}
		return strings.Join(keep, "\n")
	}
	return strip(a) == strip(b)
}
