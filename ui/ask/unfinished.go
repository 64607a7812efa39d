package ask

import (
	"cmp"
	"fmt"
	"time"

	"brinkmark/profiles"
	"brinkmark/ui/words"
)

// Open is a trial or a run that is not closed, and the library that holds it.
type Open struct {
	profiles.Unfinished
	run     bool
	example bool
	library *profiles.Library
}

// Unfinished returns all trials that can be gone on with, newest first: the crew's, then the
// example's.
func Unfinished(library *profiles.Library) (list []Open, unreadable []error, err error) {
	return everywhere(library, false, (*profiles.Library).Unfinished)
}

// unfinishedRuns returns all runs that can be gone on with, as [Unfinished] does trials.
func unfinishedRuns(library *profiles.Library) (list []Open, unreadable []error, err error) {
	return everywhere(library, true, (*profiles.Library).UnfinishedRuns)
}

func everywhere(library *profiles.Library, run bool, in func(*profiles.Library) ([]profiles.Unfinished, []error, error)) (list []Open, unreadable []error, err error) {
	example, err := library.Apart(exampleFolder)
	if err != nil {
		return nil, nil, err
	}
	for _, from := range []*profiles.Library{library, example} {
		found, bad, err := in(from)
		if err != nil {
			return nil, nil, err
		}
		for _, u := range found {
			list = append(list, Open{u, run, from == example, from})
		}
		unreadable = append(unreadable, bad...)
	}
	return list, unreadable, nil
}

// About says in a few words what it is on: there is little room.
func (o Open) About() string {
	return cmp.Or(words.Join(o.Type, o.Size, o.Route), o.Make, words.YesNo(o.run, "one just begun", "a trial just begun"))
}

// Says is About after when it was last written to, and how far it has come: what tells two of one
// cable apart comes first.
func (o Open) Says(now time.Time) string {
	return o.far(now) + ": " + words.YesNo(o.run, "run of ", "") + o.About()
}

// far is when it was last written to, and how far it has come.
func (o Open) far(now time.Time) string {
	far := words.Count(o.Pushes, "push")
	switch {
	case o.Empty:
		far = "just begun"
	case o.run:
		far = "under way"
	case o.Pushes == 0:
		far = "no push yet"
	case o.Pushes > 1:
		far = fmt.Sprintf("%d pushes", o.Pushes)
	}
	return words.Join(dayAndTime(o.Last, now), far, words.YesNo(o.example, "example", ""))
}

// dayAndTime is when something was, without what goes without saying.
func dayAndTime(at, now time.Time) string {
	at = at.In(now.Location())
	layout := "2006-01-02 15:04"
	if at.Year() == now.Year() && at.YearDay() == now.YearDay() {
		layout = "15:04"
	}
	return at.Format(layout)
}

// goOn goes on with it; one that is just begun can be thrown away instead.
func (o Open) goOn() func(Flow) (Flow, Effect) {
	if o.run {
		return going((&runDesk{library: o.library}).resume(o.ID))
	}
	return func(f Flow) (Flow, Effect) { return f, Resume{o.ID} }
}

// unfinishedShown is how many are listed on a page: of so many every word is seen at every size.
const unfinishedShown = 4

// unfinishedPage lists what is not closed, a few at a time.
func unfinishedPage(list []Open, now time.Time, from int) Question {
	q := Question{ID: "unfinished", Title: "Not finished: go on with which?", Place: "start", Help: []string{
		"What was answered is kept until it is closed: go on with it, and stop it if it is not needed any more.",
		"One that is just begun, with nothing checked or tried, can be thrown away.",
	}}
	page := func(from int) Turn {
		return Turn{func(k Keeper) (Keeper, *Home, error) {
			return k, &Home{Page: func() Question { return unfinishedPage(list, now, from) }}, nil
		}}
	}
	to := min(from+unfinishedShown, len(list))
	for _, o := range list[from:to] {
		c := Choice{Label: o.Says(now), Do: o.goOn()}
		if o.Empty {
			c.Do = going(Turn{func(k Keeper) (Keeper, *Home, error) {
				return k, &Home{Page: func() Question { return emptyPage(o, page(from)) }}, nil
			}})
		}
		q.Choices = append(q.Choices, c)
	}
	if len(list) > unfinishedShown {
		next := Choice{Label: "Page on", Rank: Minor, Also: &Keys.More, Do: going(page(to % len(list)))}
		q.Choices = append(q.Choices, next)
	}
	q.Choices = append(q.Choices, goingHome(Minor))
	return q
}

// emptyPage asks what becomes of a record that is just begun.
func emptyPage(o Open, back Turn) Question {
	return Question{ID: "unfinished-empty", Title: "Just begun: nothing is checked or tried", Place: "start", Body: []string{o.About() + "."}, Choices: []Choice{
		{Label: "Go on with it", Do: o.goOn()},
		{Label: "Throw it away", Do: going(Turn{func(k Keeper) (Keeper, *Home, error) {
			if err := o.library.Discard(o.ID); err != nil {
				return k, nil, err
			}
			if k.Home == nil {
				return k, nil, nil
			}
			home, err := k.Home()
			return k, home, err
		}})},
		{Label: "Back", Rank: Minor, Do: going(back)},
	}}
}

// PickUnfinished returns the page that lists all trials and runs that are not closed; none where
// there is at most one trial, with something in it, and no run.
func PickUnfinished(k Keeper, library *profiles.Library) (Keeper, *Home, error) {
	trials, _, err := Unfinished(library)
	if err != nil {
		return k, nil, err
	}
	runs, _, err := unfinishedRuns(library)
	if err != nil {
		return k, nil, err
	}
	if len(runs) == 0 && (len(trials) == 0 || len(trials) == 1 && !trials[0].Empty) {
		return k, nil, nil
	}
	list, now := append(trials, runs...), library.Now()
	k.Bye = "Left. Everything answered is on disk."
	return k, &Home{Page: func() Question { return unfinishedPage(list, now, 0) }}, nil
}
