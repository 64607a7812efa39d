package run

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"brinkmark/session"
)

// Stage is where in a run the crew stands.
type Stage int

// The stages, in order; a run goes to and fro between running and stopped.
const (
	ProveStage  Stage = iota + 1 // prove the duct
	AirStage                     // checks and read-back before any air
	RunStage                     // the cable moves
	StopStage                    // it is at rest
	ArriveStage                  // the pushing is over: make safe, hand over
	ClosedStage                  // nothing left to do
)

var stageNames = []string{"", "prove the duct", "before air", "running", "stopped", "arrival", "closed"}

func (s Stage) String() string { return stageNames[s] }

// What is a kind of entry.
type What int

// The kinds of entries.
const (
	AnswerEntry What = iota + 1
	ProvingEntry
	DialledEntry
	StartEntry
	PointEntry
	StopEntry
	RestartEntry
	EndEntry
	ClosingEntry
	DuctProvedEntry // the answer that ends proving the duct
	ClosedEntry     // the answer that closes the run
)

var whatNames = []string{"", "an answer", "a proving sheet", "a read-back", "a start", "a point of the log", "a stop", "a restart", "an end", "what was found at the end", "the duct proved", "the run closed"}

func (w What) String() string { return whatNames[w] }

// The items of answers that move a run from stage to stage.
const (
	ItemProved = "duct-proved" // state DuctProved, or left out with a reason
	ItemClosed = "run-closed"  // state RunClosed

	DuctProved = "proved"
	RunClosed  = "finished"
)

// follows is all that may follow in each stage, and the stage it leads to.
var follows = map[Stage]map[What]Stage{
	ProveStage:  {AnswerEntry: ProveStage, ProvingEntry: ProveStage, DuctProvedEntry: AirStage, EndEntry: ArriveStage},
	AirStage:    {AnswerEntry: AirStage, ProvingEntry: AirStage, DialledEntry: AirStage, StartEntry: RunStage, EndEntry: ArriveStage},
	RunStage:    {AnswerEntry: RunStage, PointEntry: RunStage, StopEntry: StopStage, EndEntry: ArriveStage},
	StopStage:   {AnswerEntry: StopStage, DialledEntry: StopStage, PointEntry: StopStage, RestartEntry: RunStage, EndEntry: ArriveStage},
	ArriveStage: {AnswerEntry: ArriveStage, ClosingEntry: ArriveStage, ClosedEntry: ClosedStage},
	ClosedStage: {},
}

// what is the kind of an entry.
func what(e session.Entry) What {
	switch e := e.(type) {
	case session.Answer:
		switch e.Item {
		case ItemProved:
			return DuctProvedEntry
		case ItemClosed:
			return ClosedEntry
		}
		return AnswerEntry
	case Proving:
		return ProvingEntry
	case Dialled:
		return DialledEntry
	case Start:
		return StartEntry
	case Point:
		return PointEntry
	case Stop:
		return StopEntry
	case Restart:
		return RestartEntry
	case End:
		return EndEntry
	case Closing:
		return ClosingEntry
	}
	return 0
}

// may are the kinds that may follow in a stage, in their order.
func (s Stage) may() []What {
	var kinds []What
	for w := AnswerEntry; w <= ClosedEntry; w++ {
		if _, ok := follows[s][w]; ok {
			kinds = append(kinds, w)
		}
	}
	return kinds
}

// OrderError says that an entry of a record stands where it cannot.
type OrderError struct {
	Seq   int
	Kind  What
	Stage Stage
}

func (e *OrderError) Error() string {
	return fmt.Sprintf("%s cannot be written at this step, %s", e.Kind, e.Stage)
}

// Stage derives where the run stands. Its error is an [OrderError].
func (r Run) Stage() (Stage, error) {
	stage := ProveStage
	for _, e := range r.standing() {
		next, ok := follows[stage][what(e)]
		if !ok {
			return stage, &OrderError{e.Number(), what(e), stage}
		}
		stage = next
	}
	return stage, nil
}

// Closed reports whether nothing is left to do on the run.
func (r Run) Closed() bool {
	stage, _ := r.Stage()
	return stage == ClosedStage
}

// Refuses says why an entry may not follow now, in the crew's words, or returns nil. What an
// answer needs is judged at the entry's own time.
func (r Run) Refuses(e session.Entry) error {
	stage, err := r.Stage()
	if err != nil {
		return err
	}
	if undo, ok := e.(session.Undo); ok {
		return r.refusesUndo(stage, undo)
	}
	if _, ok := follows[stage][what(e)]; !ok {
		return &OrderError{e.Number(), what(e), stage}
	}
	switch e := e.(type) {
	case session.Answer:
		return r.refusesAnswer(stage, e)
	case Start, Restart:
		return cmp.Or(r.MayGoOn(), notYet(r.openKillers(e.When()), r.missing(stage)))
	case Dialled:
		return r.Plan.refusesAbove(r.ReadBack(e))
	case Point:
		return r.refusesPoint(e)
	case Stop:
		if strings.TrimSpace(e.Reason) == "" {
			return errors.New("a stop needs its reason\n  say why the cable stands")
		}
	case End:
		if !e.Arrived && strings.TrimSpace(e.Reason) == "" {
			return errors.New("to give a run up needs a reason\n  say why it ends here")
		}
	}
	return nil
}

// MayGoOn says why the cable may not be pushed with this profile, whatever else is open, or
// returns nil. A fold, a marked jacket, or cable too warm for all that was tried, no name and no
// reason mends; nor a restart that an older record has.
func (r Run) MayGoOn() error {
	c := r.course()
	if folded, damaged := c.hurt(); folded || damaged {
		says := "the cable folded: it is not pushed any more"
		if !folded {
			says = "the jacket was marked: the cable is not pushed any more"
		}
		return errors.New(says + "\n  end the run here; a new trial is due before any further push")
	}
	_, warmth := c.allowed()
	if warmth == Ended {
		return errors.New(endedSays(c.plan.Ended) + "\n  end the run here; a new trial is due before any further push")
	}
	if warmth == TooCold {
		return fmt.Errorf("cable and air at %s are colder than a short check could carry the setting\n  read the temperatures again when it is warmer; or end the run here: a new trial is due", c.plan.temperature(warmer(c.now.Cable, c.now.Inlet)))
	}
	if warmth == TooWarm {
		return fmt.Errorf("cable or air at %s is warmer than any setting of this profile covers\n  read the temperatures again when it is cooler; or end the run here: a new trial is due", c.plan.temperature(warmer(c.now.Cable, c.now.Inlet)))
	}
	return nil
}

func (r Run) refusesUndo(stage Stage, undo session.Undo) error {
	if stage == ClosedStage {
		return errors.New("the run is closed: nothing of it is taken back\n  a supervisor's note goes into the review")
	}
	if _, err := r.with(undo).Stage(); err != nil || r.restsOn(undo) {
		return fmt.Errorf("entry %d cannot be taken back: later entries rest on it\n  take back the later ones first", undo.Drops)
	}
	return nil
}

// with is the record with one entry more.
func (r Run) with(e session.Entry) Run {
	r.Entries = append(slices.Clip(r.Entries), e)
	return r
}

// restsOn reports whether a later step that stands would have been refused without the entry
// that is to be taken back: what moves was allowed to move by it.
func (r Run) restsOn(undo session.Undo) bool {
	dropped, before := r.dropped(), r
	for i, e := range r.Entries {
		switch what(e) {
		case DuctProvedEntry, StartEntry, RestartEntry:
		default:
			continue
		}
		before.Entries = r.Entries[:i]
		if e.Number() > undo.Drops && !dropped[e.Number()] && before.Refuses(e) == nil && before.with(undo).Refuses(e) != nil {
			return true
		}
	}
	return false
}

func (r Run) refusesAnswer(stage Stage, a session.Answer) error {
	if c, known := CheckByID(a.Item); known && c.Killer && a.SkipReason != "" {
		return fmt.Errorf("%s: this check cannot be left out\n  nothing moves until it is right", a.Item)
	}
	switch what(a) {
	case DuctProvedEntry:
		if a.SkipReason != "" {
			return notYet(r.openKillers(a.At), nil)
		}
		return notYet(r.openKillers(a.At), r.missing(stage))
	case ClosedEntry:
		return notYet(r.openKillers(a.At), r.missing(stage))
	}
	return nil
}

// openKillers are the checks that forbid to go on at a time.
func (r Run) openKillers(at time.Time) []string {
	var open []string
	for _, c := range r.Due(at) {
		if c.Killer {
			open = append(open, c.Ask)
		}
	}
	return open
}

func notYet(killers, missing []string) error {
	open := append(append([]string{}, killers...), missing...)
	if len(open) == 0 {
		return nil
	}
	return fmt.Errorf("not yet, still open: %s\n  nothing moves until this is right", strings.Join(open, "; "))
}

// OpenKillers are the ids of the checks that were open when something moved all the same, or
// the run was closed. A record the program wrote has none.
func (r Run) OpenKillers() []string {
	var open []string
	before := r
	for i, e := range r.Entries {
		switch what(e) {
		case StartEntry, RestartEntry, ClosedEntry:
		default:
			continue
		}
		before.Entries = r.Entries[:i]
		for _, c := range before.Due(e.When()) {
			if c.Killer && !slices.Contains(open, c.ID) {
				open = append(open, c.ID)
			}
		}
	}
	return open
}

// LeftOut are the checks and steps that were left out, with their reasons.
func (r Run) LeftOut() []string {
	var out []string
	for _, e := range r.standing() {
		if a, ok := e.(session.Answer); ok && a.SkipReason != "" {
			out = append(out, a.Item+" ("+a.SkipReason+")")
		}
	}
	return out
}
