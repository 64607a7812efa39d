package ask

import (
	"time"

	"brinkmark/profiles"
	"brinkmark/ui/words"
)

// Home is what the start page knows of the library.
type Home struct {
	Unfinished []Open            // the trials to go on with, newest first
	Others     func(Flow) Turn   // goes to all that is not finished; nil where the start page has it all
	Jobs       []profiles.Record // the last jobs, newest first, entries left out
	Notes      []string          // what the crew must be told
	Now        time.Time         // when it was looked at

	Practise func(Keeper) (Keeper, *Home, error) // goes to practice; nil where there is none
	Reach    func(Flow) Turn                     // goes to a route and how far the cable will come; nil where there is none
	Review   func(Flow) Turn                     // goes to the supervisor's pages; nil where there are none
	Run      string                              // what the run to go on with is of; empty where there is none
	Runs     func(Flow) Turn                     // goes to that run, or to a new one; nil where there is no profile
	Page     func() Question                     // another page than the start page
}

// LastJobs is how many of the last jobs are offered to begin from.
const LastJobs = 3

// Question asks what to do first.
func (h *Home) Question() Question {
	if h.Page != nil {
		return h.Page()
	}
	q := Question{ID: "start", Title: "What now?", Body: h.Notes, Help: []string{
		"A trial finds the strongest push at which the drive gives up before the cable does.",
		"It takes a few metres of bare cable, a short plugged stub, no air, and two people.",
		"The example is an invented job to try the program on. Its records are kept apart.",
	}}
	begin := func(job profiles.Record, example bool) func(Flow) (Flow, Effect) {
		return func(f Flow) (Flow, Effect) { return f, Begin{Job: job, Example: example} }
	}
	practise := Choice{Label: "Practise on a simulated rig", Do: func(f Flow) (Flow, Effect) { return f, Turn{h.Practise} }, Rank: Minor}
	fresh := h.Practise != nil && len(h.Unfinished) == 0 && h.Run == "" && len(h.Jobs) == 0
	if fresh {
		practise.Label, practise.Rank = "New here? Practise first: a simulated rig, no cable", Major
		q.Choices = append(q.Choices, practise)
	}
	if h.Run != "" {
		q.Choices = append(q.Choices, Choice{Label: "Go on with the run: " + h.Run, Do: func(f Flow) (Flow, Effect) { return f, h.Runs(f) }})
	}
	jobs := LastJobs // more choices than digits are a list, and no longer a page of buttons
	if len(h.Unfinished) > 0 {
		newest := h.Unfinished[0]
		q.Choices = append(q.Choices, Choice{Label: "Go on: " + newest.About() + ", " + newest.far(h.Now), Do: newest.goOn()})
		if h.Runs != nil {
			jobs--
		}
	}
	if h.Others != nil {
		jobs--
		q.Choices = append(q.Choices, Choice{Label: "All that is not finished", Do: func(f Flow) (Flow, Effect) { return f, h.Others(f) }})
	}
	for i, job := range h.Jobs {
		if i < jobs {
			q.Choices = append(q.Choices, Choice{Label: "New trial: " + About(job), Do: begin(job, false)})
		}
	}
	other := Choice{Label: "New trial, other job", Do: begin(profiles.Record{Format: profiles.Format}, false)}
	example := Choice{Label: "Try the example", Do: begin(profiles.Record{}, true), Rank: Minor}
	switch {
	case fresh:
		other.Rank = Minor
		q.Choices = append(q.Choices, example, other)
	case h.Practise != nil:
		q.Choices = append(q.Choices, other, example, practise)
	default:
		q.Choices = append(q.Choices, other, example)
	}
	if h.Runs != nil && h.Run == "" {
		q.Choices = append(q.Choices, Choice{Label: "Record a run", Rank: Minor, Do: func(f Flow) (Flow, Effect) { return f, h.Runs(f) }})
	}
	if h.Reach != nil {
		q.Choices = append(q.Choices, Choice{Label: "Will it reach?", Rank: Minor, Do: func(f Flow) (Flow, Effect) { return f, h.Reach(f) }})
	}
	if h.Review != nil {
		q.Choices = append(q.Choices, Choice{Label: "Review the records", Rank: Minor, Do: func(f Flow) (Flow, Effect) { return f, h.Review(f) }})
	}
	return q
}

// About says in a line what a job is on.
func About(r profiles.Record) string {
	return words.Join(r.Cable.Make, r.Cable.Type, r.Duct.Size, r.Conditions.CableTemperature.String())
}

// findRun looks for the run to go on with, and whether there is anything to begin one from.
func (h *Home) findRun(library *profiles.Library) {
	runs, _, err := unfinishedRuns(library)
	switch {
	case err == nil && len(runs) > 0:
		h.Run = runs[0].About()
		h.Runs = func(Flow) Turn { return (&runDesk{library: runs[0].library}).resume(runs[0].ID) }
	case len(h.Jobs) > 0:
		h.Runs = func(f Flow) Turn { return (&runDesk{library: library}).begin("", nil, f.Metric) }
	}
	if len(runs) > 1 || len(h.Unfinished) > 1 || len(h.Unfinished) == 1 && h.Unfinished[0].Empty {
		h.Others = func(Flow) Turn {
			return Turn{func(k Keeper) (Keeper, *Home, error) { return PickUnfinished(k, library) }}
		}
	}
}
