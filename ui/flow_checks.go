package ui

import (
	"fmt"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

func cautionQuestion(f Flow) Question {
	question := Question{ID: "cautions", Title: "Read these aloud before anyone touches the drive"}
	var ids []string
	for _, c := range session.Cautions(session.BeforeTrial) {
		question.Body = append(question.Body, "! "+c.Say)
		question.Help = append(question.Help, c.Say+" ("+c.Authority+")")
		ids = append(ids, c.ID)
	}
	question.Choices = []Choice{
		{"Read aloud, everyone heard", write(f.answer(session.ItemCautions, session.CautionsRead, strings.Join(ids, " ")))},
		{"Leave; it can be resumed", leave},
	}
	return question
}

func checkQuestion(f Flow) Question {
	due := f.Trial.DueChecks(f.Now, f.Earlier)
	return f.askCheck(due[0], len(due))
}

func carryQuestion(f Flow) Question {
	due := f.Trial.DueCarryOver(f.Now)
	if len(due) == 0 {
		return Question{ID: "finish", Title: "The trial is finished", Body: f.settingLines(),
			Choices: []Choice{{"Close the trial", write(f.answer(session.ItemClosed, session.TrialClosed, ""))}}}
	}
	question := f.askCheck(due[0], len(due))
	if due[0].Block == session.AirNext {
		question.Body = append(f.settingLines(), question.Body...)
	}
	return question
}

// askCheck asks one check: by its states, its value, or both.
func (f Flow) askCheck(c session.Check, open int) Question {
	if f.draft.step == stepSkip {
		return f.skipQuestion(c)
	}
	question := Question{
		ID: c.ID, Title: c.Ask,
		Body: []string{fmt.Sprintf("%s, %d open.", capital(c.Block.String()), open)},
		Help: []string{"Why: " + c.Why, "How you know: " + c.How, "If not: " + c.Wrong},
	}
	if c.Killer {
		question.Body = append(question.Body, "Nothing moves until this is right.")
	}
	if f.Trial.People.Trainee {
		question.Body = append(question.Body, question.Help...)
		question.Body = append(question.Body, c.Teach)
	}
	for i, state := range c.States {
		question.Choices = append(question.Choices, Choice{state, f.checkState(c, state, i < c.RightStates)})
	}
	if c.Asks != 0 && len(c.States) == 0 {
		question.Enter = f.checkValue(c)
	}
	if !c.Killer {
		question.Choices = append(question.Choices, Choice{"Leave this out, with a reason", goTo(stepSkip)})
	}
	return question
}

func (f Flow) checkState(c session.Check, state string, right bool) func(Flow) (Flow, Effect) {
	if right {
		return write(f.answer(c.ID, state, ""))
	}
	return func(f Flow) (Flow, Effect) { // a wrong state is written too: it was seen
		return f.at(stepFirst), Append{[]profiles.Entry{f.answer(c.ID, state, "")}}
	}
}

// checkValue takes a value, writes it as the answer, and where it fills a key of
// the job and differs, as a change of the job first.
func (f Flow) checkValue(c session.Check) *Entering {
	return &Entering{Label: c.Ask, Example: exampleOf(c, f.customary()), take: func(f Flow, text string) (Flow, Effect, error) {
		if err := readable(c.Asks, text); err != nil {
			return f, None{}, err
		}
		if c.Block == session.AirNext {
			if err := f.readBack(c, text); err != nil {
				return f, None{}, err
			}
		}
		answer := f.answer(c.ID, "", text)
		if c.Key == "" {
			return f.at(stepFirst), Append{[]profiles.Entry{answer}}, nil
		}
		next, err := f.Record.With(c.Key, text)
		if err != nil {
			return f, None{}, err
		}
		if next.Same(f.Record, c.Key) {
			return f.at(stepFirst), Append{[]profiles.Entry{answer}}, nil
		}
		change := profiles.Change{Key: c.Key, Value: text, Reason: "read at the check " + c.ID}
		return f.at(stepFirst), Append{[]profiles.Entry{change, answer}}, nil
	}}
}

// readBack refuses a dialled value that is not the accepted setting: grip pressure
// must be it, within half a division; speed must not be above it.
func (f Flow) readBack(c session.Check, text string) error {
	rig := f.Trial.Rig
	s, err := Accepted(f.Trial)
	if err != nil {
		return err
	}
	switch c.ID {
	case "dialled-grip-pressure":
		p, err := q.Parse[q.Pressure](text)
		half := f.Trial.GripDivision() / 2
		if err == nil && (p > s.Grip+half || p < s.Grip-half) {
			return fmt.Errorf("%s is dialled, the setting is %s: set it and read it again", text, rig.ShowGrip(s.Grip))
		}
		return err
	case "dialled-push-control":
		v, err := q.ParseReading(text)
		if err == nil && v.Unit != s.Speed.Unit {
			return fmt.Errorf("%s is not in the push control's unit, %s", text, rig.PushUnit)
		}
		if err == nil && v.Value > s.Speed.Value*(1+1e-6) {
			return fmt.Errorf("%s is dialled, the setting is %s: turn it down and read it again", text, rig.ShowSpeed(s.Speed.Value))
		}
		return err
	}
	return nil
}

func (f Flow) skipQuestion(c session.Check) Question {
	question := Question{ID: c.ID + " left out", Title: "Why is this left out?", Body: []string{c.Ask, "If not: " + c.Wrong}}
	for _, reason := range []string{"does not apply to this rig", "cannot be measured here", "was done before, on this set-up"} {
		question.Choices = append(question.Choices, Choice{reason, write(f.skip(c, reason))})
	}
	question.Choices = append(question.Choices, Choice{"Go back to the check", goTo(stepFirst)})
	question.Enter = &Entering{Label: "Reason in your words", Example: "no thermometer on site", take: func(f Flow, text string) (Flow, Effect, error) {
		return f.at(stepFirst), Append{[]profiles.Entry{f.skip(c, text)}}, nil
	}}
	return question
}

func (f Flow) skip(c session.Check, reason string) profiles.Answer {
	a := f.answer(c.ID, "left out", "")
	a.SkipReason = reason
	return a
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
