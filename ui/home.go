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
}

// question asks what to do first.
func (h *Home) question() Question {
	q := Question{ID: "start", Title: "What now?", Body: h.Notes, Help: []string{
		"A trial finds the strongest push at which the drive gives up before the cable does.",
		"It takes a few metres of bare cable, a short plugged stub, no air, and two people.",
		"The example is an invented job to try the program on. Its records are kept apart.",
	}}
	begin := func(job profiles.Record, example bool) func(Flow) (Flow, Effect) {
		return func(f Flow) (Flow, Effect) { return f, Begin{Job: job, Example: example} }
	}
	if h.Unfinished != "" {
		q.Choices = append(q.Choices, Choice{Label: "Go on: " + h.About, do: func(f Flow) (Flow, Effect) { return f, Resume{h.Unfinished} }})
	}
	for i, job := range h.Jobs {
		if i < 2 {
			q.Choices = append(q.Choices, Choice{Label: "New trial as last: " + about(job), do: begin(job, false)})
		}
	}
	q.Choices = append(q.Choices,
		Choice{Label: "New trial, other job", do: begin(profiles.Record{Format: profiles.Format}, false)},
		Choice{Label: "Try the built-in example", do: begin(profiles.Record{}, true), rank: minor})
	return q
}

func about(r profiles.Record) string {
	return join(r.Cable.Make, r.Cable.Type, r.Duct.Size, r.Conditions.CableTemperature.String())
}
