package profiles

import (
	"errors"
	"fmt"
	"time"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/store"
	"brinkmark/session"
)

// Trial is a trial's record on disk. What [Trial.Append] has acknowledged survives
// a crash; what it has not is never half there.
type Trial struct {
	journal *journal.Journal // nil until something is written
	store   store.Store
	name    string // where it is kept
	head    string // what it will begin with
	record  *Record
	trial   session.Trial
	before  *session.Trial // the trial it begins from
	find    func(*Record) (*session.Trial, error)
	now     func() time.Time
	trainee bool // it is gone on with by a trainee
}

// Record returns the record as it stands in the file.
func (t *Trial) Record() Record { return *t.record }

// Session returns the record as the engine sees it.
func (t *Trial) Session() session.Trial { return t.trial }

// ID returns the trial's id.
func (t *Trial) ID() string { return t.record.ID }

// Begun reports whether anything of the trial is on disk.
func (t *Trial) Begun() bool { return t.journal != nil }

// begin puts the first bytes of the trial on disk, unless they are there.
func (t *Trial) begin(head string) (err error) {
	if t.journal == nil {
		t.journal, err = journal.Create(t.store, t.name, head)
	}
	return err
}

// text is all that is on disk, or will be first.
func (t *Trial) text() string {
	if t.journal == nil {
		return t.head
	}
	return t.journal.Text()
}

// Close gives the trial free for another window.
func (t *Trial) Close() error {
	if t.journal == nil {
		return nil
	}
	return t.journal.Close()
}

// ReplaceJob writes the job anew. Only before the first entry.
func (t *Trial) ReplaceJob(r Record) error {
	r.Format, r.ID, r.Started = Format, t.record.ID, t.record.Started
	r.Policy, r.Checks = t.record.Policy, t.record.Checks
	r.People.Trainee = r.People.Trainee || t.trainee
	text, err := r.headText()
	if err != nil {
		return err
	}
	next, err := Parse(t.store.Where(t.name), []byte(text))
	if err != nil {
		return err
	}
	before, err := t.find(next)
	if err != nil {
		return err
	}
	if t.journal != nil {
		err = t.journal.ReplaceHead(text)
	} else {
		err = t.begin(text)
	}
	if err != nil {
		return err
	}
	t.before = before
	return t.take(next)
}

// Append writes entries in order, each on disk before the next. An entry that
// would make the record unreadable is refused before anything is written.
//
// What one press writes has one time, and another press another one, so that taking it back can
// tell what went together.
func (t *Trial) Append(entries ...Entry) error {
	at := t.now().Truncate(time.Second)
	if last := t.lastTime(); !last.IsZero() && at.Equal(last.Truncate(time.Second)) {
		at = last.Add(time.Millisecond)
	}
	for _, e := range entries {
		if err := t.append(e, at); err != nil {
			return err
		}
	}
	return nil
}

// lastTime is that of the last entry.
func (t *Trial) lastTime() time.Time {
	if n := len(t.trial.Entries); n > 0 {
		return t.trial.Entries[n-1].When()
	}
	return time.Time{}
}

func (t *Trial) append(e Entry, at time.Time) error {
	block, err := entryText[Entries](e, t.trial.LastNumber()+1, at)
	if err != nil {
		return err
	}
	next, err := Parse(t.store.Where(t.name), []byte(journal.WithLineEnd(t.text())+block))
	if err != nil {
		return fmt.Errorf("not written: %w", err)
	}
	if after, err := next.Trial(); err == nil && t.trial.Advisable() == nil && after.Advisable() != nil {
		return fmt.Errorf("not written, for the trial could not go on: %w", after.Advisable())
	}
	if err := t.begin(t.head); err != nil {
		return err
	}
	if err := t.journal.Append(block); err != nil {
		return err
	}
	return t.take(next)
}

// ByTrainee leads what is left of the trial as one of a trainee, whoever began it and whatever
// the job says. A head that is on disk stays as it is; the profile says it.
func (t *Trial) ByTrainee() error {
	t.trainee = true
	if t.journal == nil {
		job := *t.record
		job.People.Trainee = true
		head, err := job.headText()
		if err != nil {
			return err
		}
		t.head = head
	}
	return t.take(t.record)
}

func (t *Trial) take(r *Record) error {
	if t.trainee {
		led := *r
		led.People.Trainee = true
		r = &led
	}
	s, err := r.Trial()
	if err != nil {
		return err
	}
	if t.before != nil {
		if after, err := s.After(*t.before); err == nil { // else it is told with the advice
			s = after
		}
	}
	t.record, t.trial = r, s
	return nil
}

// headText is the record without entries, as a trial's file begins.
func (r Record) headText() (string, error) {
	r.Answers, r.Attempts, r.Undos, r.Changes, r.Setting = nil, nil, nil, nil, nil
	return r.Text()
}

// InForce reports whether a value is the one in force, later changes and all, and not only the
// same text, under a key that a check fills. The error says what is wrong with the value.
func (r Record) InForce(key, text string) (bool, error) {
	now, _, err := r.current()
	if err != nil {
		return false, err
	}
	next, err := now.With(key, text)
	if err != nil {
		return false, err
	}
	a, err1 := now.Trial()
	b, err2 := next.Trial()
	if err1 != nil || err2 != nil {
		return false, errors.Join(err1, err2)
	}
	switch key {
	case "conditions.cable_temperature":
		return a.Conditions.CableTemperature == b.Conditions.CableTemperature, nil
	case "conditions.stub_temperature":
		return a.Conditions.StubTemperature == b.Conditions.StubTemperature, nil
	case "conditions.air_temperature":
		return a.Conditions.AirTemperature == b.Conditions.AirTemperature, nil
	}
	return false, nil
}
