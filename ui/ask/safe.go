package ask

import (
	"slices"

	"brinkmark/profiles"
	"brinkmark/session"
)

// endsSafely makes every choice of a question that would end the trial without a setting to
// install with lead through making safe first. It looks at what is to be written, so that no
// page can add a way out that leads past it.
func (f Flow) endsSafely(question Question) Question {
	if f.draft.step == stepSafe {
		return question
	}
	question.Choices = slices.Clone(question.Choices)
	for i, c := range question.Choices {
		do := c.Do
		question.Choices[i].Do = func(f Flow) (Flow, Effect) {
			next, effect := do(f)
			written, writes := effect.(Append)
			if !writes || !slices.ContainsFunc(written.Entries, endsWithout) {
				return next, effect
			}
			next.draft = draft{step: stepSafe, ending: written.Entries, safe: f.Trial.LastNumber()}
			return next, None{}
		}
	}
	return question
}

// endsWithout reports whether an entry ends a trial without a setting to install with.
func endsWithout(e profiles.Entry) bool {
	a, ok := e.(profiles.Answer)
	return ok && (a.Item == session.ItemClosed && a.State != session.TrialClosed ||
		a.Item == session.ItemSetting && a.State == session.SettingRefused)
}

// safeQuestion asks for one act of making safe after the other; the last answer ends the
// trial as it was to be ended.
func (f Flow) safeQuestion() Question {
	due := f.Trial.DueToLeave(f.draft.safe)
	if len(due) == 0 { // the last was written, and what ends the trial was not
		return Question{ID: "made-safe", Title: "All is safe", Choices: []Choice{
			forGood("Close the trial", write(f.draft.ending...)),
			{Label: "Go on with the trial", Do: GoTo(stepFirst), Rank: Minor},
		}}
	}
	c := due[0]
	question := aboutCheck(c, len(due), false)
	question.Body = append(f.saidWrong(c), c.How, "Then the trial is closed.")
	if len(due) > 1 {
		question.Body[len(question.Body)-1] = "The trial is closed when drive, air, stub and plug are safe."
	}
	question.Choices = nil
	for i, state := range c.States {
		entries := []profiles.Entry{f.answer(c.ID, state, "")}
		last := len(due) == 1 && i < c.RightStates
		if last {
			entries = append(entries, f.draft.ending...)
		}
		choice := Choice{Label: state, Do: func(f Flow) (Flow, Effect) {
			if last {
				f = f.at(stepFirst)
			}
			return f, Append{entries}
		}}
		if last { // by no key of the pages before: one key pressed for ever says nothing is safe
			choice.Key, choice.Rank = []string{EndKey, keyRefuse}[min(i, 1)], Ending
		}
		question.Choices = append(question.Choices, choice)
	}
	question.Choices = append(question.Choices, Choice{Label: "Go on with the trial", Do: GoTo(stepFirst), Rank: Minor}, leaving)
	return question
}

// Live says what is still live where a crew leaves a trial: of the one before it, while
// nobody has been at the rig in this one. On a practice rig nothing is.
func (f Flow) Live() []string {
	switch {
	case f.site != nil:
		return nil
	case !f.Trial.Touched() && !f.Trial.Closed():
		return session.LiveBefore(f.Earlier)
	}
	return f.Trial.Live()
}

// liveLines are the same, to be seen on the page of a trial that is closed.
func (f Flow) liveLines() []string {
	var lines []string
	for _, line := range f.Live() {
		lines = append(lines, "! "+line)
	}
	return lines
}
