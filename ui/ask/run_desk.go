package ask

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"sync"

	"brinkmark/profiles"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
	"brinkmark/session/run"
)

// ErrNoRun says that there is no run to go on with.
var ErrNoRun = errors.New("there is no unfinished run")

// runDesk reads and writes what a [RunFlow] needs, between two questions and beside the
// screen.
type runDesk struct {
	library *profiles.Library
	mu      sync.Mutex // the open run is not for two at once
	run     *profiles.Run
	course  []draw.Spot
	said    []session.Happened // of the site's cautions, today, by its crew
}

// RunRecord returns the page on which a run begins or goes on: of a profile's id, with its own
// id, or for "" the newest unfinished one. Where there is none its error is [ErrNoRun].
func RunRecord(k Keeper, library *profiles.Library, profile string) (Keeper, *Home, error) {
	runs, unreadable, err := unfinishedRuns(library)
	if err != nil {
		return k, nil, err
	}
	for _, r := range runs {
		if profile == "" || r.ID == profile || r.Of == profile {
			return (&runDesk{library: r.library}).resume(r.ID).To(k)
		}
	}
	switch _, err := library.RunRecord(profile); {
	case profile == "" && len(unreadable) > 0: // one of them may be live
		return k, nil, errors.Join(append([]error{ErrNoRun}, unreadable...)...)
	case profile == "":
		return k, nil, ErrNoRun
	case profiles.ValidID(profile) && !errors.Is(err, fs.ErrNotExist): // a run, closed or edited: opening it says why it is not gone on with
		return (&runDesk{library: library}).resume(profile).To(k)
	}
	from := library
	if _, err := library.Profile(profile); errors.Is(err, fs.ErrNotExist) {
		if example, err := library.Apart(exampleFolder); err == nil {
			if _, err := example.Profile(profile); err == nil {
				from = example
			}
		}
	}
	return (&runDesk{library: from}).begin(profile, nil, false).To(k)
}

// PlanRun is [RunRecord] for who has not named a profile: where no run is unfinished, it is
// asked for.
func PlanRun(k Keeper, library *profiles.Library) (Keeper, *Home, error) {
	next, page, err := RunRecord(k, library, "")
	if errors.Is(err, ErrNoRun) {
		return (&runDesk{library: withProfiles(library)}).begin("", nil, false).To(k)
	}
	return next, page, err
}

// withProfiles is the crew's library, or the example's where only that has a profile.
func withProfiles(library *profiles.Library) *profiles.Library {
	example, err := library.Apart(exampleFolder)
	if err == nil && len(library.Picks()) == 0 && len(example.Picks()) > 0 {
		return example
	}
	return library
}

// begin turns to the first question of a run with a profile, or goes on with its unfinished
// one. Without a profile it is asked for.
func (d *runDesk) begin(profile string, worked *profiles.ReachFile, metric bool) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		open, _, _ := d.library.UnfinishedRuns() // where they cannot be read, nothing is gone on with
		for _, r := range open {
			if r.Of == profile && profile != "" {
				return d.resume(r.ID).To(k)
			}
		}
		r := RunFlow{step: runWhich, metric: metric, plan: profiles.RunPlan{Profile: profile, Reach: worked}}
		r.trainee = k.trainee != nil && k.trainee()
		r.offers = d.offers(profile, metric)
		if profile != "" {
			var err error
			if r.offers.profile, err = d.library.Profile(profile); err != nil {
				return k, nil, err
			}
			if r.offers.promised, err = d.library.MayRun(profile); err != nil {
				return k, nil, err
			}
			r.step, r.plan.People = runCrew, runPeople(r.offers.profile)
		}
		next, err := awayFrom(k)
		if err != nil {
			return k, nil, err
		}
		next.Bye = "Left. Nothing of a run is written yet."
		return d.turn(r).To(next)
	}}
}

func runPeople(r *profiles.Record) profiles.RunPeople {
	return profiles.RunPeople{Operator: r.People.Operator, Watcher: r.People.Watcher, Trainee: r.People.Trainee}
}

func (d *runDesk) offers(profile string, metric bool) runOffers {
	o := runOffers{people: d.library.Cards().People}
	var unreadable []error
	if o.routes, unreadable = d.library.Routes(); profile == "" {
		o.picks = d.library.Picks()
	}
	files, err := d.library.ReachFiles()
	if o.files = files; err != nil {
		unreadable = append(unreadable, err)
	}
	for _, err := range unreadable {
		o.notes = append(o.notes, "! Passed over: "+err.Error())
	}
	if profile != "" {
		o.workOut = func() Turn { return reachDesk{d.library}.begin(profile, metric) }
	}
	return o
}

// resume opens a run to go on with it.
func (d *runDesk) resume(id string) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		next, err := awayFrom(k)
		if err != nil {
			return k, nil, err
		}
		open, recovery, err := d.library.OpenRun(id)
		if err != nil {
			return k, nil, err
		}
		if k.trainee != nil && k.trainee() {
			open.ByTrainee()
		}
		d.opened(open)
		r := d.see(RunFlow{})
		r.problem = strings.Join(words.NotEmpty(recovery.String(), r.wasLive(), d.endedSince(r)), " ")
		return d.turnIn(r).To(d.keeper(next, r))
	}}
}

// endedSince says to who goes on with a run that its profile has been ended meanwhile.
func (d *runDesk) endedSince(r RunFlow) string {
	ended, err := d.library.Ended(r.record.Of)
	if err != nil || len(ended) == 0 || r.view.Stage >= run.ArriveStage {
		return ""
	}
	return fmt.Sprintf("The profile holds for nothing any more: %s. Do not push on with it: make safe, end the run, make a new trial.", ended[0])
}

func (d *runDesk) opened(r *profiles.Run) {
	d.run = r
	began := r.Engine()
	d.course = expectedSpeeds(began.Plan)
	d.said = d.library.SaidToday(r.Record().Started, began.People.Crew(), r.Record().ID)
}

// keeper is the keeper of a page of an open run.
func (d *runDesk) keeper(k Keeper, r RunFlow) Keeper {
	k.Bye, k.Close = "Left. Everything answered is on disk; \"brinkmark run\" goes on here.", d.close
	k.Live = r.stillLive()
	return k
}

func (d *runDesk) close() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.run == nil {
		return nil
	}
	open := d.run
	d.run = nil
	return open.Close()
}

// turn makes a flow's question the next page, once what comes before it is read or written.
// What could not be written is said on the page it was answered on.
func (d *runDesk) turn(r RunFlow) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		d.mu.Lock()
		defer d.mu.Unlock()
		next, err := d.ready(r)
		if err != nil {
			back := r.previous()
			back.entries = nil
			next = d.see(back)
			next.problem = err.Error()
		}
		if d.run != nil {
			k = d.keeper(k, next)
		}
		return k, d.page(next), nil
	}}
}

// turnIn is the turn to a flow that was read just now.
func (d *runDesk) turnIn(r RunFlow) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) { return k, d.page(r), nil }}
}

func (d *runDesk) page(r RunFlow) *Home {
	return &Home{Page: func() Question { return r.Question(d.turn) }}
}

// ready writes what is to be written, reads the run anew, and works out what a page shows.
func (d *runDesk) ready(r RunFlow) (RunFlow, error) {
	r.now = d.library.Now()
	if d.run == nil {
		return d.notBegun(r)
	}
	written := len(r.entries)
	stage := d.run.View().Stage
	if err := d.run.Append(r.entries...); err != nil {
		return r, err
	}
	r.entries = nil
	r = d.see(r)
	if written > 0 {
		r.before = nil
		r.told = r.writtenWords(written)
		if r.view.Stage != stage {
			r.step, r.draft = runFirst, runDraft{}
		}
	}
	if r.step == runFriction {
		r.further = d.run.Next()
	}
	return r, nil
}

// see reads the run as it stands.
func (d *runDesk) see(r RunFlow) RunFlow {
	r.now = d.library.Now()
	if d.run != nil {
		r.record, r.engine, r.view, r.course = d.run.Record(), d.run.Engine(), d.run.View(), d.course
		r.said = d.said
	}
	return r
}

// notBegun looks a chosen profile up, and begins the run when nothing more is to be asked.
func (d *runDesk) notBegun(r RunFlow) (RunFlow, error) {
	if r.plan.Profile != "" && r.offers.profile == nil {
		of, err := d.library.Profile(r.plan.Profile)
		if err != nil {
			return r, err
		}
		promised, err := d.library.MayRun(r.plan.Profile)
		if err != nil {
			return r, err
		}
		picks := r.offers.picks
		r.offers = d.offers(r.plan.Profile, r.metric)
		r.offers.profile, r.offers.promised, r.offers.picks, r.plan.People = of, promised, picks, runPeople(of)
	}
	if r.step == runRoute && r.plan.Reach != nil { // it came with a reach that was worked out
		r.step = runFirst
	}
	if r.step != runFirst {
		return r, nil
	}
	if r.file != "" {
		from, err := d.library.ReachSource(r.file)
		if err != nil {
			return r, fmt.Errorf("the file of the reach cannot be read: %w", err)
		}
		if r.plan.Reach, err = profiles.ParseReach(from); err != nil {
			return r, err
		}
	}
	r.plan.People.Trainee = r.plan.People.Trainee || r.trainee
	open, err := d.library.NewRun(r.plan)
	if err != nil {
		return r, err
	}
	d.opened(open)
	r.before = nil
	return d.see(r), nil
}

// expectedSpeeds is how fast the reach has the cable over the head's place, as far as a reach
// was worked out.
func expectedSpeeds(p run.Plan) []draw.Spot {
	worked, known := p.Reach.Get()
	if !known {
		return nil
	}
	course, err := reach.NewCourse(worked.Job)
	if err != nil {
		return nil
	}
	const parts = 48
	end := float64(worked.Job.Route.Length())
	var speeds []draw.Spot
	for i := range parts + 1 {
		x := end * float64(i) / parts
		speeds = append(speeds, draw.Spot{X: x, Y: float64(course.Fastest(q.Length(x))), Known: true})
	}
	return speeds
}
