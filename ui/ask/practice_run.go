package ask

import (
	"fmt"
	"math"

	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

// runQuestion shows a practice run as it stands and asks what to do.
func (s *school) runQuestion(run *practice.RunBench, end *ending) Question {
	state, l := run.State(), run.Lesson()
	question := Question{ID: "run", Title: "The run: what now?"}
	if state.In == 0 {
		question.Title = l.Title
		question.Body = []string{"! " + practice.Notice, "Goal: " + l.Goal}
	}
	speed := func(v q.Speed) string { return l.Job.Rig.ShowSpeed(float64(v)) }
	now := q.From[q.Speed](math.Round(q.In(state.Cable, l.Job.Rig.PushUnit)), l.Job.Rig.PushUnit)
	question.Body = append(question.Body,
		fmt.Sprintf("Install setting: %s. Push control now: %s.", speed(l.Run.Speed), speed(state.Reading)),
		fmt.Sprintf("In the duct: %s. The cable runs at %s.", practice.ShowLength(state.In, l.Job.Rig), speed(now)))
	act := func(label string, a practice.RunAct) Choice {
		return Choice{Label: label, Do: going(Turn{func(k Keeper) (Keeper, *Home, error) {
			if run.Do(a).Ended {
				end.close(run.Review())
				return s.endOfRun(end).To(k)
			}
			return s.page(func() Question { return s.runQuestion(run, end) }).To(k)
		}})}
	}
	question.Choices = []Choice{
		act("Let it run", practice.RunOn),
		act("Push harder by "+speed(l.Run.Harder), practice.PushHarder),
		act("Stop and look", practice.StopAndLook),
		{Label: "Leave; nothing of it is kept", Do: going(end.back), Rank: Minor},
	}
	return question
}

// endOfRun is a turn to the review of a run.
func (s *school) endOfRun(end *ending) Turn {
	again := Turn{func(k Keeper) (Keeper, *Home, error) {
		end.write()
		return s.endOfRun(end).To(k)
	}}
	return s.page(func() Question { return end.page(again) })
}
