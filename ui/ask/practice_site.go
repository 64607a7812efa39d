package ask

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/draw"

	q "brinkmark/session/quantity"
)

// site is what a trial on a simulated rig has besides its record: a time of its own,
// and what there is to be seen there.
type site interface {
	Now() time.Time
	ask(Flow, Question) Question
}

// Where names the part of the trial a question belongs to.
func (q Question) Where() string {
	if q.Place != "" {
		return q.Place
	}
	if !q.mock {
		return q.Stage.String()
	}
	return strings.TrimSuffix("practice, "+q.Stage.String(), ", ")
}

// ask turns a question of the real flow into the same on the practice site: the same
// words, with what one sees there, and nothing of it written among the real records.
func (p *PracticeTrial) ask(f Flow, q Question) Question {
	first := f.draft.step == stepFirst
	v, read := p.Told()
	switch {
	case p.over():
		q = p.end.page(onRig{trial: p, keep: true})
	case q.Stage == session.JobStage:
		q = p.lessonQuestion(f)
	case first && read && v.Read != 0 && p.acted < v.Push && v.Read != session.Stall:
		q = p.firstAct(v.Push)
	case first && read && p.told < v.Push:
		q = p.truthQuestion(f, v)
	case first && read && p.shown < v.Push && practice.Repeated(p.Bench.Verdicts()):
		q = p.besideQuestion(v)
	case q.ID == "cautions":
		q.Body = append(q.Body, "! "+practice.Notice)
	case q.ID == "dial":
		q = p.dialQuestion(f, q)
	case q.ID == "confirm":
		q = p.gauged(q)
	case q.ID == "gauge":
		q.Enter = driveGauge(*q.Enter, v.Truth)
	case q.ID == "push":
		q.Title = "Push. Eyes on belts and cable line"
		q.Choices = []Choice{{Label: "Read it", Do: GoTo(StepRead)}, {Label: "Watch it again", Do: GoTo(stepPush)}}
		q.Scene = p.scene()
	case slices.Contains([]string{"read", "belts", "line", "witness", "void"}, q.ID) && p.Bench.Waiting():
		q.Scene = p.scene()
		q.Choices = slices.DeleteFunc(slices.Clone(q.Choices), func(c Choice) bool { return c.Label == "No push was made" })
		if q.ID == "read" && f.Trial.People.Trainee { // they come before the exception
			q.Choices = []Choice{{Label: "Answer the two questions", Do: GoTo(stepBelts)}, q.Choices[0]}
		}
	case q.ID == "used" && f.folded():
		q.Body = append(q.Body, "In practice a fold costs "+f.foldCosts()+" of cable.")
	case q.ID == "slip":
		q.Body = append(p.seen(f), q.Body...)
	case q.ID == "refusal": // a lesson is one trial
		q.Choices = slices.DeleteFunc(slices.Clone(q.Choices), func(c Choice) bool { return c.Label == startsFullTrial })
	case q.ID == "temperature":
		q.Body = append(q.Body, p.thermometer(f))
	case q.Stage == session.CheckStage:
		q = p.look(f, q)
	}
	q.mock = true
	return p.apart(q)
}

// scene is the last push as it is shown.
func (p *PracticeTrial) scene() *draw.PracticePicture {
	if p.Bench.Made() == 0 {
		return nil
	}
	return &draw.PracticePicture{Push: p.Bench.Last(), Rig: p.trial.Rig}
}

// apart keeps a question's answers away from the real records.
func (p *PracticeTrial) apart(q Question) Question {
	q.Choices = slices.Clone(q.Choices)
	for i, c := range q.Choices {
		do := c.Do
		q.Choices[i].Label = strings.Replace(c.Label, " and write the profile", "", 1)
		q.Choices[i].Do = func(f Flow) (Flow, Effect) {
			next, effect := do(f)
			return next, p.instead(q, next, effect)
		}
		if c.Rank == Global && c.Also == nil {
			q.Choices[i] = Choice{Label: "Leave the lesson; nothing of it is kept", Key: c.Key, Do: going(p.end.back), Rank: Global}
		}
	}
	if q.Enter != nil {
		enter := *q.Enter
		take := enter.Take
		enter.Take = func(f Flow, text string) (Flow, Effect, error) {
			next, effect, err := take(f, text)
			return next, p.instead(q, next, effect), err
		}
		q.Enter = &enter
	}
	return q
}

// instead is what an effect comes to in practice: a setting is accepted, and with that the
// trial is closed and no profile written; a push is made on the rig.
func (p *PracticeTrial) instead(q Question, next Flow, e Effect) Effect {
	if s, ok := e.(SaveProfile); ok && s.Answer != nil {
		e = Append{[]profiles.Entry{*s.Answer}}
	}
	rig := onRig{trial: p}
	written, writes := e.(Append)
	if writes {
		rig.entries = written.Entries
	}
	for _, e := range rig.entries {
		if a, ok := e.(profiles.Answer); ok && a.Item == session.ItemSetting && a.State != session.SettingDeclined {
			rig.entries = append(rig.entries, profiles.Answer{Item: session.ItemClosed, State: session.TrialClosed})
		}
	}
	try, pushing := next.Outlook.Next.(session.Try)
	if q.ID == "dial" && next.draft.step == stepPush && pushing {
		rig.push = &try.Setting
	} else if !writes {
		return e
	}
	return rig
}

// onRig does something on the practice rig.
type onRig struct {
	trial   *PracticeTrial
	entries []profiles.Entry // written first
	push    *session.Setting // a push to make
	acts    []practice.Act   // done after a push
	acted   bool             // it is said what was done
	told    bool             // the truth was read
	shown   bool             // so was the misreading beside what is right
	again   string           // a check whose value was not measured well
	keep    bool             // the result is to be kept, which failed before
}

func (onRig) effect() {}

func (e onRig) carry(Keeper) (string, error) {
	p := e.trial
	if len(e.entries) > 0 {
		if err := p.Append(e.entries...); err != nil {
			return "", err
		}
	}
	for _, a := range e.acts {
		p.Do(a)
	}
	if e.again != "" {
		p.Bench.Remeasure(e.again)
	}
	if e.acted {
		p.acted = p.Bench.Made()
	}
	if e.told {
		p.told = p.Bench.Made()
	}
	if e.shown {
		p.shown = p.Bench.Made()
	}
	if e.keep {
		p.end.write()
	}
	if e.push == nil {
		return "", nil
	}
	_, err := p.Watch(*e.push)
	return "", err
}

// lessonQuestion is the lesson before it begins.
func (p *PracticeTrial) lessonQuestion(f Flow) Question {
	l := p.Bench.Lesson()
	q := Question{ID: "lesson", Stage: session.JobStage, Title: l.Title, Body: []string{"! " + practice.Notice, "Goal: " + l.Goal}}
	begun := []profiles.Entry{f.answer(session.ItemJob, session.JobAgreed, "")}
	if found, left := p.foundBefore(f); len(found) > 0 {
		begun = append(found, begun...)
		q.Body = append(q.Body, fmt.Sprintf("The crew before you set this rig up this morning and found %d things right: they are written down. "+
			"The %d that can kill are yours to look at, one by one. On a job nobody does the rest for you.", len(found), left))
	}
	q.Body = append(q.Body, p.note...)
	for _, line := range f.jobLines() {
		if about, _, _ := strings.Cut(line, ":"); slices.Contains([]string{"Cable", "Duct", "Rig", "Ladder"}, about) {
			q.Body = append(q.Body, line)
		}
	}
	q.Body = append(q.Body, fmt.Sprintf("Seed: %d. The same seed gives the same rig.", p.Bench.Seed()))
	q.Help = []string{
		"The rig is simulated, and how strong its cable is you find out as on a real one.",
		"You watch a push and read it. Then, and not before, you are told what it was and what gave it away.",
		"At a check you are told what is to be seen. Some of it is wrong: say so, and it is put right. Name nothing wrong that is right.",
		"A fold read as anything else costs most, then what could hurt somebody, then a setting too near the fold. How it went says what cost what.",
	}
	q.Choices = []Choice{
		{Label: "Begin", Do: write(begun...)},
		{Label: "Another lesson", Do: going(p.end.back), Rank: Minor},
	}
	return q
}

// foundBefore are the answers of the crew that set the rig up, and how many checks they
// leave open: those that can kill.
func (p *PracticeTrial) foundBefore(f Flow) (found []profiles.Entry, left int) {
	for _, c := range f.Trial.DueChecks(f.Now, nil) {
		if !p.lesson.SetUp || c.Killer || len(c.States) == 0 {
			left++
			continue
		}
		found = append(found, profiles.Answer{Item: c.ID, State: c.States[0], By: "crew before"})
	}
	return found, left
}

// dialQuestion adds what a thermometer shows. The checks that the press would answer are
// looked at first, each by itself.
func (p *PracticeTrial) dialQuestion(f Flow, q Question) Question {
	if due := f.Trial.DueChecks(f.Now, nil); len(due) > 0 {
		q = f.askChecks(due)
		q.Stage = session.CheckStage
		return p.look(f, q)
	}
	if line := p.thermometer(f); line != "" {
		q.Body = append([]string{line}, q.Body...)
	}
	return p.gauged(q)
}

// gauged leaves out what asks for a gauge's reading where this rig has no gauge.
func (p *PracticeTrial) gauged(q Question) Question {
	if v, read := p.Told(); read && !v.Truth.StallReading.Known() {
		q.Choices = slices.DeleteFunc(slices.Clone(q.Choices), func(c Choice) bool { return c.Also == &Keys.Enter })
	}
	return q
}

// seen is what one sees at the checks that the same press answers.
func (p *PracticeTrial) seen(f Flow) []string {
	var seen []string
	for _, c := range f.Trial.DueChecks(f.Now, nil) {
		if line := p.Look(c.ID); line != "" {
			seen = append(seen, "! You look: "+line)
		}
	}
	return seen
}

// driveGauge asks for the stall reading in the unit of the gauge that shows it.
func driveGauge(e Entering, t practice.Truth) *Entering {
	stood, _ := t.StallReading.Get()
	e.Label, e.Example = "The drive gauge at that stall", "100 "+stood.Unit // its unit, and no answer
	return &e
}

// thermometer says what it shows, where that is not what is on record.
func (p *PracticeTrial) thermometer(f Flow) string {
	unit := f.Trial.Conditions.Unit
	now := session.WholeDegrees(p.Bench.Temperature(), unit)
	if known, ok := f.Trial.Conditions.CableTemperature.Get(); ok && session.WholeDegrees(known, unit) == now {
		return ""
	}
	return "Thermometer on the cable: " + now + "."
}

// foldCosts is the cable that a fold costs here, as one would measure it.
func (f Flow) foldCosts() string {
	for _, text := range f.lengths(session.Fold) {
		if length, _ := asWritten[q.Length](text).Value().Get(); length >= practice.FoldCosts*0.99 {
			return text
		}
	}
	return f.length(practice.FoldCosts)
}

// firstAct asks what is done first after a push that needs hands at the rig. The
// order of the answers changes, so that they are read.
func (p *PracticeTrial) firstAct(push int) Question {
	q := Question{ID: "first-act", Stage: session.ClimbStage, Title: "The cable must come back and be looked at. What first?"}
	do := func(label string, acts ...practice.Act) {
		q.Choices = append(q.Choices, Choice{Label: label, Do: func(f Flow) (Flow, Effect) {
			return f.at(stepFirst), onRig{trial: p, acts: acts, acted: true}
		}})
	}
	do("Press stop, isolate the supply", practice.StopAndIsolate, practice.HandsIn)
	do("Open the belts, pull it back by hand", practice.HandsIn)
	do("A little air, to blow it back", practice.AirOn)
	turn := push % len(q.Choices)
	q.Choices = append(q.Choices[turn:len(q.Choices):len(q.Choices)], q.Choices[:turn]...)
	return q
}

// truthQuestion tells what a push was, after it was read.
func (p *PracticeTrial) truthQuestion(f Flow, v practice.Verdict) Question {
	t := v.Truth
	right := v.Read == t.Outcome || t.Either && v.Read == t.Looks
	q := Question{ID: "truth", Stage: session.ClimbStage, Title: fmt.Sprintf("Right: push %d was %s", v.Push, called(t))}
	if !right {
		q.Title = fmt.Sprintf("Not so: push %d was %s", v.Push, called(t))
	}
	q.Body = append(q.Body, "What gave it away:")
	q.Body = append(q.Body, t.GaveAway...)
	if r, ok := t.StallReading.Get(); ok {
		q.Body = append(q.Body, "The drive gauge stood at "+r.Text(r.Unit)+".")
	}
	q.Body = append(q.Body, t.Withdrawn)
	q.Body = append(q.Body, misjudgedLines(p.Bench.Misjudged(), v.Push)...)
	if pause := p.lesson.Pause; pause.After == v.Push {
		q.Body = append(q.Body, fmt.Sprintf("You are called away. You come back %.0f minutes later.", pause.Lasts.Minutes()))
	}
	q.Choices = []Choice{{Label: "Go on", Do: func(f Flow) (Flow, Effect) {
		return f.at(stepFirst), onRig{trial: p, told: true}
	}}}
	if last, ok := f.unconfirmed(); ok {
		again := f.written(last)
		again.JacketDamage = true
		marked := onRig{trial: p, told: true, entries: []profiles.Entry{profiles.Undo{Drops: last.Seq}, again}}
		q.Choices = append(q.Choices, Choice{Label: "Jacket marked", Rank: Minor,
			Do: func(f Flow) (Flow, Effect) { return f.at(stepFirst), marked }})
	}
	return q
}

// called is what an outcome is called in a sentence.
func called(t practice.Truth) string {
	if t.Outcome == session.Void {
		return "void: " + t.Reason
	}
	return "a " + t.Outcome.String()
}
