package ask

import (
	"fmt"
	"slices"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/session/run"
)

// Checks that are asked at a moment of their own within their stage.
const (
	afterTest = "proof-vented"  // once the pressure test is written down
	lastGate  = "far-end-clear" // right before the cable moves
)

// due are the open checks, but those that have their own moment.
func (p runPage) due(but ...string) []session.Check {
	return slices.DeleteFunc(slices.Clone(p.view.Due), func(c session.Check) bool { return slices.Contains(but, c.ID) })
}

// checks asks the first of the open checks: a killer alone, others together with those that
// follow at the same place.
func (p runPage) checks(due []session.Check) Question {
	if p.step == runOne || p.step == runSkip {
		for _, c := range due {
			if c.ID == p.draft.key {
				return p.check(c, len(due))
			}
		}
	}
	var block []session.Check
	for _, c := range due {
		if c.Killer || c.Alone || p.record.People.Trainee || p.foundWrong(c.ID) || c.Block != due[0].Block {
			break
		}
		block = append(block, c)
	}
	if len(block) > 1 {
		return p.block(block, len(due))
	}
	return p.check(due[0], len(due))
}

// toBeSafe asks what comes first in a stage, its cautions and then the checks that are due,
// and reports whether there is any of it.
func (p runPage) toBeSafe(due []session.Check) (question Question, first bool) {
	if question, first = p.onSite(); first {
		return question, first
	}
	switch {
	case !p.view.CautionsRead:
		return p.cautions(p.view.Stage), true
	case len(due) > 0:
		return p.checks(due), true
	}
	return Question{}, false
}

// foundWrong reports whether a check was answered and is open all the same.
func (p runPage) foundWrong(id string) bool {
	return slices.ContainsFunc(p.record.Answers, func(a profiles.Answer) bool { return a.Item == id })
}

// alone goes to one check of a block.
func (p runPage) alone(id string, s runStep) RunFlow {
	next := p.at(s)
	next.draft.key = id
	return next
}

func (p runPage) block(block []session.Check, open int) Question {
	question := aboutBlock(block, open, func(c session.Check) string { return c.States[0] })
	var answers []profiles.RunEntry
	choices := []Choice{{}}
	for _, c := range block {
		answers = append(answers, p.answer(c.ID, c.States[0], ""))
		choices = append(choices, p.to("Not so: "+c.Ask, p.alone(c.ID, runOne), Minor))
	}
	choices[0] = p.to(fmt.Sprintf("All %d are as shown", len(block)), p.writing(answers...), Major)
	question.Choices = choices
	return question
}

// check asks one check by its states. What is not yet written of the step is kept.
func (p runPage) check(c session.Check, open int) Question {
	if p.step == runSkip && p.draft.key == c.ID {
		return p.skip(c)
	}
	question := aboutCheck(c, open, p.record.People.Trainee)
	step := runFirst
	if p.step == runMoves || p.step == runReady {
		step = p.step
	}
	for _, state := range c.States { // a wrong state is written too: it was seen
		question.Choices = append(question.Choices, p.to(state, p.writingAt(step, p.answer(c.ID, state, "")), Major))
	}
	if !c.Killer {
		question.Choices = append(question.Choices, p.to("Leave out, say why", p.alone(c.ID, runSkip), Minor))
	}
	return question
}

func (p runPage) skip(c session.Check) Question {
	skipped := func(reason string) RunFlow {
		a := p.answer(c.ID, "left out", "")
		a.SkipReason = reason
		return p.writing(a)
	}
	question := p.pad(c.ID+" left out", "Why is this left out?", Entering{Label: "Reason in your words", Example: "cannot be seen from here"}, Choice{}, func(text string) (RunFlow, error) { return skipped(text), nil })
	question.Body = []string{c.Ask, "If not: " + c.Wrong}
	for _, reason := range []string{"does not apply here", "cannot be mended today"} {
		question.Choices = append(question.Choices, p.to(reason, skipped(reason), Major))
	}
	return question
}

// prove is the duct's day sheet: its checks, its figures, and what they are worth.
func (p runPage) prove() Question {
	question, first := p.toBeSafe(p.due(afterTest))
	switch {
	case first:
		return question
	case len(p.view.Missing) > 0:
		return p.mandrel()
	case len(p.view.Due) > 0:
		return p.checks(p.view.Due)
	}
	judged, _ := p.view.Proving.Get()
	question = Question{ID: "run-proved", Title: "The day sheet is whole: is the duct fit?", Body: judged.Lines}
	passed, known := judged.Passed.Get()
	if passed {
		question.Title = "The duct held its pressure"
	}
	if known && !passed {
		question.Title = "The duct leaks: find it before the cable goes in"
		question.Choices = []Choice{p.to("Mended: make the sheet again", p.at(runMandrel), Major), p.to("Go on all the same", p.at(runNoSheet), Minor)}
	} else {
		question.Choices = []Choice{p.to("Go on to the drive", p.writing(p.answer(run.ItemProved, run.DuctProved, "")), Major), p.to("Make the sheet again", p.at(runMandrel), Minor)}
	}
	return question.with(p.to("No run today", p.at(runGaveUp), Minor))
}

// arrived makes safe, closes the ends, and takes down what was found.
func (p runPage) arrived() Question {
	_, found := p.view.Closing.Get()
	question, first := p.toBeSafe(p.view.Due)
	switch {
	case first:
		return question
	case !found:
		return p.stub()
	}
	return Question{ID: "run-summary", Title: "This is what goes on record", Body: p.record.Lines(p.now), Choices: []Choice{
		p.to("Close the run", p.writing(p.answer(run.ItemClosed, run.RunClosed, "")), Major),
		p.to("Write it down again", p.at(runStub), Minor),
	}}
}

// closed ends a run with what there is to tell of it.
func (p runPage) closed() Question {
	return Question{ID: "closed", Title: "This run is closed", Body: p.record.Lines(p.now), Choices: []Choice{
		goingHome(Major), {Label: "Leave", Do: leave, Rank: Global},
	}}
}
