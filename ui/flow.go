// Package ui leads a crew through a trial, on screens or line by line.
//
// What is asked, in which order, and what an answer does stands once, in [Flow]:
// a pure value that asks a [Question] and turns a choice into an [Effect]. Plain
// mode and the screens only show the question and carry the effect out, so
// neither can drift from the other. Nothing is shown as done before its effect is
// on disk.
package ui

import (
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"

	"brinkmark/profiles"
	"brinkmark/session"
)

// Flow is where the crew stands: the record, and the few answers of the present
// push that are not yet written. Methods that answer return the next Flow.
type Flow struct {
	Trial   session.Trial
	Record  profiles.Record
	Outlook session.Outlook    // on the trial; computed once per entry
	Earlier []session.Happened // the trial before it on the same set-up
	Cover   *Cover             // whether a profile covers this job; nil while that cannot be said
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
	droop   *DroopFlow    // a droop being measured
	pull    *PullTestFlow // a pull test being made
	key     string        // the job value being edited, the kind of card, or the check asked alone
	page    int           // of the cards
	typed   string        // a name, and the known one
	near    string        // it is near to
}

type step int

const (
	stepFirst step = iota // the stage's own first question
	stepPush
	stepRead
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
	stepFalling // a rig whose readings fall as it pushes harder
	stepSkip
	stepOne // one check of a block, alone
	stepStop
	stepCover // the whole cover verdict
	stepTag
	stepDay
)

// Question is one decision: what to do now, and the ways on.
type Question struct {
	Stage   session.Stage
	ID      string
	Title   string           // what to do now, the largest thing on any screen
	Setting *session.Setting // the setting to dial, if that is what to do
	Body    []string         // what one must know to do it
	Rows    [][2]string      // a block of checks: what is asked, and the state it must be in
	Help    []string         // why, how to tell, what if not: on request
	Choices []Choice
	Enter   *Entering               // a value may be typed
	scene   *scene                  // what a practice rig shows beside it
	mock    bool                    // of practice
	place   string                  // outside a trial: what the page belongs to
	picture func(w, h int) []string // drawn over the choices, as large as there is room
	table   *table                  // listed over the choices, a page at a time
	of      *Flow                   // a trial that is only looked at
	wait    *waiting                // work that ends in another page
	big     []bigFigure             // to be read at arm's length
	about   string                  // outside a trial: the cable and duct it is about
	again   func() Turn             // the same page, looked at anew after a while
}

// Choice is one way on. Its number is its place, from 1.
type Choice struct {
	Label string
	do    func(Flow) (Flow, Effect)
	rank  rank
	look  look         // where it has one of its own
	more  []string     // of a record in a list: what stands under its label
	full  []string     // in place of the last of more, where there is room
	also  *key.Binding // a key that does the same
}

// rank is how much room a choice gets on a screen.
type rank int

const (
	major  rank = iota // what one comes here to do
	minor              // now and then
	global             // on every screen anyway, by its key
)

// Entering is a value that may be typed instead of a choice.
type Entering struct {
	Label   string
	Example string
	Now     string // what it is so far, if it is known
	Step    string // what − and + change a number by; 1 of its unit where none is given
	take    func(Flow, string) (Flow, Effect, error)
}

// Effect is what an answer changes outside the flow.
type Effect interface{ effect() }

// The effects.
type (
	// None changes nothing outside.
	None struct{}
	// Append writes entries to the trial.
	Append struct{ Entries []profiles.Entry }
	// ReplaceJob writes the job anew; only before the job stage has ended.
	ReplaceJob struct{ Record profiles.Record }
	// SaveProfile writes the profile with the accepted setting.
	SaveProfile struct {
		Accepted session.Setting
		Answer   *profiles.Answer // the acceptance, when it is not written yet
	}
	// AgreeJob writes the job anew and ends the job stage with the entries.
	AgreeJob struct {
		Record  profiles.Record
		Entries []profiles.Entry
	}
	// FollowOn closes a short check that did not pass and begins the full trial after it.
	FollowOn struct {
		Closing profiles.Answer
		Job     profiles.Record
	}
	// Begin starts a trial from a job.
	Begin struct {
		Job     profiles.Record
		Example bool // on the built-in job
		Trainee bool
	}
	// Resume goes on with a trial.
	Resume struct{ ID string }
	// GoHome puts the trial aside for the start page.
	GoHome struct{}
	// Leave ends the program; everything answered is on disk.
	Leave struct{}
)

func (None) effect()        {}
func (Append) effect()      {}
func (ReplaceJob) effect()  {}
func (SaveProfile) effect() {}
func (AgreeJob) effect()    {}
func (FollowOn) effect()    {}
func (Begin) effect()       {}
func (Resume) effect()      {}
func (GoHome) effect()      {}
func (Leave) effect()       {}

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
	q.Choices = []Choice{{Label: "Take the last entry back", do: Flow.Undo}, leaving}
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
			if a, ok := e.(session.Answer); ok && (a.Item == session.ItemJob || a.Item == session.ItemSaved || a.Item == session.ItemClosed) {
				return f.at(stepFirst), None{}
			}
			if !dropped[e.Number()] {
				return f.at(stepFirst), Append{[]profiles.Entry{profiles.Undo{Drops: e.Number()}}}
			}
		}
	}
	return f.at(stepFirst), None{}
}

// at returns the flow at a step of the present question, keeping what was read.
func (f Flow) at(s step) Flow {
	if s == stepFirst || s == stepRead {
		f.draft = draft{} // a new reading forgets the one before
	}
	f.draft.step = s
	return f
}

func goTo(s step) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) { return f.at(s), None{} }
}

// write returns a choice's action that appends entries and starts the next question.
func write(entries ...profiles.Entry) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) { return f.at(stepFirst), Append{entries} }
}

// leaving is the choice to leave, offered wherever a trial can be put aside.
var leaving = Choice{Label: "Leave; it can be resumed", do: leave, rank: global}

func leave(f Flow) (Flow, Effect) { return f.at(stepFirst), Leave{} }

func (f Flow) answer(item, state, value string) profiles.Answer {
	return profiles.Answer{Item: item, State: state, Value: value, By: f.Record.People.Operator}
}
