package ask

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

func settingQuestion(f Flow) Question {
	o := f.Outlook
	if last, open := f.unconfirmed(); open {
		if f.draft.step == stepGauge {
			return f.gaugeQuestion()
		}
		return f.confirmQuestion(last)
	}
	if f.Trial.StateOf(session.ItemSetting) == session.SettingDeclined {
		return f.declinedQuestion()
	}
	switch next := o.Next.(type) {
	case session.Install:
		if f.draft.step == stepLower {
			return f.lowerQuestion(f.offer)
		}
		p := f.promised(f.offer)
		if len(p.Why) > 0 {
			return f.unpromised(p)
		}
		return f.installQuestion(next.Setting)
	case session.Refuse:
		return Question{
			ID: "refusal", Title: "No setting can be given", Body: append([]string{words.Capital(next.Reason)}, f.warned(o)...), Help: show.Why(f.Trial, o),
			Choices: append([]Choice{f.closing()}, append(f.followChoice(), leaving)...),
		}
	}
	panic("ui: the climb is not over")
}

// unpromised is the end of a trial whose setting nothing may be promised of.
func (f Flow) unpromised(p profiles.Promise) Question {
	if f.library().Problem != nil {
		return Question{
			ID: "unread", Title: "The other records cannot be read", Body: append([]string{"They may speak against this setting, so none can be given yet. The pushes of this trial are on record."}, p.Why...),
			Choices: []Choice{{Label: "Read them again", Do: func(f Flow) (Flow, Effect) { return f, LookAgain{} }}, leaving},
		}
	}
	question := Question{
		ID: "refusal", Title: "No setting can be given", Body: append([]string{"The pushes of this trial are on record, and nothing is handed out."}, p.Why...), Help: show.Why(f.Trial, f.Outlook),
		Choices: []Choice{f.closing()},
	}
	if p.Look {
		question.Choices = append(question.Choices, Choice{Label: "Write the profile for the supervisor", Key: keyRefuse, Do: f.acceptAndSave(f.offer), Rank: Ending})
		return question.with(leaving) // a new trial begins at home: its key is taken here
	}
	return question.with(f.followChoice()...).with(leaving)
}

// loweredLines say that other trials or runs leave less than this trial found.
func (f Flow) loweredLines(advised session.Setting) []string {
	if f.offer == advised {
		return nil
	}
	lines := []string{fmt.Sprintf("! This trial found %s. Less is offered, for what is on record of this cable, duct and rig:", f.Trial.Rig.Named(advised))}
	for _, why := range f.promised(advised).Why {
		lines = append(lines, "! "+why)
	}
	return lines
}

// keyRefuse is beside [EndKey], and like it no key of the pages before.
const keyRefuse = "9"

// installQuestion offers the setting, or the lower one that was chosen instead of it: that is
// read back like the advised one before it is written.
func (f Flow) installQuestion(advised session.Setting) Question {
	o, s := f.Outlook, f.offer
	body := f.loweredLines(advised)
	if f.draft.lower != nil && f.draft.lower.Speed.Value <= s.Speed.Value {
		s = *f.draft.lower
		body = append(body, fmt.Sprintf("Chosen lower than advised, which is %s.", f.Trial.Rig.Named(f.offer)))
	}
	body = slices.Concat(body, f.checkedLines(), o.Lines(f.Trial, f.promised(s).Promise), f.warned(o), f.dueLines(s))
	return Question{
		ID: "setting", Title: "Install setting", Setting: &s, Body: body, Help: show.Why(f.Trial, o),
		Choices: []Choice{
			forGood("Accept "+f.Trial.Rig.Named(s)+" and write the profile", f.acceptAndSave(s)),
			{Label: "Refuse it: no setting today", Key: keyRefuse, Do: write(f.answer(session.ItemSetting, session.SettingDeclined, "")), Rank: Ending},
			{Label: "Choose a lower " + f.Trial.Rig.Control(), Do: GoTo(stepLower), Rank: Minor},
			leaving,
		},
	}
}

// declinedQuestion closes a trial whose setting was refused, or goes back to that.
func (f Flow) declinedQuestion() Question {
	return Question{
		ID: "declined", Title: "Refused: no setting today", Body: []string{"What was found stays on record. No profile is written.", "Until the trial is closed the refusal can be taken back, after leaving too."},
		Choices: []Choice{f.closing(), takingBack, leaving},
	}
}

func (f Flow) closing() Choice {
	return forGood("Close the trial", write(f.answer(session.ItemClosed, session.TrialUnset, "")))
}

func (f Flow) warned(o session.Outlook) []string {
	var lines []string
	for _, w := range o.Warnings {
		lines = append(lines, "! "+words.Capital(w)+".")
	}
	return lines
}

// acceptAndSave writes the acceptance and then the profile. A profile that could
// not be written leaves the trial accepted and asks to write it again.
func (f Flow) acceptAndSave(s session.Setting) func(Flow) (Flow, Effect) {
	accepted := f.answer(session.ItemSetting, session.SettingAccepted, f.Trial.Rig.Show(s))
	return func(f Flow) (Flow, Effect) { return f.at(stepFirst), SaveProfile{s, &accepted} }
}

// lowerQuestion lets the crew choose less than was found, never more.
func (f Flow) lowerQuestion(advised session.Setting) Question {
	rig := f.Trial.Rig
	chosen := func(f Flow, s session.Setting) Flow {
		f = f.at(stepFirst)
		f.draft.lower = &s
		f.promises = maps.Clone(f.promises)
		f.promises[s] = f.promised(s) // once, and not whenever the page is drawn
		return f
	}
	question := Question{ID: "lower", Title: "Which " + rig.Control() + "? Lower than advised, never higher",
		Choices: []Choice{{Label: "Keep " + rig.Named(advised), Do: GoTo(stepFirst)}}}
	for _, v := range f.Trial.LowerSpeeds(advised, 4) {
		lower := session.Setting{Grip: advised.Grip, Speed: rig.Reading(v)}
		question.Choices = append(question.Choices, Choice{Label: rig.Named(lower), Do: func(f Flow) (Flow, Effect) { return chosen(f, lower), None{} }})
	}
	question.Enter = &Entering{Label: words.Capital(rig.Control()), Example: rig.ShowSpeed(advised.Speed.Value), Known: "advised: " + rig.ShowSpeed(advised.Speed.Value), Take: func(f Flow, text string) (Flow, Effect, error) {
		v, err := q.ParseReading(text)
		switch {
		case err != nil:
			return f, None{}, err
		case v.Unit != advised.Speed.Unit:
			return f, None{}, fmt.Errorf("%q is not in the push control's unit, %s", text, rig.PushUnit)
		case v.Value <= 0 || v.Value > advised.Speed.Value*(1+1e-9):
			return f, None{}, fmt.Errorf("%s is not between zero and the advised %s: only a new trial can raise it", text, rig.ShowSpeed(advised.Speed.Value))
		}
		return chosen(f, session.Setting{Grip: advised.Grip, Speed: v}), None{}, nil
	}}
	return question
}

func saveQuestion(f Flow) Question {
	s, err := f.Accepted()
	if err != nil {
		return Question{ID: "save", Title: "The accepted setting cannot be read", Body: []string{err.Error()},
			Choices: []Choice{leaving}}
	}
	question := Question{ID: "save", Title: "Write the profile", Body: append(f.settingLines(), f.bandLines(s)...)}
	if p := f.promised(s); len(p.Why) > 0 && !p.Look { // what came to be known since forbids to write it
		question.Body = p.Why
		return question.with(takingBack, leaving)
	}
	return question.with(Choice{Label: "Write it", Key: keyRefuse, Rank: Ending, Do: func(f Flow) (Flow, Effect) { return f.at(stepFirst), SaveProfile{Accepted: s} }}, leaving)
}

// takingBack opens again what was decided.
var takingBack = Choice{Label: "Take it back: the setting again", Do: Flow.Undo}

// Accepted returns the setting the crew accepted.
func (f Flow) Accepted() (session.Setting, error) {
	t := f.Trial
	next, ok := f.Outlook.Next.(session.Install)
	if !ok {
		return session.Setting{}, fmt.Errorf("this trial ended without a setting")
	}
	for _, a := range t.Answers() {
		if a.Item == session.ItemSetting && a.State == session.SettingAccepted {
			s, err := t.Rig.ReadSetting(a.Value)
			const printed = 1e-3 // the text is rounded
			if err == nil && s.Speed.Value <= next.Setting.Speed.Value*(1+printed) {
				s.Grip, s.Speed.Value = next.Setting.Grip, min(s.Speed.Value, next.Setting.Speed.Value)
				return s, nil
			}
			return session.Setting{}, fmt.Errorf("the accepted setting %q is not one this trial advised", a.Value)
		}
	}
	return session.Setting{}, fmt.Errorf("no setting was accepted yet")
}

// settingLines is the accepted setting as it is read back before the run.
func (f Flow) settingLines() []string {
	s, err := f.Accepted()
	if err != nil {
		return nil
	}
	switch p := f.promised(s); {
	case p.Look:
		return []string{"! Nothing to install with until a supervisor has accepted it in the review."}
	case len(p.Why) > 0:
		return []string{"! Nothing to install with: make a new trial."}
	}
	return append([]string{"Setting: " + f.Trial.Rig.Named(s)}, f.warmLines()...)
}

// dueLines say when a check falls due today.
func (f Flow) dueLines(s session.Setting) []string {
	return words.NotEmpty(show.DueLine(f.Trial, f.bandTop(s), f.Now))
}

// checkedLines say what a short check that passed adds to its profile.
func (f Flow) checkedLines() []string {
	if f.Trial.Kind != session.ShortCheck || f.Checked == nil {
		return nil
	}
	c, unit := f.Checked, f.Trial.Conditions.Unit
	was := cmp.Or(c.Setting.CoveredUpTo.String(), "not said")
	if c.Cable.Reel != f.Record.Cable.Reel {
		was += ", reel " + cmp.Or(c.Cable.Reel, "not said")
	}
	now := session.WholeDegrees(f.bandTop(f.offer), unit)
	if f.Record.Cable.Reel != c.Cable.Reel {
		now += ", reel " + cmp.Or(f.Record.Cable.Reel, "not said")
	}
	return []string{fmt.Sprintf("Short check passed. The setting of %s held up to %s; it holds now up to %s.", c.Conditions.CableTemperature, was, now)}
}

// startsFullTrial is the label of what begins the full trial after a short check.
const startsFullTrial = "Start the full trial now"

// followChoice begins the full trial after a short check that did not pass.
func (f Flow) followChoice() []Choice {
	if f.Trial.Kind != session.ShortCheck {
		return nil
	}
	job, err := f.Record.AfterCheck()
	if err != nil {
		return nil
	}
	if _, stale := f.stale(); stale {
		if asked, err := job.With("conditions.cable_temperature", ""); err == nil {
			job = asked // read anew
		}
	}
	follow := FollowOn{f.answer(session.ItemClosed, session.TrialUnset, ""), job}
	return []Choice{{Label: startsFullTrial, Key: keyRefuse, Rank: Ending, Do: func(f Flow) (Flow, Effect) { return f.at(stepFirst), follow }}}
}

// bandLines say what the profile holds for and what to drop to when it warms.
func (f Flow) bandLines(s session.Setting) []string {
	r, unit := f.Record, f.Trial.Conditions.Unit
	lines := []string{fmt.Sprintf("For: %s, %s, %s, %s", r.Cable.Make, r.Cable.Type, r.Duct.Size, f.Trial.CableTemperatureText())}
	if !f.Trial.Conditions.CableTemperature.Known() {
		return lines
	}
	lines = append(lines, f.dueLines(s)...)
	p := f.promised(s)
	lines = append(lines, "Cable and inlet air up to "+session.WholeDegrees(p.UpTo, unit)+". Warmer: a short check, and until then")
	for _, d := range p.DropTo {
		lines = append(lines, fmt.Sprintf("  up to %s: %s", session.WholeDegrees(d.UpTo, unit), f.Trial.Rig.Named(d.Setting)))
	}
	return append(lines, "New reel or lot, next shift, cleaned belts: a short check. Other cable, duct, rig or belts: a new trial.")
}

// closedQuestion ends a trial with what there is to copy from it.
func closedQuestion(f Flow) Question {
	question := Question{ID: "closed", Title: "This trial is closed", Body: append(f.settingLines(), f.liveLines()...), Choices: []Choice{
		{Label: "To the start page", Do: func(f Flow) (Flow, Effect) { return f, GoHome{} }}, {Label: "Leave", Key: "q", Do: leave, Rank: Global}}}
	if of := f.installs(); of != "" {
		question.Choices = append(question.Choices[:1:1], append([]Choice{runChoice(of, !f.customary())}, question.Choices[1:]...)...)
	}
	if f.Trial.StateOf(session.ItemSaved) == session.ProfileWritten {
		question.Choices = append(question.Choices, reachChoice)
	}
	if f.Trial.StateOf(session.ItemJob) == session.JobCovered {
		question.Title = "Covered: no trial is needed"
	}
	if tag := f.tagLines(); tag != nil {
		question.Body = append(f.warmLines(), append([]string{"Tag for the lid, to copy by hand:"}, tag...)...)
	}
	return question
}
