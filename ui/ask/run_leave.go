package ask

import (
	"fmt"
	"strings"

	"brinkmark/session"
	"brinkmark/session/run"
	"brinkmark/ui/words"
)

// safeSteps are the steps of making safe, to be read from a page.
func safeSteps() []string {
	_, steps := session.MakeSafe()
	for i, s := range steps {
		steps[i] = fmt.Sprintf("%d. %s", i+1, s)
	}
	return steps
}

// atOnce is what is to be done before anything is read, where a stop is for that.
func atOnce(reason string) []string {
	switch reason {
	case run.StopFold:
		return []string{"! " + run.FoldDo()}
	case run.StopJacket:
		return []string{"! " + run.JacketDo()}
	case run.StopRadio:
		return []string{"! " + run.RadioLostDo}
	}
	return nil
}

// live is what may be live as the record stands: nobody knows but the crew.
func (r RunFlow) live() string {
	last, standing := r.lastEntry()
	if a, answer := last.(session.Answer); standing && answer && a.Item == run.ItemLeft || !standing || r.engine.MadeSafe() {
		return ""
	}
	switch r.view.Stage {
	case run.RunStage:
		return "the cable moves, drive and air are on"
	case run.StopStage, run.ArriveStage:
		return "drive and air may be on, the duct may hold air"
	case run.ProveStage, run.AirStage:
		return "the duct may hold air"
	}
	return ""
}

// stillLive says aloud to who leaves what stays live, and how to make it safe.
func (r RunFlow) stillLive() string {
	what := r.live()
	if what == "" {
		return ""
	}
	_, steps := session.MakeSafe()
	return fmt.Sprintf("STILL LIVE by the record: %s. This program stops nothing. %s", what, strings.Join(steps, " "))
}

// wasLive says to who comes back how it was left.
func (r RunFlow) wasLive() string {
	what := r.live()
	if what == "" {
		return ""
	}
	return "Left without being made safe: by the record " + what + ". Look before anything else."
}

// leaving is the way out: over the question whether it is safe, where something may be live.
func (p runPage) leaving() Choice {
	out := Choice{Label: "Leave; it can be gone on with", Do: leave, Rank: Global}
	if p.begun() && p.step != runLeave && p.live() != "" {
		out.Do, out.Also = going(p.turn(p.at(runLeave))), &Keys.Leave
	}
	return out
}

// leave asks to make safe before the crew goes; who goes all the same was told what is live.
func (p runPage) leave() Question {
	what := p.live()
	if what == "" {
		return Question{ID: "run-left", Title: "Made safe, and written down", Body: []string{"The run is not finished: \"brinkmark run\" goes on with it."}, Choices: []Choice{
			{Label: "Leave", Do: leave, Rank: Major}, p.back("Back: go on with the run", p.first())}}
	}
	question := Question{ID: "run-leave", Title: "!! Leaving: " + what, Body: append([]string{"This screen stops nothing. Before you go:"}, safeSteps()...)}
	question.Choices = []Choice{
		p.to("All done, gauge reads zero", p.writingAt(runLeave, p.answer(run.ItemLeft, words.LowerFirst("All done, gauge reads zero"), "")), Major),
		p.back("Back: nobody leaves", p.first()),
		{Label: "Leave it live, somebody stays with it", Do: leave, Rank: Minor},
	}
	return question
}
