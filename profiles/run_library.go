package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"sort"
	"strings"
	"time"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/problem"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// MayRun is what a run may be begun with by a profile, or the error says why none may: before
// anything is asked for it.
func (l *Library) MayRun(profile string) (Promise, error) {
	p, err := l.Promised(profile)
	if err == nil && len(p.Why) > 0 {
		err = p.refusal()
	}
	return p, err
}

// NewRun begins a run with a profile. Its first bytes are on disk when it returns. Whether the
// profile holds today is for [Library.Cover] to say, and for the crew to have read.
func (l *Library) NewRun(plan RunPlan) (*Run, error) {
	head, err := l.runHead(plan)
	if err != nil {
		return nil, err
	}
	last := ""
	ids, err := l.recordIDs("runs")
	if err != nil {
		return nil, err
	}
	if len(ids) > 0 {
		last = ids[0]
	}
	if head.ID, err = NewID(l.now(), l.entropy, last); err != nil {
		return nil, err
	}
	head.Started = l.now().Truncate(time.Second)
	text, err := encode(head)
	if err != nil {
		return nil, err
	}
	name := runName(head.ID)
	record, engine, err := parseRun(l.store.Where(name), []byte(text))
	if err != nil {
		return nil, fmt.Errorf("not written: %w", err)
	}
	kept, err := journal.Create(l.store, name, text)
	if err != nil {
		return nil, err
	}
	return &Run{kept, record, engine, run.NewModel(engine.Plan), l.now}, nil
}

// OpenRun opens a run to go on with it. A torn end is set aside and told.
func (l *Library) OpenRun(id string) (*Run, journal.Recovery, error) {
	if !ValidID(id) {
		return nil, journal.Recovery{}, fmt.Errorf("%q is no run id\n  ids are 26 capital letters and digits", problem.ShownText(id))
	}
	kept, recovery, err := journal.Open(l.store, runName(id))
	if err != nil {
		return nil, recovery, err
	}
	record, engine, err := parseRun(kept.Where(), []byte(kept.Text()))
	if err != nil {
		return nil, recovery, errors.Join(err, kept.Close())
	}
	engine.Plan = l.tightened(engine)
	return &Run{kept, record, engine, run.NewModel(engine.Plan), l.now}, recovery, nil
}

// tightened is a run's plan under what is promised of its profile by now. Of a profile that is
// not here no more is known than when the run began.
func (l *Library) tightened(r run.Run) run.Plan {
	with, err := l.itself(r.Of)
	switch {
	case errors.Is(err, fs.ErrNotExist) || r.Of == "":
		return r.Plan
	case err != nil:
		r.Plan.Ended = err.Error()
		return r.Plan
	}
	promised := with.promiseBy("findings") // no clock ends what is under way
	if len(promised.Why) > 0 {
		r.Plan.Ended = strings.Join(promised.Why, " ")
		return r.Plan
	}
	return r.Plan.Tightened(promised.Promise)
}

// RunRecord reads a run's record without locking it or writing anything. Of one that is not
// in the library the error is [fs.ErrNotExist].
func (l *Library) RunRecord(id string) (*RunRecord, error) {
	if !ValidID(id) {
		return nil, fmt.Errorf("%q is no run id\n  ids are 26 capital letters and digits", problem.ShownText(id))
	}
	r, _, err := l.readRun(runName(id))
	if errors.Is(err, fs.ErrNotExist) { // it may have come from another tablet
		r, _, err = l.readRun(received(runName(id)))
	}
	return r, err
}

func (l *Library) readRun(name string) (r *RunRecord, warning string, err error) {
	from, err := l.read(name)
	if err != nil {
		return nil, "", err
	}
	return from.Run()
}

// RunSummary is one run in a list.
type RunSummary struct {
	ID, Of           string
	Path             string
	name             string
	Cable, Duct      string // as written
	Operator, Rig    string
	Job, Site        string
	Began            time.Time
	In               q.Length // how far the head came, as last read
	Overrides, Stops int
	Folded, Damaged  bool
	Closed, Arrived  bool
	Exceptions       []Exception // what the run shows by itself, the worst first
}

// Runs returns the runs of a profile, or of the whole library for "", newest first, and what
// cannot be read.
func (l *Library) Runs(of string) (runs []RunSummary, unreadable []error, err error) {
	x, err := l.OpenIndex(nil)
	if err != nil {
		return nil, nil, err
	}
	for _, r := range x.of("runs") {
		switch {
		case r.problem != nil:
			unreadable = append(unreadable, r.problem)
		case of == "" || r.of == of:
			runs = append(runs, r.run(x.store))
		}
	}
	sort.Slice(runs, func(a, b int) bool { return runs[a].ID > runs[b].ID })
	return runs, unreadable, nil
}

// RunLines are what a hand-over sheet says of the runs made with a profile, newest first.
func (l *Library) RunLines(profile string) ([]string, error) {
	runs, _, err := l.Runs(profile)
	if err != nil {
		return nil, err
	}
	var lines []string
	for _, s := range runs {
		record, _, err := l.readRun(s.name)
		if err != nil {
			lines = append(lines, "Run "+s.ID+" cannot be read.")
			continue
		}
		lines = append(lines, record.Lines(s.Began)...)
	}
	return lines, nil
}
