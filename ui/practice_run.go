package ui

import (
	"fmt"
	"math"

	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

// runQuestion shows a practice run as it stands and asks what to do.
func (s *school) runQuestion(run *practice.RunBench) Question {
	state, l := run.State(), run.Lesson()
	question := Question{ID: "run", Title: "The run: what now?"}
	speed := func(v q.Speed) string { return l.Job.Rig.ShowSpeed(float64(v)) }
	in := q.Text(state.In, "m")
	if state.In == 0 {
		question.Title = l.Title
		question.Body = append(question.Body, "! "+practice.Notice, "Goal: "+l.Goal)
	}
	question.Body = append(question.Body,
		fmt.Sprintf("Install setting: %s. Push control now: %s.", speed(l.Run.Speed), speed(state.Reading)),
		fmt.Sprintf("In the duct: %s. The cable runs at %s.", in, speed(q.From[q.Speed](math.Round(q.In(state.Cable, l.Job.Rig.PushUnit)), l.Job.Rig.PushUnit))))
	act := func(label string, a practice.RunAct) Choice {
		return Choice{Label: label, do: going(Turn{func(k Keeper) (Keeper, *Home, error) {
			if run.Do(a).Ended {
				return s.ended(run.Review()).to(k)
			}
			return s.page(func() Question { return s.runQuestion(run) }).to(k)
		}})}
	}
	question.Choices = []Choice{
		act("Let it run", practice.RunOn),
		act("Push harder by "+speed(l.Run.Harder), practice.PushHarder),
		act("Stop and look", practice.StopAndLook),
		{Label: "Leave; nothing of it is kept", do: going(Turn{s.enter}), rank: minor},
	}
	return question
}

// ended keeps the result of a run and turns to its review.
func (s *school) ended(r practice.Review) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		err := s.keep(r)
		return s.page(func() Question {
			question := Question{ID: "review", Title: "How it went", Body: r.Lines(),
				Choices: []Choice{{Label: "To the lessons", do: going(Turn{s.enter})}}}
			if err != nil {
				question.Body = append([]string{"! The result is not in the history yet: " + err.Error()}, question.Body...)
				question.Choices = append(question.Choices, Choice{Label: "Write it again", do: going(s.ended(r))})
			}
			return question
		}).to(k)
	}}
}
