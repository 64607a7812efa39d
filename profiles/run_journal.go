package profiles

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"time"

	"brinkmark/profiles/journal"
	"brinkmark/session"
	"brinkmark/session/run"
)

// Run is a run's record on disk. What [Run.Append] has acknowledged survives a crash; what it
// has not is never half there. It is not safe for use by several goroutines at once.
type Run struct {
	journal *journal.Journal
	record  *RunRecord
	engine  run.Run
	model   *run.Model
	now     func() time.Time
}

// Record returns the record as it stands in the file.
func (r *Run) Record() RunRecord {
	record := *r.record
	record.RunEntries = record.clipped()
	return record
}

// Engine returns the record as the engine sees it.
func (r *Run) Engine() run.Run {
	engine := r.engine
	engine.Entries = slices.Clip(engine.Entries)
	return engine
}

// ID returns the run's id.
func (r *Run) ID() string { return r.record.ID }

// Close gives the run free for another window.
func (r *Run) Close() error { return r.journal.Close() }

// ByTrainee leads what is left of the run as one of a trainee, whoever began it.
func (r *Run) ByTrainee() {
	led := *r.record
	led.People.Trainee = true
	r.record, r.engine.People.Trainee = &led, true
}

// View derives what is shown of the run now.
func (r *Run) View() run.View { return r.model.View(r.engine, r.now()) }

// Next works out the reach anew from what the run has shown. It takes a tenth of a second,
// and draws its samples from the run's id and length, so that the same record gives the same.
func (r *Run) Next() run.Forecast {
	seed := uint64(0)
	for _, c := range r.record.ID {
		seed = seed*31 + uint64(c)
	}
	return r.model.Forecast(r.View(), rand.New(rand.NewPCG(seed, uint64(r.engine.LastNumber()))))
}

// ReplaceHead writes the plan anew. Only before the first entry.
func (r *Run) ReplaceHead(head RunRecord) error {
	head.Format, head.Kind, head.ID, head.Of, head.Started = Format, runKind, r.record.ID, r.record.Of, r.record.Started
	head.RunEntries = RunEntries{}
	text, err := encode(head)
	if err != nil {
		return err
	}
	record, engine, err := parseRun(r.journal.Where(), []byte(text))
	if err != nil {
		return fmt.Errorf("not written: %w", err)
	}
	if err := r.journal.ReplaceHead(text); err != nil {
		return err
	}
	r.record, r.engine, r.model = record, engine, run.NewModel(engine.Plan)
	return nil
}

// Append writes entries in order, each on disk before the next. An entry that may not follow
// is refused before anything is written, with the reason: see [run.Run.Refuses].
func (r *Run) Append(entries ...RunEntry) error {
	for _, e := range entries {
		if err := r.append(e); err != nil {
			return err
		}
	}
	return nil
}

// TakeBack takes an entry back. It stays in the file.
func (r *Run) TakeBack(seq int) error { return r.Append(Undo{Drops: seq}) }

// append reads nothing but the new entry: what is before it was read when it was written.
func (r *Run) append(e RunEntry) error {
	block, err := entryText[RunEntries](e, r.engine.LastNumber()+1, r.now().Truncate(time.Second))
	if err != nil {
		return err
	}
	entry, read, err := r.read(block)
	if err != nil {
		return fmt.Errorf("not written: %w", err)
	}
	if err := r.engine.Refuses(entry); err != nil {
		return fmt.Errorf("not written: %w", err)
	}
	if err := r.journal.Append(block); err != nil {
		return err
	}
	r.record.RunEntries = r.record.with(read)
	r.engine.Entries = append(r.engine.Entries, entry)
	r.retold()
	return nil
}

// retold tells the run in other units, once an entry says which.
func (r *Run) retold() {
	if units := r.record.units(r.record.reachFile("", nil)); units != r.engine.Plan.Units {
		r.engine.Plan.Units = units
		r.model = run.NewModel(r.engine.Plan)
	}
}

// read reads the text of one entry as strictly as a whole record, as the next of this one.
func (r *Run) read(block string) (session.Entry, RunEntries, error) {
	const where = "this entry"
	var one RunEntries
	if _, err := decode(where, []byte(block), &one); err != nil {
		return nil, one, err
	}
	parts := partsOf(&one)
	if len(parts) != 1 {
		return nil, one, errors.New("an entry is one table")
	}
	reader := r.record.reader()
	reader.key, reader.seq = parts[0].key, *parts[0].seq
	entry, err := parts[0].entry.(RunEntry).engine(reader)
	if err == nil && len(one.Undos) == 1 {
		err = r.undoable(one.Undos[0])
	}
	return entry, one, placed(err, where, []byte(block))
}

// undoable refuses an undo of what is not there, or of another undo.
func (r *Run) undoable(u Undo) error {
	i := slices.IndexFunc(r.engine.Entries, func(e session.Entry) bool { return e.Number() == u.Drops })
	if i < 0 {
		return checkOrder([]part{{"undo[0]", &u.Seq, &u}})
	}
	_, undo := r.engine.Entries[i].(session.Undo)
	if undo {
		return &entryError{"undo[0].drops", fmt.Sprintf("%d is an undo, which stays", u.Drops), "write down anew what was taken back"}
	}
	return nil
}

// with returns the entries with one more. Whoever was handed the ones before does not see it.
func (e RunEntries) with(one RunEntries) RunEntries {
	all, more := reflect.ValueOf(&e).Elem(), reflect.ValueOf(one)
	for i := range all.NumField() {
		all.Field(i).Set(reflect.AppendSlice(all.Field(i), more.Field(i)))
	}
	return e
}

// clipped returns the entries so that appending to them writes to nothing of ours.
func (e RunEntries) clipped() RunEntries {
	all := reflect.ValueOf(&e).Elem()
	for i := range all.NumField() {
		list := all.Field(i)
		list.Set(list.Slice3(0, list.Len(), list.Len()))
	}
	return e
}
