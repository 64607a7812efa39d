package ask

import (
	"errors"

	"brinkmark/profiles"
	"brinkmark/ui/show"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// reachDesk reads, saves and works out what a [ReachFlow] needs, between two questions and
// beside the screen.
type reachDesk struct{ library *profiles.Library }

// PlanReach returns the page on which a route is asked for.
func PlanReach(k Keeper, library *profiles.Library) (Keeper, *Home, error) {
	return reachDesk{library}.begin("", false).To(k)
}

// reachChoice is the way from a closed trial to its route.
var reachChoice = Choice{Label: "Will it reach?", Rank: Minor, Do: func(f Flow) (Flow, Effect) {
	id, metric := f.Record.ID, !f.customary()
	return f, Turn{func(k Keeper) (Keeper, *Home, error) {
		if k.Reach == nil {
			return k, nil, errors.New("this trial is in no library, so there is no route to pick")
		}
		return k.Reach(id, metric).To(k)
	}}
}}

// begin turns to the first question, with the push of a profile if one is named.
func (d reachDesk) begin(profile string, metric bool) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		offers := d.offers()
		var of *profiles.Record
		if profile != "" {
			var err error
			if of, err = d.library.Profile(profile); err != nil {
				return k, nil, err
			}
		}
		next, err := awayFrom(k)
		if err != nil {
			return k, nil, err
		}
		r := NewReachFlow(offers, of, metric)
		if profile != "" {
			r.record = func(f profiles.ReachFile) Turn { return (&runDesk{library: d.library}).begin(profile, &f, metric) }
		}
		return d.turn(r).To(next)
	}}
}

func (d reachDesk) offers() reachOffers {
	o := reachOffers{cards: d.library.Cards()}
	var unreadable []error
	o.routes, unreadable = d.library.Routes()
	files, err := d.library.ReachFiles()
	if o.files = files; err != nil {
		unreadable = append(unreadable, err)
	}
	for _, err := range unreadable {
		o.notes = append(o.notes, "! Passed over: "+err.Error())
	}
	for _, p := range d.library.SettingsWithPush(cardsShown) {
		if push, _, err := d.library.SettingPush(p); err == nil {
			o.settings = append(o.settings, offeredSetting{p, push})
		}
	}
	return o
}

// awayFrom is the keeper of a page without a trial. The one under way is closed; what is
// begun from here goes into its library.
func awayFrom(k Keeper) (Keeper, error) {
	next := Keeper{Begin: k.Begin, Resume: k.Resume, Home: k.Home, SaveOptions: k.SaveOptions, trainee: k.trainee,
		Bye: "Left. A route that was named is saved; the rest of the run is not."}
	if k.Trial == nil {
		return next, nil
	}
	if k.Follow != nil {
		next.Begin = func(b Begin) (Keeper, string, error) {
			b.Job.People.Trainee = b.Job.People.Trainee || b.Trainee
			return k.Follow(b.Job)
		}
	}
	if k.Close != nil {
		return next, k.Close()
	}
	return next, nil
}

// turn makes a flow's question the next page, once what comes before it is done.
func (d reachDesk) turn(r ReachFlow) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		r, err := d.ready(r)
		if err != nil {
			return k, nil, err
		}
		return k, &Home{Page: func() Question { return r.Question(d.turn) }}, nil
	}}
}

// ready saves a route that was named, and works out a run that is whole.
func (d reachDesk) ready(r ReachFlow) (ReachFlow, error) {
	if r.name != "" {
		if _, err := d.library.SaveRoute(r.name, r.run.Sections); err != nil {
			return r, err
		}
		r.name = ""
	}
	if r.step != reachResult || r.worked != nil {
		return r, nil
	}
	run, err := d.read(r)
	if err != nil {
		return r, err
	}
	x, err := show.WorkOut(run, nil)
	if err != nil {
		return r, err
	}
	r.worked = &workedReach{Reach: x}
	return r, d.plan(r)
}

func (d reachDesk) read(r ReachFlow) (profiles.Reach, error) {
	if r.file != "" {
		from, err := d.library.ReachSource(r.file)
		if err != nil {
			return profiles.Reach{}, err
		}
		return d.library.ReadReach(from)
	}
	return d.library.WorkOut(r.run)
}

// workedReach is a result, and the enough trials that would do for it.
type workedReach struct {
	show.Reach
	plans []enoughPlan
	doubt string // what is not covered by them
}

// enoughPlan is a trial that sets out to prove the push a friction needs, and no more.
type enoughPlan struct {
	friction float64
	push     q.Force
	plan     profiles.Plan
	job      profiles.Record
}

// plan works out the enough trials, for the likely friction and for the highest thought
// possible, where the rig can be set to a push and less than its setting is needed.
func (d reachDesk) plan(r ReachFlow) error {
	w := r.worked
	line, known := w.Run.Plan.Get()
	if !known || r.profile == nil {
		return nil
	}
	for _, mu := range []float64{w.Run.Friction, w.Run.Doubt.FrictionHigh} {
		needed, err := neededPush(w, mu)
		if err != nil {
			return err
		}
		need, some := needed.Get()
		plan, err := line.Plan(need)
		if !some || err != nil || need >= min(w.Run.Push.Safe, w.Run.Push.Drive) {
			w.doubt = "Should friction be " + frictionText(mu) + ", it needs all of the setting's push or more."
			return nil
		}
		if len(w.plans) > 0 && w.plans[0].plan == plan {
			w.plans = nil // one plan does for both
		}
		w.plans = append(w.plans, enoughPlan{mu, need, plan, d.library.EnoughFor(r.profile, plan)})
	}
	return nil
}

// neededPush is the least push that reaches the end at a friction; unknown where none does.
func neededPush(w *workedReach, mu float64) (q.Maybe[q.Force], error) {
	job := w.Run.Job
	job.Friction = mu
	help, err := reach.Advise(job, w.Run.Ratings)
	return help.NeededPush, err
}
