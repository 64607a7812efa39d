package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

func cautionQuestion(f Flow) Question {
	page, _ := f.Trial.DueCautions(f.Earlier)
	return f.cautions(page)
}

// shownIDs are the ids of cautions, as the record keeps them.
func shownIDs(list []session.Caution) string {
	var ids []string
	for _, c := range list {
		ids = append(ids, c.ID)
	}
	return strings.Join(ids, " ")
}

func checkQuestion(f Flow) Question {
	if len(f.wiped()) > 0 && f.draft.step != stepOne && f.draft.step != stepSkip {
		return climbQuestion(f)
	}
	return f.askChecks(f.Trial.DueChecks(f.Now, f.Earlier))
}

// askChecks asks the first of the open checks alone, or with those of its block
// that can be answered together.
//
// Someone who knows the work does a block and confirms it; a trainee, a killer
// asked for the first time on a set-up, a value and anything once found wrong are
// asked one by one.
func (f Flow) askChecks(due []session.Check) Question {
	if f.draft.step == stepOne || f.draft.step == stepSkip {
		for _, c := range due {
			if c.ID == f.draft.key {
				return f.askCheck(c, len(due))
			}
		}
	}
	if block := f.together(due); len(block) > 1 {
		return f.askBlock(block, len(due))
	}
	return f.askCheck(due[0], len(due))
}

// How many checks are read aloud in one go: seven, three more when all of them were
// found right before on the same set-up.
const (
	blockMost = 7
	againMost = 10
)

// together returns the checks from the first open one on that may be confirmed in
// one go: those of its place, or, when they are asked once more, wherever they are.
func (f Flow) together(due []session.Check) []session.Check {
	var block []session.Check
	again, _ := f.found(due[0])
	most := blockMost
	if again {
		most = againMost
	}
	for _, c := range due {
		right, _ := f.found(c)
		samePlace := c.Block == due[0].Block || c.Carries() && due[0].Carries()
		if !f.confirmable(c) || !samePlace && !(again && right) || len(block) == most {
			break
		}
		block = append(block, c)
	}
	return block
}

// confirmable reports whether a check may be confirmed with others.
func (f Flow) confirmable(c session.Check) bool {
	if f.Trial.People.Trainee || c.Alone || len(c.States) == 0 && f.readsAs(c) == "" {
		return false
	}
	right, wrong := f.found(c)
	return !wrong && (!c.Killer || right)
}

// found reports whether a check was found right before on this set-up, and whether
// its last answer in this trial was wrong.
func (f Flow) found(c session.Check) (right, wrong bool) {
	for _, h := range append(append([]session.Happened{}, f.Earlier...), f.Trial.Happened()...) {
		if h.Check == c.ID {
			right = right || c.Right(h.State, h.Value)
			wrong = !c.Right(h.State, h.Value)
		}
	}
	return right, wrong
}

// askBlock asks a block at one place: every check with the state it must be in.
func (f Flow) askBlock(block []session.Check, open int) Question {
	question := aboutBlock(block, open, func(c session.Check) string {
		if len(c.States) > 0 {
			return c.States[0]
		}
		return f.readsAs(c)
	})
	question.Choices = []Choice{{Label: fmt.Sprintf("All %d are as shown", len(block)), Do: write(f.rightAnswers(block)...)}}
	for _, c := range block {
		question.Choices = append(question.Choices, f.notSo(c, "Not so: "+c.Ask))
	}
	return question
}

// aboutBlock says what checks of one place are asked, and what each must read.
func aboutBlock(block []session.Check, open int, reads func(session.Check) string) Question {
	question := Question{
		ID: "block", Title: words.Capital(placeOf(block)) + blockHow(block),
		Body: []string{fmt.Sprintf("%d here, %d to go.", len(block), open)},
	}
	for _, c := range block {
		question.Rows = append(question.Rows, [2]string{c.Ask, reads(c)})
		question.Help = append(question.Help, fmt.Sprintf("%s %s If not: %s", c.Ask, c.How, c.Wrong))
	}
	return question
}

// blockHow is how a block is done: isolated, where a hand goes to the drive for it.
func blockHow(block []session.Check) string {
	switch {
	case !slices.ContainsFunc(block, func(c session.Check) bool { return c.Hands }):
		return ": do these, then read each aloud"
	case slices.ContainsFunc(block, func(c session.Check) bool {
		return c.Block == session.AtGauges || c.Killer && c.ID != session.CheckGuards
	}):
		return ": stop, isolate before any hand; read each aloud" // for some the drive runs
	}
	return ": stop, isolate, then do these; read each aloud"
}

// rightAnswers are the answers that close checks confirmed together.
func (f Flow) rightAnswers(block []session.Check) []profiles.Entry {
	var answers []profiles.Entry
	for _, c := range block {
		if len(c.States) > 0 {
			answers = append(answers, f.answer(c.ID, c.States[0], ""))
		} else {
			answers = append(answers, f.answer(c.ID, "", f.readsAs(c)))
		}
	}
	return answers
}

// placeOf names where a block is done.
func placeOf(block []session.Check) string {
	for _, c := range block {
		if c.Block != block[0].Block && !c.Carries() {
			return "once more"
		}
	}
	return block[0].Block.String()
}

// askCheck asks one check: by its states, its value, or both.
func (f Flow) askCheck(c session.Check, open int) Question {
	if f.draft.step == stepSkip && f.draft.key == c.ID {
		return f.skipQuestion(c)
	}
	question := aboutCheck(c, open, f.Trial.People.Trainee)
	wrong := f.saidWrong(c)
	if len(wrong) > 0 {
		question.Title, question.Body[0] = notRight+c.Ask, putRight+c.How
		question.Body = append(wrong, question.Body...)
	}
	if c.ID == session.CheckSettling {
		question = f.settling(question, wrong)
	}
	for _, state := range c.States { // a wrong state is written too: it was seen
		question.Choices = append(question.Choices, Choice{Label: state, Do: write(f.answer(c.ID, state, ""))})
	}
	if c.Asks != 0 && len(c.States) == 0 {
		question.Enter = f.checkValue(c)
	}
	if was := f.stillSo(c); was != "" {
		question.Choices = append(question.Choices, Choice{Label: "Still so: " + was, Do: write(f.answer(c.ID, "", was))})
	}
	if reads := f.readsAs(c); reads != "" {
		question.Choices = append(question.Choices, Choice{Label: "It reads " + reads, Do: write(f.answer(c.ID, "", reads))})
	}
	if !c.Killer {
		question.Choices = append(question.Choices, Choice{Label: "Leave out, say why", Do: func(f Flow) (Flow, Effect) {
			f = f.at(stepSkip)
			f.draft.key = c.ID
			return f, None{}
		}, Rank: Minor})
	}
	if len(wrong) > 0 {
		question.Choices = append(question.Choices, leaving)
	}
	return question
}

// saidWrong says what was answered last where that was not right, and what may come of it.
// What to do now stands beside it, so that nobody takes the page for the one before.
func (f Flow) saidWrong(c session.Check) []string {
	said := ""
	for _, h := range f.Trial.Happened() {
		if h.Check != c.ID {
			continue
		}
		if said = ""; !h.Skipped && !c.Right(h.State, h.Value) {
			said = h.State + h.Value
		}
	}
	if said == "" {
		return nil
	}
	return []string{fmt.Sprintf("! You said: %s. %s", said, c.Wrong)}
}

// states are the answers to a check that is answered by its state. A wrong one is written
// too: it was seen.
func (f Flow) states(c session.Check) []Choice {
	var choices []Choice
	for _, state := range c.States {
		choices = append(choices, Choice{Label: state, Do: write(f.answer(c.ID, state, ""))})
	}
	return choices
}

// notSo is the choice to answer one of several checks alone.
func (f Flow) notSo(c session.Check, label string) Choice {
	return Choice{Label: label, Do: func(f Flow) (Flow, Effect) {
		f = f.at(stepOne)
		f.draft.key = c.ID
		return f, None{}
	}, Rank: Minor}
}

// settling makes the check of the settling push a page to dial by: its figures, what to see,
// and the guards before it.
func (f Flow) settling(question Question, wrong []string) Question {
	next, ok := session.SettingOf(f.Outlook.Next)
	if !ok {
		return question
	}
	rig := f.Trial.Rig
	lowest := f.Trial.Lowest(next)
	question.Setting = &lowest
	question.Title = "Settling push: dial " + rig.Named(lowest)
	body := append(wrong[:len(wrong):len(wrong)],
		"! Guards on, everyone clear, one hand at the stop control.",
		fmt.Sprintf("Belts open: set the %s to %s, the lowest. Close them at %s of grip pressure. Push once, gently.",
			cmp.Or(rig.PushControl, "push control"), rig.ShowSpeed(lowest.Speed.Value), rig.ShowGrip(lowest.Grip)),
		"See: the cable line creeps a little and holds, the lines on plug and stub stay whole.")
	question.Body = append(body, question.Body[len(wrong):]...)
	return question
}

// aboutCheck says what a check asks, why, and how one knows.
func aboutCheck(c session.Check, open int, trainee bool) Question {
	question := Question{
		ID: c.ID, Title: c.Ask,
		Body: []string{c.How, fmt.Sprintf("%s: %d to go.", words.Capital(c.Block.String()), open)},
		Help: []string{"Why: " + c.Why, "How you know: " + c.How, "If not: " + c.Wrong},
	}
	if c.Killer {
		question.Body = append(question.Body, "Nothing moves until this is right.")
	}
	if trainee {
		question.Body = append(question.Body, "Why: "+c.Why, "If not: "+c.Wrong, c.Teach)
	}
	return question
}

// checkValue takes a value, writes it as the answer, and where it fills a key of
// the job and differs, as a change of the job first.
func (f Flow) checkValue(c session.Check) *Entering {
	known := ""
	if reads := f.readsAs(c); reads != "" {
		known = "allowed: " + reads
	}
	return &Entering{Label: c.Ask, Example: exampleOf(c, f.customary()), Known: known, Take: func(f Flow, text string) (Flow, Effect, error) {
		if err := readable(c.Asks, text); err != nil {
			return f, None{}, err
		}
		if c.Block == session.AirNext {
			if err := f.readBack(c, text); err != nil {
				return f, None{}, err
			}
		}
		if err := session.Nothing(c.Key, text); err != nil {
			return f, None{}, err
		}
		return f.unlessOdd(text, f.Trial.Odd(c.Key, text), func(f Flow) (Flow, Effect, error) { return f.valueRead(c, text) })
	}}
}

// valueRead writes the value of a check, and a change of the job before it where there is one.
func (f Flow) valueRead(c session.Check, text string) (Flow, Effect, error) {
	answer := f.answer(c.ID, "", text)
	if c.Key == "" {
		return f.at(stepFirst), Append{[]profiles.Entry{answer}}, nil
	}
	same, err := f.Record.InForce(c.Key, text)
	if err != nil {
		return f, None{}, err
	}
	if same {
		return f.at(stepFirst), Append{[]profiles.Entry{answer}}, nil
	}
	if c.Key == cableTemperature {
		return f.temperatureNow(text, "read at the check "+c.ID, answer)
	}
	change := profiles.Change{Key: c.Key, Value: text, Reason: "read at the check " + c.ID}
	return f.at(stepFirst), Append{[]profiles.Entry{change, answer}}, nil
}

// stillSo is the temperature on record that a check asks for again, "" when there is none.
func (f Flow) stillSo(c session.Check) string {
	conditions := f.Trial.Conditions
	was, known := map[string]q.Maybe[q.Temperature]{
		cableTemperature: conditions.CableTemperature, "conditions.stub_temperature": conditions.StubTemperature, "conditions.air_temperature": conditions.AirTemperature,
	}[c.Key].Get()
	if !known {
		return ""
	}
	return q.Text(was, conditions.Unit)
}

// readsAs is what a dialled value must read, for a crew that sees just that.
func (f Flow) readsAs(c session.Check) string {
	s, err := f.toDial()
	switch {
	case err != nil:
		return ""
	case c.ID == "dialled-grip-pressure":
		return f.Trial.Rig.ShowGrip(s.Grip)
	case c.ID == "dialled-push-control":
		return f.Trial.Rig.ShowSpeed(s.Speed.Value)
	}
	return ""
}

// readBack refuses a dialled value that is not the accepted setting: grip pressure
// must be it, within half a division; speed must not be above it.
func (f Flow) readBack(c session.Check, text string) error {
	rig := f.Trial.Rig
	s, err := f.toDial()
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
		question.Choices = append(question.Choices, Choice{Label: reason, Do: write(f.skip(c, reason))})
	}
	question.Choices = append(question.Choices, Choice{Label: "Go back to the check", Do: GoTo(stepFirst), Rank: Minor})
	question.Enter = &Entering{Label: "Reason in your words", Example: "no thermometer on site", Take: func(f Flow, text string) (Flow, Effect, error) {
		return f.at(stepFirst), Append{[]profiles.Entry{f.skip(c, text)}}, nil
	}}
	return question
}

func (f Flow) skip(c session.Check, reason string) profiles.Answer {
	a := f.answer(c.ID, "left out", "")
	a.SkipReason = reason
	return a
}
