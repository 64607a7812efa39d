package ask

import (
	"errors"
	"fmt"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"
)

// Keeper carries effects out: it writes, opens and saves. It is the one thing of
// the front ends that touches the disk.
type Keeper struct {
	Trial   Trial              // the trial under way, nil at the start
	Earlier []session.Happened // the trial before it on the same set-up
	Cards   profiles.Cards     // of its library
	// SameSetup looks for that earlier trial anew: until the job is agreed, rig and
	// reel may change.
	SameSetup func() []session.Happened
	// Cover says whether a profile of the library covers a job.
	Cover func(job profiles.Record) *show.Cover
	Know  func() *profiles.Candidates // what the library's records say by now that bears on a promise; nil in practice
	// Profile reads a profile of the library.
	Profile func(id string) (*profiles.Record, error)
	// Save writes the profile and returns where it is.
	Save func(accepted session.Setting) (path string, err error)
	// SaveCards keeps cable, duct, rig and people of a job that is agreed or has ended;
	// nil keeps none.
	SaveCards func(profiles.Record) error
	// Close gives the trial free for another window.
	Close func() error
	// Begun reports whether anything of the trial is on disk; nil where that is known.
	Begun func() bool
	// trainee reports whether this tablet is set to be used by a trainee.
	trainee func() bool
	// Begin starts a trial from a job, Resume goes on with one; both return the
	// keeper of that trial and what to tell the crew.
	Begin  func(Begin) (Keeper, string, error)
	Resume func(id string) (Keeper, string, error)
	// Follow begins the trial that comes after this one, in the same library.
	Follow func(job profiles.Record) (Keeper, string, error)
	// Reach turns to a route and how far the cable will come with the push of a profile.
	Reach func(profile string, metric bool) Turn
	// Run turns to the record of the run that installs with a profile.
	Run func(profile string, metric bool) Turn
	// SaveOptions keeps how this tablet shows things.
	SaveOptions func(profiles.Options) error
	// Bye is what to tell who leaves; empty where all can be gone on with.
	Bye string
	// Live is what to tell before that, where drive or air may be left live.
	Live string
	// Home looks at the library anew for the start page.
	Home func() (*Home, error)
}

// Carry carries an effect out and returns what the crew is told. When it returns
// nil, everything is on disk.
func (k Keeper) Carry(e Effect) (told string, err error) {
	switch e := e.(type) {
	case None, LookAgain:
		return "", nil
	case onRig:
		return e.carry(k)
	case Append:
		if err := k.Trial.Append(e.Entries...); err != nil {
			return "", err
		}
		return "written", k.keepCards(e.Entries)
	case AgreeJob:
		if err := k.Trial.ReplaceJob(e.Record); err != nil {
			return "", err
		}
		return k.Carry(Append{e.Entries})
	case ReplaceJob:
		return "written", k.Trial.ReplaceJob(e.Record)
	case SaveProfile:
		if e.Answer != nil {
			if err := k.Trial.Append(*e.Answer); err != nil {
				return "", err
			}
		}
		path, err := k.Save(e.Accepted)
		if err != nil {
			return "", err
		}
		saved := profiles.Answer{Item: session.ItemSaved, State: session.ProfileWritten, Value: k.Trial.Record().ID}
		if err := k.Trial.Append(saved); err != nil {
			return "", err
		}
		return "profile written and read back: " + path, k.keepCards([]profiles.Entry{saved})
	}
	// Taken for done, it would be an answer that nobody wrote down.
	return "", fmt.Errorf("brinkmark itself has failed: it does not know how to do this (%T)\n  nothing was written: answer otherwise, and pass this line to whoever gave you brinkmark", e)
}

// First returns the flow of the keeper's trial, at its first question.
func (k Keeper) First() Flow {
	return k.See(Flow{Earlier: k.Earlier, Cards: k.Cards})
}

// See returns the flow over the record as it now stands on disk.
func (k Keeper) See(f Flow) Flow {
	if k.Trial == nil {
		return f
	}
	f = f.See(k.Trial)
	if k.Know != nil && len(f.promises) > 0 { // others may have folded it since
		f.Library = k.Know()
		f = f.weighed()
	}
	if k.SameSetup != nil && f.Trial.LastNumber() <= 1 {
		f.Earlier = k.SameSetup()
	}
	if k.Cover != nil && f.Trial.LastNumber() == 0 {
		f.Cover = k.Cover(f.Record)
	}
	if of := f.Trial.Of; of != "" && k.Profile != nil && (f.Checked == nil || f.Checked.ID != of) {
		f.Checked, _ = k.Profile(of) // of one that is not here nothing is said
	}
	return f
}

// CloseAndFollow closes a trial and begins the one after it. When that one cannot begin, this
// one stays, closed.
func (k Keeper) CloseAndFollow(e FollowOn) (Keeper, string, error) {
	if err := k.Trial.Append(e.Closing); err != nil {
		return k, "", err
	}
	next, told, err := k.Follow(e.Job)
	if err != nil || k.Close == nil {
		return next, told, err
	}
	return next, told, k.Close()
}

// Performed is where an effect that was carried out has led.
type Performed struct {
	Flow   Flow
	Told   string
	Trial  Trial
	Keeper *Keeper // of another trial or page than before; nil for the same
	Home   *Home   // the page turned to; nil where there is none
	Err    error   // what could not be done; part of it may be
}

// Perform carries an effect out and looks at the record anew.
func (k Keeper) Perform(flow Flow, e Effect) Performed {
	var told string
	var err error
	switch e := e.(type) {
	case Begin:
		k, told, err = k.Begin(e)
	case Resume:
		k, told, err = k.Resume(e.ID)
	case FollowOn:
		k, told, err = k.CloseAndFollow(e)
	case GoHome:
		return k.goneHome(flow)
	case Turn:
		return k.turned(e)
	default:
		told, err = k.Carry(e)
		if err == nil {
			return Performed{Flow: k.See(flow), Told: told, Trial: k.Trial}
		}
	}
	if err != nil {
		return Performed{Err: err}
	}
	return Performed{Flow: k.First(), Told: told, Trial: k.Trial, Keeper: &k}
}

// goneHome puts the trial or run aside and looks at the library anew. What may be left live by that
// is told there.
func (k Keeper) goneHome(flow Flow) Performed {
	var err error
	if k.Close != nil {
		err = k.Close()
	}
	home, homeErr := k.Home()
	if home != nil && k.Trial != nil {
		home.Notes = append(flow.liveLines(), home.Notes...)
	}
	if home != nil && k.Live != "" {
		home.Notes = append([]string{"! " + k.Live}, home.Notes...)
	}
	k.Trial, k.Close, k.Live, k.Begun = nil, nil, "", nil
	return Performed{Home: home, Keeper: &k, Err: errors.Join(err, homeErr)}
}

// turned carries a turn out.
func (k Keeper) turned(t Turn) Performed {
	next, home, err := t.To(k)
	if err != nil {
		return Performed{Err: err}
	}
	p := Performed{Home: home, Keeper: &next, Trial: next.Trial}
	if next.Trial != nil {
		p.Flow = next.First()
	}
	return p
}
