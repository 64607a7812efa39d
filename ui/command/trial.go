package command

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"github.com/spf13/cobra"

	"brinkmark/profiles"
	"brinkmark/ui"
	"brinkmark/ui/ask"
	"brinkmark/ui/show"
	"brinkmark/ui/words"
)

// jobCommands are what is done with hands on a drive, real or simulated.
func (a *app) jobCommands() []*cobra.Command {
	return []*cobra.Command{a.trialCommand(), a.resumeCommand(), a.runCommand(), a.practiceCommand()}
}

func (a *app) trialCommand() *cobra.Command {
	return a.plainFlag(&cobra.Command{
		Use:   "trial [FILE]",
		Short: "guided trial; FILE gives the job",
		Long: `Leads through checks, cautions and ladder to an install setting, and saves it as
a profile. FILE is a job in TOML; without it every value is asked for.`,
		Example:           "brinkmark trial job.toml",
		Args:              oneAtMost,
		ValidArgsFunction: files("toml"),
		RunE: func(_ *cobra.Command, args []string) error {
			job := &profiles.Record{Format: profiles.Format}
			if len(args) > 0 {
				var err error
				if job, err = record(args[0]); err != nil {
					return err
				}
			}
			return inside(a.openToBegin, func(l *profiles.Library) error { return a.begin(l, ask.Begin{Job: *job}) })
		},
	})
}

func (a *app) resumeCommand() *cobra.Command {
	return a.plainFlag(&cobra.Command{
		Use:   "resume [ID]",
		Short: "go on with an unfinished trial",
		Long: `Opens the trial of an ID, or without one the newest that is not closed, and
names the others. The start page lists them all. Exit code 11 when there is
none.`,
		Example:           "brinkmark resume",
		Args:              oneAtMost,
		ValidArgsFunction: a.unfinishedIDs,
		RunE: func(_ *cobra.Command, args []string) error {
			return a.readingLibrary(func(l *profiles.Library) error {
				if len(args) > 0 {
					return a.resumeThis(l, args[0])
				}
				return a.resume(l)
			})
		},
	})
}

func (a *app) runCommand() *cobra.Command {
	return a.plainFlag(&cobra.Command{
		Use:   "run [ID]",
		Short: "the record of a run, with a profile",
		Long: `Leads through the run that installs with a profile, and keeps its record: the
duct proved, the setting read back, the log, stops, and what was found. ID is
the profile's, or that of a run: an unfinished one is gone on with. Without ID
it is the newest unfinished run. Exit code 11 when there is none.`,
		Example:           "brinkmark run 01K7ZQ4C5V8W9X0Y1Z2A3B4C5D",
		Args:              oneAtMost,
		ValidArgsFunction: a.profileIDs,
		RunE: func(_ *cobra.Command, args []string) error {
			id := ""
			if len(args) > 0 {
				id = args[0]
			}
			return a.readingLibrary(func(l *profiles.Library) error { return a.runRecord(l, id) })
		},
	})
}

func (a *app) practiceCommand() *cobra.Command {
	var choice ask.PracticeChoice
	c := a.plainFlag(&cobra.Command{
		Use:               "practice [FILE]",
		Short:             "a trial on a simulated rig: no cable, no machine",
		Long:              ask.PracticeHelp,
		Example:           "brinkmark practice --lesson 1 --seed 7",
		Args:              oneAtMost,
		ValidArgsFunction: files("toml"),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				var err error
				choice.File = args[0]
				if choice.Job, err = record(args[0]); err != nil {
					return err
				}
			}
			return a.inLibrary(func(l *profiles.Library) error { return a.practise(l, choice) })
		},
	})
	c.Flags().StringVar(&choice.Lesson, "lesson", "", "`N`: its number in the list, or its id")
	c.Flags().StringVar(&choice.Seed, "seed", "", "`S`: a whole number; the same gives the same rig")
	return c
}

// inLibrary opens the library for what is to be done in it.
func (a *app) inLibrary(do func(*profiles.Library) error) error { return inside(a.open, do) }

// readingLibrary opens the library for what looks something up in it.
func (a *app) readingLibrary(do func(*profiles.Library) error) error { return inside(a.openToRead, do) }

func inside(open func() (*profiles.Library, error), do func(*profiles.Library) error) error {
	library, err := open()
	if err != nil {
		return err
	}
	return do(library)
}

// start is what the program does when told nothing.
func (a *app) start() error {
	library, err := a.openToBegin()
	if err != nil {
		return err
	}
	if a.onTerminal() {
		return a.screens(library, a.keeper(library), nil)
	}
	jobs, err := library.LastJobs()
	if err != nil {
		return err
	}
	choice, err := ui.AskStart(a.In, a.Out, jobs...)
	if err != nil {
		return err
	}
	if i, ok := choice.Last(); ok {
		return a.begin(library, ask.Begin{Job: jobs[i]})
	}
	switch choice {
	case ui.StartPractice:
		return a.practise(library, ask.PracticeChoice{})
	case ui.StartReach:
		keeper, page, err := ask.PlanReach(a.keeper(library), library)
		if err != nil {
			return err
		}
		return a.lead(library, keeper, page, "")
	case ui.StartReview:
		return a.reviewPages(library, show.ReviewAsked{})
	case ui.StartRun:
		keeper, page, err := ask.PlanRun(a.keeper(library), library)
		if err != nil {
			return err
		}
		return a.lead(library, keeper, page, "")
	case ui.StartExample:
		return a.begin(library, ask.Begin{Example: true})
	case ui.StartNew:
		return a.begin(library, ask.Begin{Job: profiles.Record{Format: profiles.Format}})
	case ui.StartResume:
		return a.pickOrResume(library)
	}
	return nil
}

func (a *app) keeper(library *profiles.Library) ask.Keeper {
	return ask.NewKeeper(library, a.ExampleJob)
}

func (a *app) begin(library *profiles.Library, b ask.Begin) error {
	keeper, told, err := a.keeper(library).Begin(b)
	if err != nil {
		return err
	}
	return a.lead(library, keeper, nil, told)
}

// pickOrResume goes on with the unfinished trial, or asks which where there is more to choose
// from.
func (a *app) pickOrResume(library *profiles.Library) error {
	keeper, page, err := ask.PickUnfinished(a.keeper(library), library)
	switch {
	case err != nil:
		return err
	case page == nil:
		return a.resume(library)
	}
	return a.lead(library, keeper, page, "")
}

// resume goes on with the newest trial, and names the others.
func (a *app) resume(library *profiles.Library) error {
	open, unreadable, err := ask.Unfinished(library)
	if err != nil {
		return err
	}
	for _, u := range unreadable {
		fmt.Fprintf(a.Err, "brinkmark: passed over: %v\n", u)
	}
	if len(open) == 0 {
		fmt.Fprintln(a.Out, "There is no unfinished trial.")
		return exitNothing
	}
	for _, other := range open[1:] {
		fmt.Fprintf(a.Err, "brinkmark: not finished either: %s\n  brinkmark resume %s\n", other.Says(library.Now()), other.ID)
	}
	return a.goOn(library, open[0].ID)
}

// resumeThis goes on with the trial of an id.
func (a *app) resumeThis(library *profiles.Library, id string) error {
	if !profiles.ValidID(id) {
		return misused("%q is no trial id: ids are 26 capital letters and digits", words.Clean(id))
	}
	open, _, err := ask.Unfinished(library)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(open, func(o ask.Open) bool { return o.ID == id }) {
		if t, err := library.Trial(id); err == nil && t.Closed() {
			fmt.Fprintln(a.Out, "That trial is closed: there is nothing to go on with.")
			return exitNothing
		} else if errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("trial %s is not one of this tablet's, in %s\n  \"brinkmark resume\" names those that are not finished", id, library.Where())
		}
	}
	return a.goOn(library, id)
}

func (a *app) goOn(library *profiles.Library, id string) error {
	keeper, told, err := a.keeper(library).Resume(id)
	if err != nil {
		return err
	}
	return a.lead(library, keeper, nil, told)
}

// runRecord begins a run with a profile, or goes on with the unfinished one.
func (a *app) runRecord(library *profiles.Library, profile string) error {
	keeper, page, err := ask.RunRecord(a.keeper(library), library, profile)
	if err == ask.ErrNoRun { // and none that cannot be gone on with
		fmt.Fprintln(a.Out, "There is no unfinished run. \"brinkmark run ID\" begins one with the profile ID.")
		return exitNothing
	}
	if err != nil {
		return err
	}
	return a.lead(library, keeper, page, "")
}

func (a *app) practise(library *profiles.Library, choice ask.PracticeChoice) error {
	keeper, page, err := ask.Practise(a.keeper(library), library, choice)
	if err != nil {
		return err
	}
	return a.lead(library, keeper, page, "")
}

// lead leads a trial to its end, or to where the crew leaves it. first is the page to
// begin with when that is not a trial.
func (a *app) lead(library *profiles.Library, k ask.Keeper, first *ask.Home, told string) error {
	if a.onTerminal() {
		return a.screens(library, k, first)
	}
	if told != "" {
		fmt.Fprintln(words.Printable(a.Out), told)
	}
	p := ui.Plain{In: a.In, Out: a.Out, Now: a.now, Keeper: k, Home: first}
	err := p.Run()
	if p.Keeper.Close != nil {
		err = errors.Join(err, p.Keeper.Close())
	}
	return err
}

func (a *app) screens(library *profiles.Library, k ask.Keeper, first *ask.Home) error {
	options, err := library.Options()
	if err != nil {
		fmt.Fprintf(a.Err, "brinkmark: %v\n", err)
	}
	return ui.Run(ui.Screens{Keeper: k, First: first, Now: a.now, Options: options}, a.In, a.Out)
}
