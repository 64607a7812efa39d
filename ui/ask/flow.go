// Package ask knows what is asked, in which order, and what an answer does.
//
// It stands once, in [Flow] for a trial and in a flow of its own for routes, runs, reviews
// and practice: pure values that ask a [Question] and turn a choice into an [Effect]. What
// shows a question, on screens or line by line, only hands the effect to a [Keeper], so
// that neither can drift from the other. Nothing is shown as done before its effect is on
// disk.
package ask

import (
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"
)

// Flow is where the crew stands: the record, and the few answers of the present
// push that are not yet written. Methods that answer return the next Flow.
type Flow struct {
	Trial   session.Trial
	Record  profiles.Record
	Outlook session.Outlook    // on the trial; computed once per entry
	Earlier []session.Happened // the trial before it on the same set-up
	Cover   *show.Cover        // whether a profile covers this job; nil while that cannot be said
	Checked *profiles.Record   // the profile a short check is of; nil when it is not here
	Limits  *profiles.CoverLimits
	Now     time.Time
	Metric  bool // what is offered until the job tells the crew's units
	Cards   profiles.Cards

	site        site // of a practice trial; nil in a real one
	draft       draft
	readAgainAt time.Time // when the cable was read again at the job stage
	newRig      rigQuestions
	asked       peopleAsked
}

// Trial is a trial being made: what stands so far, and ways to add to it. What
// returns without an error is kept for good. A journal on disk is one; a simulated
// rig can be another.
type Trial interface {
	Record() profiles.Record
	Session() session.Trial
	Append(...profiles.Entry) error
	ReplaceJob(profiles.Record) error
}

// draft is the part of a question that is under way and not yet written. It is
// lost on a restart, and the question is asked again.
type draft struct {
	step    step
	outcome session.Outcome
	turning *bool
	moved   *bool
	lower   *session.Setting // chosen instead of the advised one
	droop   *DroopFlow       // a droop being measured
	pull    *PullTestFlow    // a pull test being made
	key     string           // the job value being edited, the kind of card, or the check asked alone
	page    int              // of the cards
	typed   string           // a name, and the known one
	near    string           // it is near to
}

type step int

const (
	stepFirst step = iota // the stage's own first question
	stepPush
	StepRead
	stepBelts
	stepLine
	stepWitness
	stepUsed
	stepVoid
	stepLower
	stepTemperature
	stepField
	stepFields
	stepCards
	stepGauge   // what the gauge read at the last stall
	stepFalling // a rig whose readings fall as it pushes harder
	stepSkip
	stepOne // one check of a block, alone
	stepStop
	stepCover // the whole cover verdict
	stepTag
	stepDay
)

// See returns the flow over a record as it now stands. It weighs the record anew,
// so call it once per entry.
func (f Flow) See(t Trial) Flow {
	f.Trial, f.Record, f.Outlook = t.Session(), t.Record(), session.Outlook{}
	f.site, _ = t.(site)
	if f.Trial.Advisable() == nil {
		f.Outlook = session.View(f.Trial)
	}
	return f
}

// Question asks what comes next.
func (f Flow) Question() Question {
	if f.site != nil {
		f.Now = f.site.Now()
	}
	stage := f.Trial.Stage(f.Outlook.Next, f.Now, f.Earlier)
	q := f.brokenQuestion()
	if stage <= session.JobStage || stage == session.ClosedStage || f.Outlook.Next != nil {
		q = stages[stage](f)
	}
	if q.Stage = stage; q.ID == "dial" {
		q.Stage = session.ClimbStage // the press for the push answers the checks a slip opened
	}
	if f.site != nil {
		return f.site.ask(f, q)
	}
	return q
}

// brokenQuestion asks what to do with a record whose job no advice can be given on
// any more, such as one in which a needed value was taken away.
func (f Flow) brokenQuestion() Question {
	q := Question{ID: "broken", Title: "This trial cannot go on as it is written"}
	if err := f.Trial.Advisable(); err != nil {
		q.Body = strings.Split(err.Error(), "\n")
	}
	q.Choices = []Choice{{Label: "Take the last entry back", Do: Flow.Undo}, leaving}
	return q
}

var stages = map[session.Stage]func(Flow) Question{}

// The table is filled here because a question's choices lead back to the flow.
func init() {
	stages[session.JobStage] = jobQuestion
	stages[session.CautionStage] = cautionQuestion
	stages[session.CheckStage] = checkQuestion
	stages[session.ClimbStage] = climbQuestion
	stages[session.SettingStage] = settingQuestion
	stages[session.SaveStage] = saveQuestion
	stages[session.CarryStage] = carryQuestion
	stages[session.ClosedStage] = closedQuestion
}

// Undo takes the last standing attempt or answer back, if there is one.
func (f Flow) Undo() (Flow, Effect) {
	dropped := map[int]bool{}
	for i := len(f.Trial.Entries) - 1; i >= 0; i-- {
		switch e := f.Trial.Entries[i].(type) {
		case session.Undo:
			dropped[e.Drops] = true
		default:
			if a, ok := e.(session.Answer); ok && !dropped[a.Seq] && f.stands(a) {
				return f.at(stepFirst), None{}
			}
			if !dropped[e.Number()] {
				return f.at(stepFirst), Append{[]profiles.Entry{profiles.Undo{Drops: e.Number()}}}
			}
		}
	}
	return f.at(stepFirst), None{}
}

// stands reports whether an answer takes no undo: the start, a saved profile, and an end after
// it. A trial stopped or refused goes on when that is taken back, until it is left.
func (f Flow) stands(a session.Answer) bool {
	switch a.Item {
	case session.ItemClosed:
		return a.State == session.TrialClosed
	case session.ItemJob, session.ItemSaved:
		return true
	}
	return false
}

// at returns the flow at a step of the present question, keeping what was read.
func (f Flow) at(s step) Flow {
	if s == stepFirst || s == StepRead {
		f.draft = draft{} // a new reading forgets the one before
	}
	f.draft.step = s
	return f
}

// GoTo is the action of a choice that goes to a step of the present question.
func GoTo(s step) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) { return f.at(s), None{} }
}

// write returns a choice's action that appends entries and starts the next question.
func write(entries ...profiles.Entry) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) { return f.at(stepFirst), Append{entries} }
}

// leaving is the choice to leave, offered wherever a trial can be put aside.
var leaving = Choice{Label: "Leave; it can be resumed", Key: "q", Do: leave, Rank: Global}

func leave(f Flow) (Flow, Effect) { return f.at(stepFirst), Leave{} }

func (f Flow) answer(item, state, value string) profiles.Answer {
	return profiles.Answer{Item: item, State: state, Value: value, By: f.Record.People.Operator}
}
