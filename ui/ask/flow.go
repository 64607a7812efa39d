// Package ask knows what is asked, in which order, and what an answer does.
//
// It stands once, in [Flow] for a trial and in a flow of its own for routes, runs, reviews
// and practice: pure values that ask a [Question] and turn a choice into an [Effect]. What
// shows a question, on screens or line by line, only hands the effect to a [Keeper], so
// that neither can drift from the other. Nothing is shown as done before its effect is on
// disk.
package ask

import (
	"reflect"
	"slices"
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
	Outlook session.Outlook      // on the trial; computed once per entry
	Earlier []session.Happened   // the trial before it on the same set-up
	Cover   *show.Cover          // whether a profile covers this job; nil while that cannot be said
	Checked *profiles.Record     // the profile a short check is of; nil when it is not here
	Library *profiles.Candidates // all that other records say; nil while nothing is promised, and in practice
	Now     time.Time
	Metric  bool // what is offered until the job tells the crew's units
	Cards   profiles.Cards

	site        site // of a practice trial; nil in a real one
	draft       draft
	promises    map[session.Setting]profiles.Promise // see weighed
	offer       session.Setting                      // the setting that may be accepted
	readAgainAt time.Time                            // when the cable was read again at the job stage
	newRig      rigQuestions
	compare     comparedAsked
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
	pushed  *session.Setting // of a push that is read again
	droop   *DroopFlow       // a droop being measured
	pull    *PullTestFlow    // a pull test being made
	key     string           // the job value being edited, the kind of card, or the check asked alone
	page    int              // of the cards
	none    string           // a length of nothing that a fold is said to have cost
	ending  []profiles.Entry // what ends the trial once everything is safe
	safe    int              // the number of the last entry before making safe
	typed   string           // a name, and the known one
	near    string           // it is near to
	odd     *oddValue        // typed, and asked for once more
	was     *wasTemperature  // typed, and not what pushes were made under
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
	stepSafe // everything is made safe before the trial ends
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
	return f.weighed()
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
	if acts, due := f.actsQuestion(stage); due {
		q = acts
	}
	if pushed := f.draft.pushed; pushed != nil {
		if again, reading := f.readingPush(session.Try{Setting: *pushed}); reading {
			q = again
		}
	}
	if f.draft.odd != nil {
		q = f.draft.odd.question()
	}
	if f.draft.was != nil {
		q = f.draft.was.question()
	}
	if q.Stage = stage; q.ID == "dial" {
		q.Stage = session.ClimbStage // the press for the push answers the check a slip opened
	}
	q = f.endsSafely(q)
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
	if f.Trial.Steep() { // begun before a reason was asked for
		q.Enter = &Entering{Label: "Say why it is so steep", Example: "the belts do not close under 12 psi", Take: func(f Flow, text string) (Flow, Effect, error) {
			return f.at(stepFirst), Append{[]profiles.Entry{profiles.Change{Key: "ladder.reason", Value: text, Reason: "asked for before the first push"}}}, nil
		}}
	}
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

// Undo takes back all that the last press wrote, if there is one that can be taken back. A push
// that this press had written anew stands again as it was.
func (f Flow) Undo() (Flow, Effect) {
	if f.draft.odd != nil || f.draft.was != nil || f.draft.step != stepFirst && f.draft.step != StepRead && f.draft.pushed == nil {
		return f.at(stepFirst), None{} // what is under way is not written yet
	}
	var entries []profiles.Entry
	for _, e := range slices.Backward(f.lastPress()) {
		switch e := e.(type) {
		case session.Undo:
			continue
		case session.Answer:
			if f.stands(e) {
				return f.at(stepFirst), None{}
			}
		}
		entries = append(entries, profiles.Undo{Drops: e.Number()})
	}
	if len(entries) == 0 {
		return f.at(stepFirst), None{}
	}
	return f.at(stepFirst), Append{append(entries, f.replaced()...)}
}

// replaced are the pushes that the last press wrote anew, as they were; none where that press
// was itself an undo, which had brought them back.
func (f Flow) replaced() []profiles.Entry {
	var entries []profiles.Entry
	bySeq := map[int]profiles.Attempt{}
	for _, a := range f.Record.Attempts {
		bySeq[a.Seq] = a
	}
	plain := func(a profiles.Attempt) profiles.Attempt {
		a.Seq, a.At = 0, time.Time{}
		return a
	}
	for _, e := range f.lastPress() {
		if a, is := e.(session.Attempt); is {
			for _, earlier := range f.Record.Attempts {
				if earlier.Seq < a.Seq && reflect.DeepEqual(plain(earlier), plain(bySeq[a.Seq])) && f.takenBack(earlier.Seq) {
					return nil
				}
			}
		}
		if undo, is := e.(session.Undo); is {
			if a, was := bySeq[undo.Drops]; was {
				entries = append(entries, a)
			}
		}
	}
	return entries
}

func (f Flow) takenBack(seq int) bool {
	return slices.ContainsFunc(f.Record.Undos, func(u profiles.Undo) bool { return u.Drops == seq })
}

// lastPress are the entries that one press wrote, the last that still stand: they share their
// time. What was taken back is left out.
func (f Flow) lastPress() []session.Entry {
	dropped := map[int]bool{}
	for _, e := range f.Trial.Entries {
		if u, is := e.(session.Undo); is {
			dropped[u.Drops] = true
		}
	}
	var press []session.Entry
	for _, e := range slices.Backward(f.Trial.Entries) {
		_, undo := e.(session.Undo)
		switch {
		case len(press) == 0 && (undo || dropped[e.Number()]):
			continue
		case len(press) > 0 && (press[0].When().IsZero() || !e.When().Equal(press[0].When())):
			return press
		case !dropped[e.Number()]:
			press = append([]session.Entry{e}, press...)
		}
	}
	return press
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
		pushed := f.draft.pushed
		f.draft = draft{} // a new reading forgets the one before
		if s == StepRead {
			f.draft.pushed = pushed
		}
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

// leavingJob is the same while the job is not agreed: perhaps nothing is written yet.
var leavingJob = Choice{Label: "Leave", Key: "q", Do: leave, Rank: Global}

func leave(f Flow) (Flow, Effect) { return f.at(stepFirst), Leave{} }

func (f Flow) answer(item, state, value string) profiles.Answer {
	return profiles.Answer{Item: item, State: state, Value: value, By: f.Record.People.Operator}
}
