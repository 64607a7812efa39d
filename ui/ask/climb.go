package ask

import (
	"fmt"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

func climbQuestion(f Flow) Question {
	try, ok := f.Outlook.Next.(session.Try)
	if !ok {
		panic("ui: the climb is over")
	}
	if question, reading := f.readingPush(try); reading {
		return question
	}
	switch f.draft.step {
	case stepPush:
		return f.pushQuestion()
	case stepTemperature:
		question := f.readingQuestion(session.ClimbStage)
		question.Title = "Cable temperature now? Stop, isolate, then read it there"
		return question
	case stepStop:
		return f.stopQuestion()
	case stepGauge:
		return f.gaugeQuestion()
	}
	return f.dialQuestion(try, f.wiped())
}

// readingPush asks what happened at a push, while that is asked.
func (f Flow) readingPush(try session.Try) (q Question, reading bool) {
	switch f.draft.step {
	case StepRead:
		return f.readQuestion(try), true
	case stepBelts, stepLine, stepWitness:
		return f.observeQuestion(try), true
	case stepVoid:
		return f.voidQuestion(try), true
	}
	return q, false
}

// wiped is the one check that is left open after the belts were wiped, and that the press
// for the next push answers: guards. None when anything else is open.
func (f Flow) wiped() []session.Check {
	due := f.Trial.DueChecks(f.Now, f.Earlier)
	if len(due) != 1 || due[0].ID != session.CheckGuards || !f.confirmable(due[0]) || !f.lastWas(session.Slip) {
		return nil
	}
	return due
}

func (f Flow) lastWas(o session.Outcome) bool {
	attempts := f.Trial.Attempts()
	return len(attempts) > 0 && attempts[len(attempts)-1].Outcome == o
}

// dialQuestion shows the next setting. The same press that says it is dialled
// confirms a stall written before it, and that the guards a slip has opened are back
// on, so that no push costs a press more.
func (f Flow) dialQuestion(try session.Try, due []session.Check) Question {
	n := len(f.Trial.Attempts()) + 1
	question := Question{
		ID:      "dial",
		Title:   fmt.Sprintf("Push %d: dial %s", n, f.Trial.Rig.Named(try.Setting)),
		Setting: &try.Setting,
		Body:    append([]string{try.Reason}, f.progress()...),
		Help:    session.PushSteps(),
		Choices: []Choice{{Label: "Dialled, everyone clear", Do: f.clear(due)}},
	}
	for _, c := range due { // the same press answers it
		question.Body = append([]string{"! " + c.Ask + " " + words.Capital(c.States[0]) + "."}, question.Body...)
		question.Choices = []Choice{{Label: "Guards on; dialled, everyone clear", Do: f.clear(due)}, f.notSo(c, "Guards are not on")}
	}
	if last, ok := f.unconfirmed(); ok {
		question.Body = append([]string{f.writtenLine(last)}, question.Body...)
		question.Choices = []Choice{
			{Label: "All true; dialled, everyone clear", Do: f.clear(due)},
		}
		question.Choices = append(question.Choices, f.notTrue(last)...)
	}
	warmer := Choice{Label: "Cable temperature", Do: GoTo(stepTemperature), Rank: Minor}
	if line, stale := f.stale(); stale {
		question.Body, warmer = append(question.Body, line), readCable
	}
	warmer.Key = "4"
	question.Choices = append(question.Choices,
		warmer,
		Choice{Label: "Stop, no setting", Key: "5", Do: GoTo(stepStop), Rank: Minor},
		leaving)
	return question
}

// writtenLine says what is written of a push, and what is confirmed with it.
func (f Flow) writtenLine(last session.Attempt) string {
	return fmt.Sprintf("Written: %s at %s. %s", strings.ToUpper(last.Outcome.String()), f.Trial.Rig.Named(last.Setting), confirmations[last.Outcome])
}

var confirmations = map[session.Outcome]string{
	session.Stall: "Belts stopped, cable line held, lines on plug and stub true, jacket clean?",
	session.Slip:  "Belts ran on, cable line held, lines on plug and stub true, jacket not polished through?",
	session.Fold:  "Cable line went past the pointer, lines on plug and stub true?",
	session.Void:  "The cable is bent.",
}

// clear starts the push, and writes the checks that the same press answers.
func (f Flow) clear(due []session.Check) func(Flow) (Flow, Effect) {
	if len(due) == 0 {
		return GoTo(stepPush)
	}
	answers := f.rightAnswers(due)
	return func(f Flow) (Flow, Effect) { return f.at(stepPush), Append{answers} }
}

// notTrue are the ways to say that an outcome written down is not all there was to see.
func (f Flow) notTrue(last session.Attempt) []Choice {
	choices := []Choice{
		{Label: "No: read it again", Key: "2", Do: f.readAgain(last), Rank: Minor},
		{Label: "Jacket marked", Key: "3", Do: f.replace(last, true), Rank: Minor},
	}
	return append(choices, Choice{Label: "The gauge's reading at that stall", Also: &Keys.Enter, Do: GoTo(stepGauge), Rank: Global})
}

// confirmQuestion asks after the last push what the press for the next one asks after every
// other, before anything is made of it. Its answer is neither where the outcome was read nor
// on that key.
func (f Flow) confirmQuestion(last session.Attempt) Question {
	question := Question{ID: "confirm", Title: fmt.Sprintf("Written: %s at %s. All true?", strings.ToUpper(last.Outcome.String()), f.Trial.Rig.Named(last.Setting)),
		Body: append([]string{"! " + confirmations[last.Outcome]}, f.progress()...), Help: session.PushSteps(),
		Choices: []Choice{{Label: "All true", Key: "7", Do: write(f.answer(session.ItemReading, session.ReadingTrue, ""))}}}
	return question.with(f.notTrue(last)...).with(leaving)
}

// unconfirmed returns the last attempt while nobody has said that it was as written: the
// press for the next push does, and after the last push an answer.
func (f Flow) unconfirmed() (session.Attempt, bool) {
	attempts := f.Trial.Attempts()
	if len(attempts) == 0 {
		return session.Attempt{}, false
	}
	last := attempts[len(attempts)-1]
	for _, a := range f.Trial.Answers() {
		if a.Item == session.ItemReading && a.Seq > last.Seq {
			return session.Attempt{}, false
		}
	}
	return last, last.Outcome == session.Stall && !last.JacketDamage && last.CableUsed == 0
}

// readAgain takes an attempt back and asks once more what happened.
func (f Flow) readAgain(last session.Attempt) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) {
		f = f.at(StepRead)
		f.draft.pushed = &last.Setting // what comes next by then may be another setting, or no push at all
		return f, Append{[]profiles.Entry{profiles.Undo{Drops: last.Seq}}}
	}
}

// replace writes the last attempt again, with what was seen on withdrawing.
func (f Flow) replace(last session.Attempt, damaged bool) func(Flow) (Flow, Effect) {
	again := f.written(last)
	again.JacketDamage = damaged
	return write(profiles.Undo{Drops: last.Seq}, again)
}

// written is an attempt as it stands in the record, to be written once more.
func (f Flow) written(last session.Attempt) profiles.Attempt {
	for _, a := range f.Record.Attempts {
		if a.Seq == last.Seq {
			return a
		}
	}
	panic("ui: the attempt is not in the record")
}

// gaugeQuestion adds to the last stall what the gauge read at it.
func (f Flow) gaugeQuestion() Question {
	last, ok := f.unconfirmed()
	if !ok {
		return f.at(stepFirst).Question()
	}
	question := Question{ID: "gauge", Title: "What did the gauge read at that stall?", Choices: []Choice{{Label: "Back", Do: GoTo(stepFirst), Rank: Minor}}}
	question.Enter = &Entering{Label: "Reading", Example: f.Trial.Rig.ShowSpeed(last.Setting.Speed.Value), Take: func(f Flow, text string) (Flow, Effect, error) {
		reading, err := profiles.NewReading(text)
		if err != nil {
			return f, None{}, err
		}
		again := f.written(last)
		again.StallReading = reading
		return f.at(stepFirst), Append{[]profiles.Entry{profiles.Undo{Drops: last.Seq}, again}}, nil
	}}
	return question
}

// progress says what was found so far, but what the page says anyway.
func (f Flow) progress() []string {
	attempts := f.Trial.Attempts()
	if len(attempts) == 0 {
		return nil
	}
	line := fmt.Sprintf("Cable used: %s.", f.length(f.Trial.CableUsed()))
	if budget, ok := f.Trial.Limits.CableBudget.Get(); ok {
		line += " Left: " + f.length(max(budget-f.Trial.CableUsed(), 0)) + "."
	}
	if _, said := f.unconfirmed(); said {
		return []string{line}
	}
	last := attempts[len(attempts)-1]
	return []string{fmt.Sprintf("Last: %s at %s. %s", last.Outcome, f.Trial.Rig.Named(last.Setting), line)}
}

func (f Flow) needsFreshEnd() bool {
	attempts := f.Trial.Attempts()
	return len(attempts) > 0 && attempts[len(attempts)-1].Bent()
}

func (f Flow) pushQuestion() Question {
	return Question{
		ID: "push", Title: "Push. Hands off the tablet, eyes on belts and cable line",
		Body:    []string{"Stop pressed and supply isolated before any hand goes near the belts."},
		Choices: []Choice{{Label: "It has stopped, or it slips: read it", Do: GoTo(StepRead)}, {Label: "No push was made", Do: GoTo(stepFirst), Rank: Minor}},
	}
}

func (f Flow) readQuestion(try session.Try) Question {
	outcome := func(o session.Outcome) func(Flow) (Flow, Effect) {
		return func(f Flow) (Flow, Effect) { return f.seen(o, try) }
	}
	question := Question{ID: "read", Title: "What happened?", Choices: []Choice{
		{Label: "STALL: belts stopped, cable line held", Do: outcome(session.Stall), Look: draw.LookStall},
		{Label: "SLIP: belts ran on, cable line held", Do: outcome(session.Slip), Look: draw.LookSlip},
		{Label: "FOLD: cable went in with nowhere to go", Do: outcome(session.Fold), Look: draw.LookFold},
		{Label: "VOID: this push proves nothing", Do: GoTo(stepVoid), Look: draw.LookButton},
		{Label: "Not sure: two questions", Do: GoTo(stepBelts), Rank: Minor},
		{Label: "No push was made", Do: GoTo(stepFirst), Rank: Minor},
	}}
	for _, s := range session.Signs() {
		question.Help = append(question.Help, fmt.Sprintf("%s: belts %s; line %s; sound %s; jacket %s.", s.Outcome, s.Belts, s.Line, s.Sound, s.Jacket))
	}
	for _, d := range session.Doubts() {
		question.Help = append(question.Help, fmt.Sprintf("A false %s? If %s: %s.", d.Looks, d.Because, d.Check))
	}
	if f.Trial.People.Trainee {
		question.Title = "Two questions tell what happened"
		question.Choices = question.Choices[3:]
	}
	return question
}

// observeQuestion asks for the two observations and the witness lines, then names
// the outcome they imply.
func (f Flow) observeQuestion(try session.Try) Question {
	yesNo := func(id, title, yes, no string, set func(*draft, bool)) Question {
		take := func(v bool) func(Flow) (Flow, Effect) {
			return func(f Flow) (Flow, Effect) {
				set(&f.draft, v)
				if f.draft.step++; f.draft.step > stepWitness {
					return f.seen(f.draft.outcome, try)
				}
				return f, None{}
			}
		}
		return Question{ID: id, Title: title, Choices: []Choice{{Label: yes, Do: take(true)}, {Label: no, Do: take(false)}}}
	}
	switch f.draft.step {
	case stepBelts:
		return yesNo("belts", "Did the belts keep turning?", "Yes, they kept turning", "No, they stopped",
			func(d *draft, v bool) { d.turning = &v })
	case stepLine:
		question := yesNo("line", "Did the cable line move past the pointer?", "Yes, it moved past", "No, it held",
			func(d *draft, v bool) { d.moved = &v })
		question.Body = []string{"Up to the allowance line is stretch: then it held."}
		return question
	}
	return yesNo("witness", "Are the lines on plug and stub still true?", "Yes, both", "No, plug or stub moved",
		func(d *draft, v bool) {
			d.outcome, _ = session.Implied(*d.turning, *d.moved, v)
		})
}

// seen goes on from an outcome. It is written at once, and confirmed with what must be
// done next: the next setting after a stall, isolating after a slip or a fold.
func (f Flow) seen(o session.Outcome, try session.Try) (Flow, Effect) {
	f.draft.outcome = o
	if o == session.Void {
		return f.at(stepVoid), None{}
	}
	return write(f.attempt(try, o))(f)
}

func (f Flow) voidQuestion(try session.Try) Question {
	question := Question{ID: "void", Title: "VOID. What spoiled it? Stop, isolate, before a hand goes in"}
	void := func(reason string) profiles.Attempt {
		a := f.attempt(try, session.Void)
		a.VoidReason = reason
		return a
	}
	for _, reason := range session.VoidReasons() {
		question.Choices = append(question.Choices, Choice{Label: reason, Do: f.record(void(reason))})
	}
	question.Choices = append(question.Choices, Choice{Label: "No: read it again", Do: GoTo(StepRead), Rank: Minor})
	question.Enter = &Entering{Label: "Another reason", Example: "hose came off", Take: func(f Flow, text string) (Flow, Effect, error) {
		return f.at(stepFirst), Append{[]profiles.Entry{void(text)}}, nil
	}}
	return question
}

func (f Flow) stopQuestion() Question {
	return Question{
		ID: "stop", Title: "Stop without a setting?", Body: []string{"What was found stays on record. No profile is written."},
		Choices: []Choice{
			forGood("Yes, stop: close the trial", write(f.answer(session.ItemClosed, session.TrialStopped, ""))),
			{Label: "No, go on", Do: GoTo(stepFirst)},
		},
	}
}

// attempt is the push under way, ready to be written.
func (f Flow) attempt(try session.Try, o session.Outcome) profiles.Attempt {
	a := profiles.Attempt{Outcome: o, BeltsTurning: f.draft.turning, LineMoved: f.draft.moved, FreshEnd: f.needsFreshEnd()}
	a.Grip = asWritten[q.Pressure](f.Trial.Rig.ShowGrip(try.Setting.Grip))
	a.Speed, _ = profiles.NewReading(f.Trial.Rig.ShowSpeed(try.Setting.Speed.Value))
	if a.BeltsTurning == nil && o != session.Void {
		turning, moved := o != session.Stall, o == session.Fold
		a.BeltsTurning, a.LineMoved = &turning, &moved
	}
	return a
}

func (f Flow) record(a profiles.Attempt) func(Flow) (Flow, Effect) { return write(a) }

// asWritten reads back text this program wrote itself.
func asWritten[T q.Scalar](text string) profiles.Quantity[T] {
	v, err := profiles.NewQuantity[T](text)
	if err != nil {
		panic("ui: " + err.Error())
	}
	return v
}
