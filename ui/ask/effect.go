package ask

import (
	"brinkmark/profiles"
	"brinkmark/session"
)

// Effect is what an answer changes outside the flow.
type Effect interface{ effect() }

// The effects.
type (
	// None changes nothing outside.
	None struct{}
	// LookAgain changes nothing outside, and looks at it anew.
	LookAgain struct{}
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
func (LookAgain) effect()   {}
func (Append) effect()      {}
func (ReplaceJob) effect()  {}
func (SaveProfile) effect() {}
func (AgreeJob) effect()    {}
func (FollowOn) effect()    {}
func (Begin) effect()       {}
func (Resume) effect()      {}
func (GoHome) effect()      {}
func (Leave) effect()       {}

// Turn opens another page outside a trial, or begins what was chosen on one.
type Turn struct {
	To func(Keeper) (Keeper, *Home, error)
}

func (Turn) effect() {}

// going is the action of a choice that turns to a page.
func going(t Turn) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) { return f, t }
}

// Beginning is the start of a trial from a page.
func Beginning(b Begin) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		next, _, err := k.Begin(b)
		return next, nil, err
	}}
}

// Resuming is going on with a trial from a page.
func Resuming(r Resume) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		next, _, err := k.Resume(r.ID)
		return next, nil, err
	}}
}
