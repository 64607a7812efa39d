package session

import (
	"slices"
	"time"
)

// Check is one thing to look at before a push, or before the run: what is asked,
// why it matters, how one knows it is right, and what happens if it is not. It is
// answered by a state or by a value, never by a tick.
type Check struct {
	ID    string // kept in the record
	Block Block
	Ask   string // read aloud

	// States are the answers offered; the first RightStates of them are right.
	// A check without states is answered by its value alone. Where a check has
	// both, the state decides and the value may be left out.
	States      []string
	RightStates int
	Asks        Asked  // the value wanted, if any
	Key         string // the record key the value fills, such as "rig.gap"

	Why, How, Wrong string // a line each
	Teach           string // more, for a trainee

	Hands      bool // a hand goes to belts, lead-in piece, gap or stub: stopped and isolated first
	Alone      bool // never confirmed together with others
	Killer     bool // nothing moves while it is open, and it cannot be skipped
	Perishable bool // asked again after a pause, as every killer is
	PerSetup   bool // one answer holds for every trial on the same rig, reel and stub
	After      []Event

	Since string // the check table that has it first; empty: the first of all
}

// Block is a group of checks answered in one go, standing in one place.
type Block int

// The blocks, in the order they are asked.
const (
	SafeToPush Block = iota + 1
	AtReel
	AtDrive
	AtGauges // with the drive running
	AtStub
	AtLines
	OncePerSetup
	StubOff
	AirNext
	DuctProof // these two are of a run
	AtArrival
	AfterAFold // these three come up in the course of a trial
	AfterASlip
	OnLeaving
)

var blockNames = []string{"", "safe to push", "at the reel", "at the drive", "at the gauges", "at the stub", "at the lines", "once for this set-up", "stub off", "before any air", "the duct", "at arrival", "after a fold", "after a slip", "made safe"}

func (b Block) String() string { s, _ := enumText(b, blockNames); return s }

// Asked is the kind of value a check wants; zero is none.
type Asked int

// The kinds of value.
const (
	AskLength Asked = iota + 1
	AskPressure
	AskTemperature
	AskReading // of the push control, in its own unit
	AskText
)

// Event is something in the course of a trial that undoes what a check found.
type Event int

// The events.
const (
	FoldSeen Event = iota + 1
	BeltsWiped
	FreshEndCut
	StubChanged
	PlugMoved // or the stub: a witness line is off
	SupplyFell
	TemperatureChanged
	RunStopped
	DuctHeld // a pressure, shut in, for its test
)

// Happened is one entry of a trial as the checks see it: a reply, an event, both
// or neither. One that is neither still shows that the crew was at work.
type Happened struct {
	At    time.Time
	Event Event

	Check, State, Value string // the reply
	Skipped             bool   // left out, with a reason that the record keeps
}

// CheckLog is what is known when the open checks are asked for.
type CheckLog struct {
	Past    []Happened // this trial, in the order of the record
	Earlier []Happened // the trial before it on the same rig, reel and stub
	Filled  []string   // record keys the job stage has filled: they need no asking
	Trainee bool       // a trainee answers everything, whatever was found earlier
}

// LongPause is how long the crew may be idle before the killers, and whatever
// spoils by itself, are asked again. Source: derived here, no published figure.
const LongPause = 10 * time.Minute

// Checks returns the set-up checks in the order they are asked.
func Checks() []Check { return clone(setupChecks) }

// CheckByID returns the check of that id, of whatever part of a trial.
func CheckByID(id string) (Check, bool) {
	for _, table := range checkTables {
		if i := slices.IndexFunc(table, func(c Check) bool { return c.ID == id }); i >= 0 {
			return table[i].clone(), true
		}
	}
	return Check{}, false
}

// DueChecks returns the set-up checks that are open at now, in the order to ask
// them. A check is open until its last reply is right, and again
//
//   - after a [LongPause], if it is a killer or perishable;
//   - after an event it names.
//
// Later means later in the record, not on the clock: a clock that was put back
// counts as a pause, because nobody can say how long it was.
//
// A check that was skipped stays closed for the rest of the trial; a killer
// cannot be skipped.
//
// Guards that were off for the hands at the belts come after the checks that need those
// hands, and before the drive is run.
func DueChecks(log CheckLog, now time.Time) []Check { return guardsLast(DueOf(setupChecks, log, now)) }

func guardsLast(open []Check) []Check {
	at := func(id string) int { return slices.IndexFunc(open, func(c Check) bool { return c.ID == id }) }
	from, last := at(CheckGuards), -1
	for i, c := range open {
		if c.Hands {
			last = i
		}
	}
	if from < 0 || last < from || at(CheckStop) >= 0 { // to try the stop control the drive is run next
		return open
	}
	guards := open[from]
	return slices.Insert(slices.Delete(open, from, from+1), last, guards)
}

// DueCarryOver returns the steps open between the trial and the run, by the same
// rules.
func DueCarryOver(log CheckLog, now time.Time) []Check { return DueOf(carryChecks, log, now) }

// Carries reports whether the check belongs between the trial and the run.
func (c Check) Carries() bool { return c.Block == StubOff || c.Block == AirNext }

// Right reports whether a reply closes the check.
func (c Check) Right(state, value string) bool {
	if len(c.States) == 0 {
		return value != ""
	}
	return slices.Contains(c.States[:c.RightStates], state)
}

// DueOf returns the open ones of a table of checks, by the rules of [DueChecks].
func DueOf(table []Check, log CheckLog, now time.Time) []Check {
	var open []Check
	for _, c := range table {
		if c.open(log, now) {
			open = append(open, c.clone())
		}
	}
	return open
}

func (c Check) open(log CheckLog, now time.Time) bool {
	last := c.lastReply(log.Past)
	switch {
	case last < 0 && !c.settledBefore(log):
		return true
	case last >= 0 && log.Past[last].Skipped:
		return c.Killer
	case last >= 0 && !c.Right(log.Past[last].State, log.Past[last].Value):
		return true
	}
	return c.touched(log.Past[last+1:]) ||
		(c.Killer || c.Perishable) && paused(log.Past[max(last, 0):], now)
}

// lastReply returns the place of the check's last reply, or -1.
func (c Check) lastReply(past []Happened) int {
	for i := len(past) - 1; i >= 0; i-- {
		if past[i].Check == c.ID {
			return i
		}
	}
	return -1
}

// settledBefore reports whether the check needs no reply in this trial, unless
// something happens.
func (c Check) settledBefore(log CheckLog) bool {
	if c.Key != "" && slices.Contains(log.Filled, c.Key) {
		return true
	}
	if !c.PerSetup || log.Trainee {
		return false
	}
	last := c.lastReply(log.Earlier)
	if last < 0 || log.Earlier[last].Skipped {
		return false
	}
	reply := log.Earlier[last]
	return c.Right(reply.State, reply.Value) && !c.touched(log.Earlier[last+1:])
}

func (c Check) touched(later []Happened) bool {
	return slices.ContainsFunc(later, func(h Happened) bool { return slices.Contains(c.After, h.Event) })
}

// paused reports whether the crew was idle for more than a [LongPause] from the
// first of these until now.
func paused(past []Happened, now time.Time) bool {
	for i, h := range past {
		next := now
		if i+1 < len(past) {
			next = past[i+1].At
		}
		if idle := next.Sub(h.At); idle < -time.Second || idle > LongPause { // records have their times to the second
			return true
		}
	}
	return false
}

func clone(table []Check) []Check {
	out := make([]Check, len(table))
	for i, c := range table {
		out[i] = c.clone()
	}
	return out
}

func (c Check) clone() Check {
	c.States, c.After = slices.Clone(c.States), slices.Clone(c.After)
	return c
}
