package ask

import (
	"errors"
	"fmt"
	"io/fs"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"
	"brinkmark/ui/words"
)

// NewKeeper returns the keeper of a library, at its start. exampleJob is the
// built-in job, whose records are kept in a folder of their own.
func NewKeeper(library *profiles.Library, exampleJob []byte) Keeper {
	k := Keeper{SaveOptions: library.SaveOptions, trainee: func() bool { return byTrainee(library) }}
	desk := newReviewDesk(library)
	k.Home = func() (*Home, error) {
		h, err := newHome(library)
		if h != nil {
			h.findRun(library)
			h.Review = func(f Flow) Turn { return desk.begin(f.Metric) }
		}
		return h, err
	}
	k.Begin = func(b Begin) (Keeper, string, error) {
		from, job := library, b.Job
		if b.Example {
			record, err := profiles.Parse("built-in example", exampleJob)
			if err != nil {
				return k, "", err
			}
			if from, err = library.Apart(exampleFolder); err != nil {
				return k, "", err
			}
			job = *record
		}
		trial, err := from.NewTrial(job)
		if err == nil && (b.Trainee || k.trainee()) {
			err = trial.ByTrainee()
		}
		if err != nil {
			return k, "", err
		}
		return k.over(from, trial), "", nil
	}
	k.Resume = func(id string) (Keeper, string, error) {
		from, err := holder(library, id)
		if err != nil {
			return k, "", err
		}
		trial, recovery, err := from.OpenTrial(id)
		if err != nil {
			return k, "", err
		}
		if k.trainee() {
			if err := trial.ByTrainee(); err != nil {
				return k, "", errors.Join(err, trial.Close())
			}
		}
		return k.over(from, trial), recovery.String(), nil
	}
	return k
}

// exampleFolder is where the example's records are kept, inside the library.
const exampleFolder = "example"

// byTrainee reports whether a tablet is set to be used by a trainee. The option is read
// whenever something begins or goes on, so that no way into a trial or a run leaves it out.
func byTrainee(library *profiles.Library) bool {
	o, err := library.Options() // where they cannot be read, the start says so
	return err == nil && o.Trainee
}

// holder returns the library that holds a trial: the crew's or the example's.
func holder(library *profiles.Library, id string) (*profiles.Library, error) {
	if _, err := library.TrialRecord(id); !errors.Is(err, fs.ErrNotExist) {
		return library, nil
	}
	return library.Apart(exampleFolder)
}

// over returns the keeper of one trial.
func (k Keeper) over(library *profiles.Library, trial *profiles.Trial) Keeper {
	k.SameSetup = func() []session.Happened {
		now := trial.Session()
		return append(library.SaidToday(now.Started, now.People.Crew(), trial.ID()), library.SameSetup(trial)...)
	}
	k.Trial, k.Earlier, k.Cards = trial, k.SameSetup(), library.Cards()
	candidates, err := library.Candidates()
	k.Cover, k.Profile = coverOfJob(library, candidates, err), library.Profile
	k.Know = func() *profiles.Candidates {
		candidates, err := library.Candidates()
		if err != nil {
			return profiles.NothingKnown(err)
		}
		return candidates
	}
	k.Follow = func(job profiles.Record) (Keeper, string, error) {
		next, err := library.NewTrial(job)
		if err == nil && k.trainee() {
			err = next.ByTrainee()
		}
		if err != nil {
			return k, "", err
		}
		return k.over(library, next), "", nil
	}
	k.SaveCards = library.SaveCards
	k.Save = func(s session.Setting) (string, error) { return library.SaveProfile(trial, s) }
	k.Close, k.Begun = trial.Close, trial.Begun
	k.Reach = reachDesk{library}.begin
	k.Run = func(profile string, metric bool) Turn {
		return (&runDesk{library: library}).begin(profile, nil, metric)
	}
	return k
}

// coverOfJob says of a job whether one of the library's profiles covers it. A library that cannot be read is said instead.
func coverOfJob(library *profiles.Library, candidates *profiles.Candidates, err error) func(profiles.Record) *show.Cover {
	return func(job profiles.Record) *show.Cover {
		if err != nil {
			return &show.Cover{Problem: err}
		}
		return show.CoverOf(candidates, job, library.Now())
	}
}

// newHome looks at the library for the start page.
func newHome(library *profiles.Library) (*Home, error) {
	open, unreadable, err := Unfinished(library)
	if err != nil {
		return nil, err
	}
	h := &Home{Unfinished: open, Now: library.Now(), Practise: newSchool(library).enter}
	h.Reach = func(f Flow) Turn { return reachDesk{library}.begin("", f.Metric) }
	if library.Missing() && !library.Store().State().Usual {
		h.Notes = append(h.Notes, "! "+words.Capital(show.NoLibrary(library))+".")
	}
	for _, u := range append(unreadable, library.Cards().Unreadable...) {
		h.Notes = append(h.Notes, fmt.Sprintf("! Passed over: %v", u))
	}
	h.Jobs, err = library.LastJobs()
	return h, err
}

// keepCards saves the cards of a job that the entries agree to or end. The entries are
// written by then, whatever becomes of the cards.
func (k Keeper) keepCards(entries []profiles.Entry) error {
	for _, e := range entries {
		a, ok := e.(profiles.Answer)
		agreed := ok && a.Item == session.ItemJob && a.State == session.JobAgreed
		ended := ok && (a.Item == session.ItemSaved || a.Item == session.ItemClosed) // with its later changes
		if !agreed && !ended || k.SaveCards == nil {
			continue
		}
		if err := k.SaveCards(k.Trial.Record()); err != nil {
			return fmt.Errorf("the trial goes on, but its cards were not saved: %w", err)
		}
	}
	return nil
}
