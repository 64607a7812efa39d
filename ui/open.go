package ui

import (
	"fmt"

	"brinkmark/profiles"
	"brinkmark/session"
)

// NewKeeper returns the keeper of a library, at its start. exampleJob is the
// built-in job, whose records are kept in a folder of their own.
func NewKeeper(library *profiles.Library, exampleJob []byte) Keeper {
	k := Keeper{SaveOptions: library.SaveOptions}
	k.Home = func() (*Home, error) { return newHome(library) }
	k.Begin = func(b Begin) (Keeper, string, error) {
		from, job := library, b.Job
		if b.Example {
			record, err := profiles.Parse("built-in example", exampleJob)
			if err != nil {
				return k, "", err
			}
			if from, err = library.Apart("example"); err != nil {
				return k, "", err
			}
			job = *record
		}
		job.People.Trainee = job.People.Trainee || b.Trainee
		trial, err := from.NewTrial(job)
		if err != nil {
			return k, "", err
		}
		return k.over(from, trial), "", nil
	}
	k.Resume = func(id string) (Keeper, string, error) {
		trial, recovery, err := library.OpenTrial(id)
		if err != nil {
			return k, "", err
		}
		return k.over(library, trial), recovery.String(), nil
	}
	return k
}

// over returns the keeper of one trial.
func (k Keeper) over(library *profiles.Library, trial *profiles.Trial) Keeper {
	k.Trial, k.Earlier = trial, library.SameSetup(trial)
	k.Save = func(s session.Setting) (string, error) { return library.SaveProfile(trial, s) }
	k.Close = trial.Close
	return k
}

// newHome looks at the library for the start page.
func newHome(library *profiles.Library) (*Home, error) {
	id, unreadable, err := library.Unfinished()
	if err != nil {
		return nil, err
	}
	h := &Home{Unfinished: id}
	for _, u := range unreadable {
		h.Notes = append(h.Notes, fmt.Sprintf("! Passed over: %v", u))
	}
	h.Jobs, err = library.LastJobs()
	if id != "" {
		if r, err := library.TrialRecord(id); err == nil {
			h.About = about(*r)
		}
	}
	return h, err
}
