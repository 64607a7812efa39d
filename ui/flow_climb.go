package ui

import (
	"fmt"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

func climbQuestion(f Flow) Question {
	try, ok := session.Decide(f.Trial).(session.Try)
	if !ok {
		panic("ui: the climb is over")
	}
	switch f.draft.step {
	case stepPush:
		return f.pushQuestion()
	case stepRead:
		return f.readQuestion()
	case stepBelts, stepLine, stepWitness:
		return f.observeQuestion()
	case stepConfirm:
		return f.confirmQuestion(try)
	case stepUsed:
		return f.usedQuestion(try)
	case stepVoid:
		return f.voidQuestion(try)
	case stepTemperature:
		return f.temperatureQuestion()
	case stepStop:
		return f.stopQuestion()
	}
	return f.dialQuestion(try)
}

func (f Flow) dialQuestion(try session.Try) Question {
	n := len(f.Trial.Attempts()) + 1
	question := Question{
		ID:    "dial",
		Title: fmt.Sprintf("Push %d: dial %s", n, f.Trial.Rig.Show(try.Setting)),
		Body:  append([]string{try.Reason}, f.progress()...),
		Help:  session.PushSteps(),
		Choices: []Choice{
			{"Dialled, everyone clear", goTo(stepPush)},
			{"The cable is warmer or colder now", goTo(stepTemperature)},
			{"Stop this trial without a setting", goTo(stepStop)},
			{"Leave; it can be resumed", leave},
		},
	}
	if f.needsFreshEnd() {
		question.Body = append([]string{"Fresh end first: isolate, cut off all that folded, square and cap the new end."}, question.Body...)
	}
	return question
}

// progress says what was found so far, in one or two lines.
func (f Flow) progress() []string {
	attempts := f.Trial.Attempts()
	if len(attempts) == 0 {
		return nil
	}
	last := attempts[len(attempts)-1]
	lines := []string{fmt.Sprintf("Last: %s at %s. Cable used: %s.", last.Outcome, f.Trial.Rig.Show(last.Setting), f.length(f.Trial.CableUsed()))}
	if budget, ok := f.Trial.Limits.CableBudget.Get(); ok {
		lines[0] += " Left: " + f.length(max(budget-f.Trial.CableUsed(), 0)) + "."
	}
	return lines
}

func (f Flow) needsFreshEnd() bool {
	attempts := f.Trial.Attempts()
	return len(attempts) > 0 && attempts[len(attempts)-1].Outcome == session.Fold
}

func (f Flow) pushQuestion() Question {
	return Question{
		ID: "push", Title: "Push. Hands off the tablet, eyes on belts and cable line",
		Body:    []string{"Stop pressed and supply isolated before any hand goes near the belts."},
		Choices: []Choice{{"It has stopped, or it slips: read it", goTo(stepRead)}, {"No push was made", goTo(stepFirst)}},
	}
}

func (f Flow) readQuestion() Question {
	outcome := func(o session.Outcome) func(Flow) (Flow, Effect) {
		return func(f Flow) (Flow, Effect) {
			f = f.at(stepConfirm)
			f.draft.outcome = o
			return f, None{}
		}
	}
	question := Question{ID: "read", Title: "What happened?", Choices: []Choice{
		{"STALL: belts stopped, cable line held", outcome(session.Stall)},
		{"SLIP: belts ran on, cable line held", outcome(session.Slip)},
		{"FOLD: cable went in with nowhere to go", outcome(session.Fold)},
		{"VOID: this push proves nothing", goTo(stepVoid)},
		{"Not sure: answer two questions", goTo(stepBelts)},
	}}
	for _, s := range session.Signs() {
		question.Help = append(question.Help, fmt.Sprintf("%s: belts %s; line %s; sound %s; jacket %s.", s.Outcome, s.Belts, s.Line, s.Sound, s.Jacket))
	}
	if f.Trial.People.Trainee {
		question.Title = "Two questions tell what happened"
		question.Choices = question.Choices[3:]
	}
	return question
}

// observeQuestion asks for the two observations and the witness lines, then names
// the outcome they imply.
func (f Flow) observeQuestion() Question {
	yesNo := func(id, title, yes, no string, set func(*draft, bool)) Question {
		take := func(v bool) func(Flow) (Flow, Effect) {
			return func(f Flow) (Flow, Effect) {
				set(&f.draft, v)
				f.draft.step = f.draft.step + 1
				return f.implied(), None{}
			}
		}
		return Question{ID: id, Title: title, Choices: []Choice{{yes, take(true)}, {no, take(false)}}}
	}
	switch f.draft.step {
	case stepBelts:
		return yesNo("belts", "Did the belts keep turning?", "Yes, they kept turning", "No, they stopped",
			func(d *draft, v bool) { d.turning = &v })
	case stepLine:
		return yesNo("line", "Did the cable line move past the pointer?", "Yes, it moved past", "No, it held",
			func(d *draft, v bool) { d.moved = &v })
	}
	return yesNo("witness", "Are the lines on plug and stub still true?", "Yes, both", "No, plug or stub moved",
		func(d *draft, v bool) {
			d.outcome, _ = session.Implied(*d.turning, *d.moved, v)
		})
}

// implied moves on from the last of the observations to what they imply.
func (f Flow) implied() Flow {
	if f.draft.step != stepConfirm {
		return f
	}
	if f.draft.outcome == session.Void {
		f.draft.step = stepVoid
	}
	return f
}

var confirmTitles = map[session.Outcome]string{
	session.Stall: "STALL. Belts stopped, cable line held, lines on plug and stub true, jacket clean?",
	session.Slip:  "SLIP. Belts ran on, cable line held, lines on plug and stub true, jacket clean?",
	session.Fold:  "FOLD. Cable line went past the pointer, lines on plug and stub true?",
}

func (f Flow) confirmQuestion(try session.Try) Question {
	o := f.draft.outcome
	question := Question{ID: "confirm", Title: confirmTitles[o]}
	switch o {
	case session.Stall:
		question.Choices = []Choice{
			{"Yes: write STALL", f.record(f.attempt(try, o))},
			{"No: read again", goTo(stepRead)},
			{"STALL, but the jacket is marked", f.record(f.marked(f.attempt(try, o)))},
		}
		question.Enter = &Entering{Label: "Or write STALL with the reading at the stall", Example: f.stallExample(try), take: func(f Flow, text string) (Flow, Effect, error) {
			reading, err := profiles.NewReading(text)
			if err != nil {
				return f, None{}, err
			}
			a := f.attempt(try, o)
			a.StallReading = reading
			return f.at(stepFirst), Append{[]profiles.Entry{a}}, nil
		}}
	default:
		question.Choices = []Choice{{"Yes: write " + upper(o), goTo(stepUsed)}, {"No: read again", goTo(stepRead)}}
		if o == session.Slip {
			question.Choices = append(question.Choices, Choice{"SLIP, and the jacket is marked", func(f Flow) (Flow, Effect) {
				f.draft.damaged = true
				return f.at(stepUsed), None{}
			}})
		}
	}
	return question
}

// usedQuestion asks for the cable a fold or slip costs.
func (f Flow) usedQuestion(try session.Try) Question {
	a := f.attempt(try, f.draft.outcome)
	a.JacketDamage = f.draft.damaged
	question := Question{ID: "used", Title: "How much cable is cut off or polished through?"}
	for _, text := range f.lengths() {
		b := a
		b.CableUsed, _ = profiles.NewQuantity[q.Length](text)
		question.Choices = append(question.Choices, Choice{text, f.record(b)})
	}
	question.Enter = &Entering{Label: "Length", Example: f.lengths()[2], take: func(f Flow, text string) (Flow, Effect, error) {
		used, err := profiles.NewQuantity[q.Length](text)
		if err != nil {
			return f, None{}, err
		}
		a.CableUsed = used
		return f.at(stepFirst), Append{[]profiles.Entry{a}}, nil
	}}
	return question
}

// lengths are the usual amounts of cable a fold or slip costs.
func (f Flow) lengths() []string {
	switch {
	case f.draft.outcome == session.Fold && f.customary():
		return []string{"3 ft", "4 ft", "5 ft", "6 ft"}
	case f.draft.outcome == session.Fold:
		return []string{"1 m", "1.2 m", "1.5 m", "2 m"}
	case f.customary():
		return []string{"0 ft", "0.5 ft", "1 ft", "2 ft"}
	}
	return []string{"0 m", "0.2 m", "0.3 m", "0.5 m"}
}

func (f Flow) voidQuestion(try session.Try) Question {
	question := Question{ID: "void", Title: "VOID. What spoiled it?"}
	void := func(reason string) profiles.Attempt {
		a := f.attempt(try, session.Void)
		a.VoidReason = reason
		return a
	}
	for _, reason := range session.VoidReasons() {
		question.Choices = append(question.Choices, Choice{reason, f.record(void(reason))})
	}
	question.Choices = append(question.Choices, Choice{"It was not void: read again", goTo(stepRead)})
	question.Enter = &Entering{Label: "Another reason", Example: "hose came off", take: func(f Flow, text string) (Flow, Effect, error) {
		return f.at(stepFirst), Append{[]profiles.Entry{void(text)}}, nil
	}}
	return question
}

func (f Flow) temperatureQuestion() Question {
	const key = "conditions.cable_temperature"
	return Question{
		ID: "temperature", Title: "Cable temperature now?", Body: []string{"Now on record: " + f.Trial.CableTemperatureText()},
		Choices: []Choice{{"It has not changed", goTo(stepFirst)}},
		Enter: &Entering{Label: "Cable temperature", Example: f.Trial.CableTemperatureText(), take: func(f Flow, text string) (Flow, Effect, error) {
			if _, err := f.Record.With(key, text); err != nil {
				return f, None{}, err
			}
			return f.at(stepFirst), Append{[]profiles.Entry{profiles.Change{Key: key, Value: text, Reason: "the cable's temperature changed during the trial"}}}, nil
		}},
	}
}

func (f Flow) stopQuestion() Question {
	return Question{
		ID: "stop", Title: "Stop without a setting?", Body: []string{"What was found stays on record. No profile is written."},
		Choices: []Choice{
			{"No, go on", goTo(stepFirst)},
			{"Yes, stop: close the trial", write(f.answer(session.ItemClosed, "stopped by the crew", ""))},
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

func (f Flow) marked(a profiles.Attempt) profiles.Attempt { a.JacketDamage = true; return a }

func (f Flow) record(a profiles.Attempt) func(Flow) (Flow, Effect) { return write(a) }

func (f Flow) stallExample(try session.Try) string {
	return f.Trial.Rig.ShowSpeed(try.Setting.Speed.Value)
}

// asWritten reads back text this program wrote itself.
func asWritten[T q.Scalar](text string) profiles.Quantity[T] {
	v, err := profiles.NewQuantity[T](text)
	if err != nil {
		panic("ui: " + err.Error())
	}
	return v
}
