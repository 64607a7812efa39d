package session

import (
	"time"

	q "brinkmark/session/quantity"
)

// Entry is one thing written down during a trial, in order: an [Answer], an
// [Attempt], an [Undo] or a [Change].
type Entry interface {
	// Number is the entry's place in the record, from 1, across all kinds.
	Number() int
	// When is the time it was written.
	When() time.Time
}

// Mark is what every entry carries.
type Mark struct {
	Seq int
	At  time.Time
}

// Number returns the entry's place in the record.
func (m Mark) Number() int { return m.Seq }

// When returns the time the entry was written.
func (m Mark) When() time.Time { return m.At }

// Answer is a reply to one question: a check, a caution, a step of the flow.
type Answer struct {
	Mark
	Item       string // the question's id
	State      string // what was seen
	Value      string // what was read, as written
	SkipReason string // why it was left out; empty when it was answered
	By         string
}

// Attempt is one push onto the plug.
type Attempt struct {
	Mark
	Setting          Setting
	Outcome          Outcome
	BeltsTurning     q.Maybe[bool]
	LineMoved        q.Maybe[bool]
	StallReading     q.Maybe[q.Reading]
	JacketDamage     bool
	VoidReason       string
	CableTemperature q.Maybe[q.Temperature] // of the cable at this push
	FreshEnd         bool
	CableUsed        q.Length
	Note             string
}

// Undo takes an earlier entry back. The entry stays in the record.
type Undo struct {
	Mark
	Drops int
}

// Change is a later change of a value of the job, with its reason. The trial
// already carries the value; attempts carry the temperature they were made at.
type Change struct {
	Mark
	Key, Value, Reason string
	Corrects           bool // the value before was never so, and the attempts made under it carry this one
}

// undone returns the numbers of the entries that were taken back.
func (t Trial) undone() map[int]bool {
	dropped := map[int]bool{}
	for _, e := range t.Entries {
		if u, ok := e.(Undo); ok {
			dropped[u.Drops] = true
		}
	}
	return dropped
}

func standing[E Entry](t Trial) []E {
	dropped := t.undone()
	var out []E
	for _, e := range t.Entries {
		if v, ok := e.(E); ok && !dropped[v.Number()] {
			out = append(out, v)
		}
	}
	return out
}

// Attempts returns the attempts that stand, in order.
func (t Trial) Attempts() []Attempt { return standing[Attempt](t) }

// Answers returns the answers that stand, in order.
func (t Trial) Answers() []Answer { return standing[Answer](t) }

// Changes returns the changes that stand, in order.
func (t Trial) Changes() []Change { return standing[Change](t) }

// PushedSinceTemperature reports whether a push stands that was made under the cable's temperature
// in force.
func (t Trial) PushedSinceTemperature() bool {
	pushed := false
	dropped := t.undone()
	for _, e := range t.Entries {
		if dropped[e.Number()] {
			continue
		}
		switch e := e.(type) {
		case Attempt:
			pushed = true
		case Change:
			pushed = pushed && (e.Corrects || e.Key != "conditions.cable_temperature")
		}
	}
	return pushed
}

// LastNumber returns the number of the last entry, 0 when there is none.
func (t Trial) LastNumber() int {
	if len(t.Entries) == 0 {
		return 0
	}
	return t.Entries[len(t.Entries)-1].Number()
}

// pushes are the attempts that prove something: all that stand but the voids.
func (t Trial) pushes() []Attempt {
	var out []Attempt
	for _, a := range t.Attempts() {
		if a.Outcome != Void {
			out = append(out, a)
		}
	}
	return out
}

// CableUsed is the cable spent so far, voids included.
func (t Trial) CableUsed() q.Length {
	var sum q.Length
	for _, a := range t.Attempts() {
		sum += a.CableUsed
	}
	return sum
}

// Implied returns the outcome that two observations imply, with the cable end
// resting on the plug before the push, and what to do about it. Plug or stub off
// their witness lines prove nothing, whatever else was seen.
//
//	belts   cable line   outcome
//	stopped held         stall
//	turning held         slip
//	turning moved        fold
//	stopped moved        void: the cable sprang back; bottom it again and repeat
//
// Source: common practice, no source.
func Implied(beltsTurning, lineMoved, witnessLinesHeld bool) (Outcome, string) {
	switch {
	case !witnessLinesHeld:
		return Void, "plug or stub moved: secure it, set the witness lines again and repeat"
	case beltsTurning && lineMoved:
		return Fold, "cable went in with nowhere to go"
	case beltsTurning:
		return Slip, "belts ran over a cable that stood still"
	case lineMoved:
		return Void, "line moved with the belts stopped: the cable sprang back; bottom it again and repeat"
	default:
		return Stall, "the drive gave up and the cable held"
	}
}

// Contradicts says how an attempt's outcome disagrees with the two observations
// recorded with it, or returns "". The outcome is what counts; a reader must know.
func (a Attempt) Contradicts() string {
	turning, known1 := a.BeltsTurning.Get()
	moved, known2 := a.LineMoved.Get()
	if !known1 || !known2 || a.Outcome == Void {
		return ""
	}
	implied, why := Implied(turning, moved, true)
	if implied == a.Outcome {
		return ""
	}
	return "written down as " + a.Outcome.String() + ", but the belts and the cable line say " + implied.String() + ": " + why
}
