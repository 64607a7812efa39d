package ask

import (
	"cmp"
	"fmt"
	"strconv"

	"brinkmark/profiles"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// reason asks why the cable stands, by one press.
func (p runPage) reason() Question {
	stopped := func(reason string) RunFlow {
		next := p.at(runStopMark)
		next.draft.stop = profiles.RunStop{Reason: reason, Stalled: reason == run.StopStalled, By: p.record.People.Operator}
		if reason == run.StopFold || reason == run.StopJacket { // on record before anything else is asked
			return p.writing(next.draft.stop)
		}
		return next
	}
	question := Question{ID: "run-reason", Title: "Drive stopped, air as the stop needs it. Why does it stand?"}
	for _, reason := range run.StopReasons() {
		choice := p.to(words.Capital(reason), stopped(reason), Major)
		if reason == run.StopFold {
			choice.Look = draw.LookFold
		}
		question.Choices = append(question.Choices, choice)
	}
	question.Enter = p.pad("", "", Entering{Label: "Another reason", Example: "traffic on the site"}, Choice{}, func(text string) (RunFlow, error) { return stopped(text), nil }).Enter
	return question
}

func (p runPage) stopMark() Question {
	write := func(mark profiles.Quantity[q.Length]) RunFlow {
		stop := p.draft.stop
		stop.Mark = mark
		return p.writing(stop)
	}
	question := p.pad("run-stop-mark", "It stands. Print mark at the pointer?", Entering{Label: "Print mark", Example: p.markText(p.view.Now.Printed.Or(0)), Known: p.lastMark(), Now: p.markText(p.reckoned())}, p.to("Not read", write(profiles.Quantity[q.Length]{}), Minor), func(text string) (RunFlow, error) {
		mark, err := profiles.NewQuantity[q.Length](text)
		return p.unlessOdd(text, p.engine.Plan.OddMark(text, p.view.Now.Printed), write(mark)), err
	})
	question.Body = []string{"It tells where to look from the surface."}
	if len(atOnce(p.draft.stop.Reason)) > 0 { // beside a keypad there is room for two lines; the next page has all of it
		question.Body = []string{"! Stop, isolate, shut the air, vent, tell the far end."}
	}
	return question
}

// lastStop is the stop that lasts.
func (r RunFlow) lastStop() run.Stopped {
	if n := len(r.view.Stops); n > 0 {
		return r.view.Stops[n-1]
	}
	return run.Stopped{}
}

// stopped says where it stands and since when, and leads on or to the end.
func (p runPage) stopped() Question {
	s := p.lastStop()
	question := Question{ID: "run-stopped", Title: "It stands: " + s.Reason, Big: p.stopFigures(s), Again: func() Turn { return p.turn(p.first()) }, Help: append(p.runningHelp(), runHelp...)}
	if worst, is := p.urgent(); is {
		question.Title = p.alarm(worst)
	}
	question.Body = append(append(p.alertLines(), p.placeLines(s)...), p.readingLines()...)
	if p.told != "" {
		question.Body = append(question.Body, p.told)
	}
	end := p.to("The run ends here", p.at(runEnd), Major)
	if p.view.Folded {
		end = p.to(end.Label, p.at(runGaveUp), Major)
	}
	question.Choices = []Choice{end}
	if p.engine.MayGoOn() == nil { // neither hurt, nor too warm for any setting
		question.Choices = []Choice{p.to("Make ready to go on", p.at(runReady), Major), p.to(end.Label, p.at(runEnd), Minor)}
	}
	if !p.hurt() {
		question.Choices = append(question.Choices, p.to("Read setting back", p.at(runCableWarm), Minor))
	}
	question.Choices = append(append(question.Choices, p.to("Another reading", p.at(runValues), Minor)), p.corrections()...)
	return question
}

// hurt reports whether the cable folded, or its jacket was marked: nothing is pushed any more.
func (r RunFlow) hurt() bool { return r.view.Folded || r.view.Damaged }

// ready asks for the far end's word anew, and then for the press as it moves.
func (p runPage) ready() Question {
	if len(p.view.Due) > 0 {
		return p.checks(p.view.Due)
	}
	entries := []profiles.RunEntry{profiles.RunRestart{By: p.record.People.Operator}}
	if !p.view.CautionsRead {
		entries = append([]profiles.RunEntry{p.cautionsRead(run.StopStage)}, entries...)
	}
	question := Question{ID: "run-ready", Title: "Push; press as the cable moves again", Body: []string{
		"Friction at rest is higher than in motion.", run.RestartDo}}
	for _, c := range p.view.Cautions {
		question.Body = append(question.Body, "! "+c.Say)
	}
	moves := p.to("It moves", p.writing(entries...), Major)
	moves.Key = "7" // no key of the pages before: one key pressed for ever sets nothing going
	question.Choices = []Choice{moves, p.to("Back: it still stands", p.first(), Minor)}
	return question
}

// end asks whether the cable is home.
func (p runPage) end() Question {
	arrived := p.at(runEndMark)
	arrived.draft.end = profiles.RunEnd{Arrived: true, By: cmp.Or(p.record.People.FarEnd, p.record.People.Operator)}
	question := Question{ID: "run-end", Title: "Stop word called? Does the far end see the cable?", Choices: []Choice{
		p.to("Seen at the far end", arrived, Major),
		p.to("It ends short of it", p.at(runGaveUp), Major),
		p.back(words.YesNo(p.hurt(), "Back: it does not end", "Back: the run goes on"), p.first()),
	}}
	question.Body = append(safeSteps(), "Nothing is opened before the gauge reads zero.")
	return question
}

// gaveUp asks why the run ends without the cable home.
func (p runPage) gaveUp() Question {
	ended := func(reason string) RunFlow {
		end := profiles.RunEnd{Reason: reason, By: p.record.People.Operator}
		if !p.view.Started {
			return p.writing(end)
		}
		next := p.at(runEndMark)
		next.draft.end = end
		return next
	}
	question := Question{ID: "run-gave-up", Title: "Why does the run end here?"}
	reasons := []string{"stuck", run.EndFold, "air cannot be held", "goes on from another point", "time or weather"}
	if !p.view.Started {
		reasons = []string{"duct not fit", "too warm or too cold", "air not fit", "time or weather"}
	}
	switch {
	case p.view.Folded:
		reasons = []string{run.EndFold}
	case p.view.Damaged:
		reasons = []string{run.EndJacket}
	}
	for _, reason := range reasons {
		question.Choices = append(question.Choices, p.to(words.Capital(reason), ended(reason), Major))
	}
	question.Enter = p.pad("", "", Entering{Label: "Another reason", Example: "stop word from the far end"}, Choice{}, func(text string) (RunFlow, error) { return ended(text), nil }).Enter
	return question.with(p.back("Back: it does not end", p.first()))
}

func (p runPage) endMark() Question {
	write := func(mark profiles.Quantity[q.Length]) RunFlow {
		end := p.draft.end
		end.Mark = mark
		return p.writing(end)
	}
	return p.pad("run-end-mark", "Print mark at the pointer, as it came to rest?", Entering{Label: "Print mark", Example: p.markText(p.view.Now.Printed.Or(0)), Known: p.lastMark(), Now: p.markText(p.reckoned())}, p.to("Not read", write(profiles.Quantity[q.Length]{}), Minor), func(text string) (RunFlow, error) {
		mark, err := profiles.NewQuantity[q.Length](text)
		return p.unlessOdd(text, p.engine.Plan.OddMark(text, p.view.Now.Printed), write(mark)), err
	})
}

// stub begins what is taken down at the end.
func (p runPage) stub() Question {
	question := Question{ID: "run-stub", Title: "Stub and plug of the trial: retired?"}
	for _, a := range []struct {
		label   string
		retired bool
	}{{"Retired: out of use", true}, {"Kept, marked as used", false}} {
		next := p.at(runJacket)
		next.draft.closing.StubRetired = &a.retired
		question.Choices = append(question.Choices, p.to(a.label, next, Major))
	}
	return question
}

func (p runPage) jacket() Question {
	found := func(words string, damaged bool) RunFlow {
		next := p.at(runFolds)
		next.draft.closing.Jacket, next.draft.closing.Damaged = words, damaged
		return next
	}
	question := Question{ID: "run-jacket", Title: "The jacket, where it can be seen?", Body: []string{"Behind the drive, and of what came out at the far end."}}
	question.Choices = []Choice{p.to("Clean", found("clean", false), Major), p.to("Polished, not marked", found("polished, not marked", false), Major), p.to("Marked or cut", found("marked or cut", true), Major)}
	question.Enter = p.pad("", "", Entering{Label: "In your words, not damaged", Example: "scuffed at the head"}, Choice{}, func(text string) (RunFlow, error) { return found(text, false), nil }).Enter
	return question
}

func (p runPage) folds() Question {
	question := Question{ID: "run-folds", Counts: true, Title: "How often did the cable fold in this run?"}
	labels := []string{"Never", "Once", "Twice", "More often"}
	if p.view.Folded {
		question.Body = []string{"A stop of this run was for a fold."}
		labels[0] = ""
	}
	for n, label := range labels {
		next := p.at(runSlack)
		next.draft.closing.Folds = n
		if label != "" {
			choice := p.to(label, next, Major)
			if n > 0 {
				choice.Look = draw.LookFold
			}
			question.Choices = append(question.Choices, choice)
		}
	}
	return question
}

func (p runPage) slack() Question {
	return p.pad("run-slack", "Slack laid at the ends, in all?", Entering{Label: "Slack", Example: words.YesNo(p.markUnit() == "ft", "50 ft", "15 m")}, p.to("None, or not measured", p.at(runLoops), Minor), func(text string) (RunFlow, error) {
		next, err := taken(p.RunFlow, text, runLoops, func(d *runDraft, v profiles.Quantity[q.Length]) { d.closing.Slack = v })
		return p.unlessOdd(text, run.OddLoop(text), next), err
	})
}

// mostLoops is more than one run leaves.
const mostLoops = 20

func (p runPage) loops() Question {
	n := len(p.draft.closing.Loops)
	title := "Loop left in a chamber: how long?"
	if n > 0 {
		title = "Loop " + strconv.Itoa(n+1) + ": how long?"
	}
	return p.pad("run-loops", title, Entering{Label: "Length", Example: words.YesNo(p.markUnit() == "ft", "25 ft", "8 m")}, p.to(words.YesNo(n == 0, "No loop", "No more loops"), p.at(runRemainder), Minor), func(text string) (RunFlow, error) {
		if n >= mostLoops {
			return p.RunFlow, fmt.Errorf("%d loops are written down: go on", n)
		}
		next, err := taken(p.RunFlow, text, runLoops, func(d *runDraft, v profiles.Quantity[q.Length]) {
			d.closing.Loops = append(append([]profiles.Quantity[q.Length]{}, d.closing.Loops...), v)
		})
		return p.unlessOdd(text, run.OddLoop(text), next), err
	})
}

func (p runPage) remainder() Question {
	return p.pad("run-remainder", "How much cable is left on the reel?", Entering{Label: "Left", Example: words.YesNo(p.markUnit() == "ft", "820 ft", "250 m")}, p.to("None, or not known", p.writing(p.draft.closing), Minor), func(text string) (RunFlow, error) {
		v, err := profiles.NewQuantity[q.Length](text)
		done := p.draft.closing
		done.Remainder = v
		return p.unlessOdd(text, run.OddReel(text), p.writing(done)), err
	})
}
