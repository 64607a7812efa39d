package ask

import (
	"brinkmark/session"
)

func carryQuestion(f Flow) Question {
	switch f.draft.step {
	case stepTemperature:
		return f.readingQuestion(session.CarryStage)
	case stepTag:
		return f.tagQuestion()
	case stepDay:
		return f.dayQuestion()
	}
	due := f.Trial.DueCarryOver(f.Now)
	if len(due) == 0 {
		return Question{ID: "finish", Title: "The trial is finished", Body: f.settingLines(),
			Choices: []Choice{forGood("Close the trial", write(f.answer(session.ItemClosed, session.TrialClosed, ""))), leaving}}
	}
	if page, due := f.Trial.DueCautions(f.Earlier); due {
		return f.cautions(page)
	}
	question := f.closesWith(f.askChecks(due), due)
	if _, stale := f.stale(); stale && question.ID == "block" && due[0].ID != "trial-isolated" {
		return f.readingQuestion(session.CarryStage) // a block has no room for the prompt
	}
	question.Body = append(f.settingLines(), question.Body...)
	if s, err := f.Accepted(); err == nil {
		question.Help = append(question.Help, append(append([]string{"Tag for the lid:"}, f.tagLines()...), f.bandLines(s)...)...)
	}
	return f.beside(question, due[0])
}

// closesWith makes the right answer to the last check close the trial too, by a key of its own.
func (f Flow) closesWith(question Question, due []session.Check) Question {
	c := due[0]
	if len(due) > 1 || question.ID != c.ID || c.RightStates != 1 || f.draft.step != stepFirst {
		return question
	}
	question.Body = append(question.Body, "Then the trial is closed.")
	for i, choice := range question.Choices {
		if choice.Label == c.States[0] {
			question.Choices[i] = forGood(choice.Label, write(f.answer(c.ID, c.States[0], ""), f.answer(session.ItemClosed, session.TrialClosed, "")))
		}
	}
	return question
}
