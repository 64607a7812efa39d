package ask

import (
	"fmt"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// actsQuestion asks for what must be done by hand after the last push, before anything
// else: after a fold, after a slip, or before the trial ends.
func (f Flow) actsQuestion(stage session.Stage) (Question, bool) {
	if stage != session.CheckStage && stage != session.ClimbStage && stage != session.SettingStage {
		return Question{}, false
	}
	question, due := Question{}, true
	switch {
	case f.draft.step == stepSafe:
		question = f.safeQuestion()
	case f.draft.step == StepRead: // it was taken back
		return question, false
	case f.folded():
		question = f.foldQuestion()
	case f.slipped() && f.draft.step == stepUsed:
		question = f.usedQuestion()
	case f.slipped():
		question = f.slipQuestion()
	default:
		due = false
	}
	question.Stage = session.ClimbStage
	return question, due
}

// lastPush is the last attempt, as the engine has it and as it is written.
func (f Flow) lastPush() (session.Attempt, profiles.Attempt) {
	attempts := f.Trial.Attempts()
	if len(attempts) == 0 {
		return session.Attempt{}, profiles.Attempt{}
	}
	last := attempts[len(attempts)-1]
	return last, f.written(last)
}

// folded reports whether the last push has bent the cable and nobody has said yet how much
// of it was cut off. That comes last of what is done after a fold.
func (f Flow) folded() bool {
	last, written := f.lastPush()
	return last.Bent() && written.CableUsed.String() == ""
}

func (f Flow) slipped() bool { return len(f.Trial.DueAfterSlip()) > 0 }

// foldQuestion leads from a folded cable to a fresh end: isolate, everyone clear, draw it
// back, cut. One decision a page, and no way past any.
func (f Flow) foldQuestion() Question {
	due := f.Trial.DueAfterFold(f.Now)
	if len(due) == 0 {
		return f.usedQuestion()
	}
	last, _ := f.lastPush()
	c := due[0]
	question := aboutCheck(c, len(due), false)
	question.Choices = f.states(c)
	question.Body = f.saidWrong(c)
	switch c.ID {
	case "fold-isolated":
		question.Title = "FOLD. Stop. Isolate the supply. No hand before"
		question.Body = append(question.Body, c.How, f.writtenLine(last))
		question.Choices = append(question.Choices, Choice{Label: "No: read it again", Do: f.readAgain(last), Rank: Minor})
	case "fold-clear":
		question.Title = "Isolated. Everyone clear: the cable is a spring"
		question.Body = append(question.Body, c.How)
		for _, caution := range session.Cautions(session.AfterFold) {
			question.Body = append(question.Body, "! "+caution.Say)
		}
	case "fold-withdrawn":
		question.Title = "Isolated: draw the cable back. Is it out?"
		question.Body = append(session.WithdrawSteps(), "! "+c.Wrong)
		if wrong := f.saidWrong(c); wrong != nil {
			question.Body = append(wrong, session.WithdrawSteps()...)
		}
	}
	if f.Trial.People.Trainee {
		question.Body = append(question.Body, c.Teach)
	}
	question.Choices = append(question.Choices, leaving)
	return question
}

// slipQuestion confirms a slip and leads the hand that wipes. The guards, which it has taken
// off, are asked for with the next setting.
func (f Flow) slipQuestion() Question {
	c := f.Trial.DueAfterSlip()[0]
	last, _ := f.lastPush()
	question := aboutCheck(c, 1, false)
	question.ID, question.Title = "slip", "SLIP. Stop, isolate, then wipe the belts"
	isolated := f.answer(c.ID, c.States[0], "")
	done := []profiles.Entry{isolated}
	question.Body = []string{"! " + c.How}
	for _, also := range f.Trial.DueChecks(f.Now, f.Earlier) {
		if also.Hands && f.confirmable(also) {
			question.Body = append(question.Body, "! "+also.Ask+" "+words.Capital(also.States[0])+".")
			done = append(done, f.answer(also.ID, also.States[0], ""))
		}
	}
	question.Body = append(question.Body, f.writtenLine(last))
	question.Choices = []Choice{
		{Label: "All true: isolated, then wiped", Do: write(done...)},
		{Label: "No: read it again", Do: f.readAgain(last), Rank: Minor},
	}
	if !last.JacketDamage {
		question.Choices = append(question.Choices, Choice{Label: "Jacket marked", Do: f.replace(last, true), Rank: Minor})
	}
	if last.CableUsed == 0 {
		question.Choices = append(question.Choices, Choice{Label: "Cable was cut off", Do: GoTo(stepUsed), Rank: Minor})
	}
	if len(done) > 1 {
		question.Choices = append(question.Choices, Choice{Label: "Belts or chalk not so", Do: write(isolated), Rank: Minor})
	}
	question.Choices = append(question.Choices, leaving)
	return question
}

// usedQuestion asks for the cable a fold costs, or a slip that was written with none.
func (f Flow) usedQuestion() Question {
	last, again := f.lastPush()
	if f.draft.none != "" {
		return f.noneQuestion()
	}
	question := Question{ID: "used", Title: "Isolated: cut off all that folded. How much is it?", Body: []string{"Behind the farthest mark of belts, gap or stub."}}
	outcome := session.Fold
	if last.Outcome == session.Slip {
		question.Title, outcome = "SLIP. Stop, isolate, then cut. How much was cut off?", session.Slip
		question.Body = nil
	}
	used := func(f Flow, length profiles.Quantity[q.Length]) (Flow, Effect) {
		if length.Value().Or(0) == 0 && outcome == session.Fold && f.draft.none == "" {
			f.draft.step, f.draft.none = stepUsed, length.String()
			return f, None{}
		}
		again.CableUsed = length
		return f.at(stepFirst), Append{[]profiles.Entry{profiles.Undo{Drops: last.Seq}, again}}
	}
	for _, text := range f.lengths(outcome) {
		question.Choices = append(question.Choices, Choice{Label: text, Do: func(f Flow) (Flow, Effect) {
			return used(f, asWritten[q.Length](text))
		}})
	}
	if outcome == session.Slip {
		question.Choices = append(question.Choices, Choice{Label: "None", Do: GoTo(stepFirst), Rank: Minor})
	} else {
		question.Choices = append(question.Choices, Choice{Label: "No: read it again", Do: f.readAgain(last), Rank: Minor})
	}
	question.Enter = &Entering{Label: "Length", Example: f.lengths(outcome)[2], Take: func(f Flow, text string) (Flow, Effect, error) {
		length, err := profiles.NewQuantity[q.Length](text)
		if err != nil {
			return f, None{}, err
		}
		next, effect := used(f, length)
		return next, effect, nil
	}}
	return question
}

// noneQuestion asks once more where a fold is said to have cost no cable.
func (f Flow) noneQuestion() Question {
	last, again := f.lastPush()
	again.CableUsed = asWritten[q.Length](f.draft.none)
	return Question{
		ID: "used-none", Title: "Nothing cut off after a fold? What folded is weaker for good",
		Body: []string{"A length that folded once folds sooner, here and in the duct: the setting would be too low, and the damage goes into the ground."},
		Choices: []Choice{
			{Label: "It is cut off: say how much", Do: GoTo(stepFirst)},
			{Label: fmt.Sprintf("Really %s", f.draft.none), Do: write(profiles.Undo{Drops: last.Seq}, again), Rank: Minor},
			{Label: "No: read it again", Do: f.readAgain(last), Rank: Minor},
		},
	}
}

// lengths are the usual amounts of cable a fold or slip costs.
func (f Flow) lengths(o session.Outcome) []string {
	switch {
	case o == session.Fold && f.customary():
		return []string{"3 ft", "4 ft", "5 ft", "6 ft"}
	case o == session.Fold:
		return []string{"1 m", "1.2 m", "1.5 m", "2 m"}
	case f.customary():
		return []string{"0.5 ft", "1 ft", "2 ft", "3 ft"}
	}
	return []string{"0.2 m", "0.3 m", "0.5 m", "1 m"}
}
