package ask

import (
	"errors"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/lessons"
	"brinkmark/session"
	"brinkmark/session/practice"
)

// practiceRecord is the record of a trial that is kept nowhere else.
type practiceRecord struct {
	record profiles.Record
	trial  session.Trial
}

// Record returns the record so far.
func (m *practiceRecord) Record() profiles.Record { return m.record }

// Session returns the record as the engine sees it.
func (m *practiceRecord) Session() session.Trial { return m.trial }

// ReplaceJob takes another job; the rig of a lesson stays what it is.
func (m *practiceRecord) ReplaceJob(r profiles.Record) error { return m.take(r) }

// take reads a record as it would be read from a file.
func (m *practiceRecord) take(r profiles.Record) error {
	text, err := r.Text()
	if err != nil {
		return err
	}
	back, err := profiles.Parse("practice", []byte(text))
	if err != nil {
		return err
	}
	trial, err := back.Trial()
	if err == nil {
		m.record, m.trial = *back, trial
	}
	return err
}

// PracticeTrial is a trial on a simulated rig: what is written goes to the bench as
// well. To the flow it is a trial like any other.
type PracticeTrial struct {
	practiceRecord
	Bench  *practice.Bench
	lesson lessons.Lesson
	clock  func() time.Time
	open   []session.Check // when the last push was made
	acted  int             // pushes after which it was said what was done first
	told   int             // pushes the truth of which was told
	shown  int             // pushes after which a misreading was shown beside what is right
	note   []string        // what to say of its rig before it begins
	end    ending
}

// NewPracticeTrial sets up a lesson's rig of a seed.
func NewPracticeTrial(l lessons.Lesson, seed uint64, clock func() time.Time) (*PracticeTrial, error) {
	bench, err := practice.NewBench(l.Lesson, seed)
	if err != nil {
		return nil, err
	}
	p := &PracticeTrial{Bench: bench, lesson: l, clock: clock}
	job := l.Record
	job.Started = clock()
	return p, p.take(job)
}

// Now is the time on the practice site: later than here once a lesson's pause is over.
func (p *PracticeTrial) Now() time.Time {
	pause := p.lesson.Pause
	if pause.After > 0 && len(p.Bench.Verdicts()) >= pause.After {
		return p.clock().Add(pause.Lasts)
	}
	return p.clock()
}

// Watch makes the push at a setting, for the picture to show.
func (p *PracticeTrial) Watch(at session.Setting) (*practice.Push, error) {
	open := p.trial.DueChecks(p.Now(), nil)
	push, err := p.Bench.Push(at)
	if err == nil {
		p.open = open
	}
	return push, err
}

// Look says what one sees who looks at what a check is about; "" when nothing is wrong.
func (p *PracticeTrial) Look(check string) string {
	seen, _ := p.Bench.Look(check)
	return seen
}

// Do passes an act on to the rig.
func (p *PracticeTrial) Do(a practice.Act) { p.Bench.Do(a) }

// Told is the judgement of the last push that was read.
func (p *PracticeTrial) Told() (practice.Verdict, bool) {
	v := p.Bench.Verdicts()
	if len(v) == 0 {
		return practice.Verdict{}, false
	}
	return v[len(v)-1], true
}

// Append writes entries, and does on the rig what they say was done. A push written
// down that was not watched is made now.
func (p *PracticeTrial) Append(entries ...profiles.Entry) error {
	if p.over() {
		return errors.New("this lesson is over\n  take it again: the same seed gives the same rig")
	}
	at := p.Now() // one for all that a press writes
	for _, e := range entries {
		if err := p.take(p.with(e, at)); err != nil {
			return err
		}
		written := p.trial.Entries
		switch last := written[len(written)-1].(type) {
		case session.Answer:
			p.Bench.Answer(last)
		case session.Attempt:
			if err := p.read(last); err != nil {
				return err
			}
		}
	}
	if !p.over() {
		return nil
	}
	r, err := p.Bench.Review(p.trial)
	if err == nil {
		p.end.close(r)
	}
	return err
}

// over reports whether the trial has ended, with a setting or without.
func (p *PracticeTrial) over() bool { return p.trial.Closed() }

func (p *PracticeTrial) read(a session.Attempt) error {
	if !p.Bench.Waiting() && len(p.trial.Attempts()) > p.Bench.Made() {
		if _, err := p.Watch(a.Setting); err != nil {
			return err
		}
	}
	_, err := p.Bench.Read(a, p.open)
	return err
}

// with is the record with one entry more.
func (p *PracticeTrial) with(e profiles.Entry, at time.Time) profiles.Record {
	r, seq := p.record, p.trial.LastNumber()+1
	switch e := e.(type) {
	case profiles.Answer:
		e.Seq, e.At = seq, at
		r.Answers = append(r.Answers[:len(r.Answers):len(r.Answers)], e)
	case profiles.Attempt:
		e.Seq, e.At = seq, at
		r.Attempts = append(r.Attempts[:len(r.Attempts):len(r.Attempts)], e)
	case profiles.Undo:
		e.Seq, e.At = seq, at
		r.Undos = append(r.Undos[:len(r.Undos):len(r.Undos)], e)
	case profiles.Change:
		e.Seq, e.At = seq, at
		r.Changes = append(r.Changes[:len(r.Changes):len(r.Changes)], e)
	}
	return r
}

var _ Trial = (*PracticeTrial)(nil)
