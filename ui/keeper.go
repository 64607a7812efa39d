package ui

import (
	"errors"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/profiles"
	"brinkmark/session"
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
	Cover func(job profiles.Record, now time.Time) []string
	// Save writes the profile and returns where it is.
	Save func(accepted session.Setting) (path string, err error)
	// SaveCards keeps the cable, duct and rig of a job that is agreed; nil keeps none.
	SaveCards func(profiles.Record) error
	// Close gives the trial free for another window.
	Close func() error
	// Begin starts a trial from a job, Resume goes on with one; both return the
	// keeper of that trial and what to tell the crew.
	Begin  func(Begin) (Keeper, string, error)
	Resume func(id string) (Keeper, string, error)
	// SaveOptions keeps how this tablet shows things.
	SaveOptions func(profiles.Options) error
	// Home looks at the library anew for the start page.
	Home func() (*Home, error)
}

// Carry carries an effect out and returns what the crew is told. When it returns
// nil, everything is on disk.
func (k Keeper) Carry(e Effect) (told string, err error) {
	switch e := e.(type) {
	case Append:
		if err := k.Trial.Append(e.Entries...); err != nil {
			return "", err
		}
		return "written", k.keepCards(e.Entries)
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
		return "profile written and read back: " + path, k.Trial.Append(profiles.Answer{
			Item: session.ItemSaved, State: session.ProfileWritten, Value: k.Trial.Record().ID})
	}
	return "", nil
}

// begin returns the flow of the keeper's trial, at its first question.
func (k Keeper) begin() Flow { return k.see(Flow{Earlier: k.Earlier, Cards: k.Cards}) }

// see returns the flow over the record as it now stands on disk.
func (k Keeper) see(f Flow) Flow {
	f = f.See(k.Trial)
	if k.SameSetup != nil && f.Trial.LastNumber() <= 1 {
		f.Earlier = k.SameSetup()
	}
	if k.Cover != nil && f.Trial.LastNumber() == 0 {
		f.Cover = k.Cover(f.Record, f.Now)
	}
	return f
}

// perform carries an effect out beside the screen and looks at the record anew.
func perform(k Keeper, flow Flow, e Effect) tea.Cmd {
	return func() tea.Msg {
		var told string
		var err error
		switch e := e.(type) {
		case Begin:
			k, told, err = k.Begin(e)
		case Resume:
			k, told, err = k.Resume(e.ID)
		case GoHome:
			return goneHome(k)
		default:
			told, err = k.Carry(e)
			if err == nil {
				return writtenMsg{flow: k.see(flow), told: told, trial: k.Trial}
			}
		}
		if err != nil {
			return writtenMsg{err: err}
		}
		return writtenMsg{flow: k.begin(), told: told, trial: k.Trial, keeper: &k}
	}
}

// goneHome puts the trial aside and looks at the library anew.
func goneHome(k Keeper) writtenMsg {
	var err error
	if k.Close != nil {
		err = k.Close()
	}
	home, homeErr := k.Home()
	k.Trial, k.Close = nil, nil
	return writtenMsg{home: home, keeper: &k, err: errors.Join(err, homeErr)}
}
