package ui

import (
	"brinkmark/profiles"
)

// Home is what the start page knows of the library.
type Home struct {
	Unfinished string            // id of the trial to go on with
	About      string            // what it is
	Jobs       []profiles.Record // the last jobs, newest first, entries left out
	Notes      []string          // what the crew must be told

	practise func(Keeper) (Keeper, *Home, error) // goes to practice; nil where there is none
	reach    func(Flow) Turn                     // goes to a route and how far the cable will come; nil where there is none
	review   func(Flow) Turn                     // goes to the supervisor's pages; nil where there are none
	run      string                              // what the run to go on with is of; empty where there is none
	runs     func(Flow) Turn                     // goes to that run, or to a new one; nil where there is no profile
	page     func() Question                     // another page than the start page
}

// lastJobs is how many of the last jobs are offered to begin from.
const lastJobs = 3

// question asks what to do first.
func (h *Home) question() Question {
	if h.page != nil {
		return h.page()
	}
	q := Question{ID: "start", Title: "What now?", Body: h.Notes, Help: []string{
		"A trial finds the strongest push at which the drive gives up before the cable does.",
		"It takes a few metres of bare cable, a short plugged stub, no air, and two people.",
		"The example is an invented job to try the program on. Its records are kept apart.",
	}}
	begin := func(job profiles.Record, example bool) func(Flow) (Flow, Effect) {
		return func(f Flow) (Flow, Effect) { return f, Begin{Job: job, Example: example} }
	}
	practise := Choice{Label: "Practise on a simulated rig", do: func(f Flow) (Flow, Effect) { return f, Turn{h.practise} }, rank: minor}
	fresh := h.practise != nil && h.Unfinished == "" && h.run == "" && len(h.Jobs) == 0
	if fresh {
		practise.Label, practise.rank = "New here? Practise first: a simulated rig, no cable", major
		q.Choices = append(q.Choices, practise)
	}
	if h.run != "" {
		q.Choices = append(q.Choices, Choice{Label: "Go on with the run: " + h.run, do: func(f Flow) (Flow, Effect) { return f, h.runs(f) }})
	}
	if h.Unfinished != "" {
		q.Choices = append(q.Choices, Choice{Label: "Go on: " + either(h.About, "a trial just begun"), do: func(f Flow) (Flow, Effect) { return f, Resume{h.Unfinished} }})
	}
	jobs := lastJobs
	if h.runs != nil && h.Unfinished != "" {
		jobs-- // more choices than digits are a list, and no longer a page of buttons
	}
	for i, job := range h.Jobs {
		if i < jobs {
			q.Choices = append(q.Choices, Choice{Label: "New trial as last: " + about(job), do: begin(job, false)})
		}
	}
	other := Choice{Label: "New trial, other job", do: begin(profiles.Record{Format: profiles.Format}, false)}
	example := Choice{Label: "Try the example", do: begin(profiles.Record{}, true), rank: minor}
	switch {
	case fresh:
		other.rank = minor
		q.Choices = append(q.Choices, example, other)
	case h.practise != nil:
		q.Choices = append(q.Choices, other, example, practise)
	default:
		q.Choices = append(q.Choices, other, example)
	}
	if h.runs != nil && h.run == "" {
		q.Choices = append(q.Choices, Choice{Label: "Record a run", rank: minor, do: func(f Flow) (Flow, Effect) { return f, h.runs(f) }})
	}
	if h.reach != nil {
		q.Choices = append(q.Choices, Choice{Label: "Will it reach?", rank: minor, do: func(f Flow) (Flow, Effect) { return f, h.reach(f) }})
	}
	if h.review != nil {
		q.Choices = append(q.Choices, Choice{Label: "Review the records", rank: minor, do: func(f Flow) (Flow, Effect) { return f, h.review(f) }})
	}
	return q
}

func about(r profiles.Record) string {
	return join(r.Cable.Make, r.Cable.Type, r.Duct.Size, r.Conditions.CableTemperature.String())
}
