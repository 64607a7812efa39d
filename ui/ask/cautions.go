package ask

import (
	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/session/run"
)

// readAloud is a page of cautions. Its one way on is the press that they were heard.
func readAloud(before string, list []session.Caution) Question {
	question := Question{ID: "cautions", Title: "Read these aloud before " + before}
	for _, c := range list {
		question.Body = append(question.Body, "! "+c.Say)
		question.Help = append(question.Help, c.Say+" ("+c.Authority+")")
	}
	return question
}

// wereHeard is the label of that press.
const wereHeard = "Read aloud, everyone heard"

// cautions is a page of a trial's.
func (f Flow) cautions(page session.CautionPage) Question {
	list := page.Cautions()
	question := readAloud(page.Before, list)
	question.Choices = []Choice{
		{Label: wereHeard, Do: write(f.answer(page.Item, session.CautionsRead, shownIDs(list)))},
		leaving,
	}
	return question
}

// cautionsBefore are what is read in each stage of a run.
var cautionsBefore = map[run.Stage]string{
	run.ProveStage: "the duct is blown through", run.AirStage: "any air",
	run.RunStage: "the cable goes in", run.ArriveStage: "anything is opened",
}

// onSite is the next page of the site's cautions that this crew has not read today, if any.
func (p runPage) onSite() (Question, bool) {
	page, due := p.engine.DueOnSite(p.said)
	if !due {
		return Question{}, false
	}
	list := page.Cautions()
	question := readAloud(page.Before, list)
	question.Choices = []Choice{p.to(wereHeard, p.writing(p.answer(page.Item, session.CautionsRead, shownIDs(list))), Major)}
	return question, true
}

// cautions are to be read aloud before anything else of a stage is asked, or before it begins.
func (p runPage) cautions(s run.Stage) Question {
	question := readAloud(cautionsBefore[s], run.Cautions(s))
	question.Choices = []Choice{p.to(wereHeard, p.writing(p.cautionsRead(s)), Major)}
	return question
}

// cautionsRead is the answer that a stage's cautions were read.
func (p runPage) cautionsRead(s run.Stage) profiles.Answer {
	return p.answer(run.CautionItem(s), session.CautionsRead, shownIDs(run.Cautions(s)))
}
