package ask

import (
	"fmt"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// coverChoices are the ways on that the cover verdict of a job opens. A record that is
// no full trial has made its choice.
func (f Flow) coverChoices() []Choice {
	c := f.Cover
	if c == nil || c.Problem != nil || f.Trial.Kind != session.Full {
		return nil
	}
	var choices []Choice
	if c.Best != nil {
		switch c.Effect {
		case profiles.Covered:
			choices = []Choice{forGood("No trial: use "+c.Best.Named(c.Best.Setting),
				write(f.answer(session.ItemJob, session.JobCovered, c.Best.ID)))}
		case profiles.ShortCheck:
			choices = f.checkChoice(c.Best.Record())
		}
		choices = append(choices, f.earlierChoice()...)
	}
	return choices
}

// warmthOrReel are the differences over which an earlier trial's pushes can be carried.
var warmthOrReel = map[string]bool{"conditions.cable_temperature": true, "cable.reel": true, "cable.lot": true}

// earlierChoice begins the trial from the nearest profile's, when nothing but warmth, the reel
// or what neither says speaks against that one.
func (f Flow) earlierChoice() []Choice {
	c := f.Cover
	if f.Record.Earlier != "" {
		return nil
	}
	for _, r := range c.Reasons {
		if r.Effect != profiles.Covered && !warmthOrReel[r.Field] && !r.Unsaid() {
			return nil
		}
	}
	job := f.Record
	job.Earlier = c.Best.ID
	agreed := f.agreed()
	return []Choice{{Label: fmt.Sprintf("From the %s trial: about 3 pushes", c.Best.Record().Conditions.CableTemperature), Key: keyEarlier,
		Do: func(f Flow) (Flow, Effect) { return f.at(stepFirst), AgreeJob{job, agreed} }}}
}

// coverReasons is the way to the whole verdict, when it has something to show.
func (f Flow) coverReasons() []Choice {
	if f.Cover == nil || f.Cover.Best == nil {
		return nil
	}
	return []Choice{{Label: "Cover: all reasons", Key: keyReasons, Do: GoTo(stepCover), Rank: Minor}}
}

func (f Flow) startLabel() string {
	if f.Trial.Kind == session.ShortCheck {
		return "Yes, start the short check"
	}
	return "Yes, start the trial"
}

// checkChoice makes this job the short check of a profile, when it can be one.
func (f Flow) checkChoice(profile profiles.Record) []Choice {
	check := f.Record.CheckOf(profile)
	t, err := check.Trial()
	if err != nil || t.Advisable() != nil {
		return nil
	}
	agreed := f.agreed()
	return []Choice{{Label: "Short check first: three pushes", Key: keyCheck, Do: func(f Flow) (Flow, Effect) {
		return f.at(stepFirst), AgreeJob{check, agreed}
	}}}
}

// agreed are the entries that end the job stage. A cable read again during it was read
// about now.
func (f Flow) agreed() []profiles.Entry {
	entries := []profiles.Entry{f.answer(session.ItemJob, session.JobAgreed, "")}
	if !f.readAgainAt.IsZero() {
		entries = append(entries, f.answer(session.ItemTemperature, "", f.Record.Conditions.CableTemperature.String()))
	}
	return entries
}

// coverQuestion shows the whole verdict.
func (f Flow) coverQuestion() Question {
	question := Question{ID: "cover", Title: show.VerdictWords[f.Cover.Effect][0], Body: f.Cover.Page(), Choices: f.coverChoices()}
	if f.Cover.Effect == profiles.Covered {
		question.Choices = append(question.Choices, Choice{Label: "Tag for the lid", Do: GoTo(stepTag)})
	}
	return question.with(Choice{Label: "Back to the job", Do: GoTo(stepFirst)})
}

func (q Question) with(c ...Choice) Question {
	q.Choices = append(q.Choices, c...)
	return q
}

// tagQuestion shows what to copy by hand to the lid of the drive.
func (f Flow) tagQuestion() Question {
	question := Question{ID: "tag", Title: "Tag for the lid, to copy by hand", Body: f.tagLines()}
	if _, given := f.Trial.Day(); !given {
		question.Choices = append(question.Choices, Choice{Label: "Give today's low and high", Rank: Minor, Do: func(f Flow) (Flow, Effect) {
			f = f.at(stepDay)
			f.draft.key = dayKeys[0]
			return f, None{}
		}})
	}
	back := stepFirst
	if f.Trial.Stage(f.Outlook.Next, f.Now, f.Earlier) == session.JobStage {
		back = stepCover
	}
	return question.with(Choice{Label: "Back", Do: GoTo(back)})
}

// dayKeys are the two values of the weather report, in the order they are asked.
var dayKeys = []string{"conditions.day_low", "conditions.day_high"}

// dayQuestion asks for today's low, then for today's high.
func (f Flow) dayQuestion() Question {
	field := fieldByKey(f.draft.key)
	now := field.read(f.Record)
	question := Question{ID: field.key, Title: field.ask + "?", Choices: []Choice{{Label: "Not known", Do: GoTo(stepTag), Rank: Minor}}}
	question.Enter = &Entering{Label: field.ask, Example: f.example(field), Now: now, Take: func(f Flow, text string) (Flow, Effect, error) {
		return f.unlessOdd(text, f.Trial.Odd(field.key, text), func(f Flow) (Flow, Effect, error) { return f.dayTaken(field.key, text) })
	}}
	return question
}

// dayTaken writes a value of the weather report and goes on to the next.
func (f Flow) dayTaken(key, text string) (Flow, Effect, error) {
	next, err := f.Record.With(key, text)
	if err != nil {
		return f, None{}, err
	}
	to := f.at(stepTag)
	if key == dayKeys[0] {
		to = f.at(stepDay)
		to.draft.key = dayKeys[1]
	}
	if f.Trial.LastNumber() == 0 {
		return to, ReplaceJob{next}, nil
	}
	return to, Append{[]profiles.Entry{profiles.Change{Key: key, Value: text, Reason: "from the weather report"}}}, nil
}

// stale says, when the cable's temperature was read too long ago, since when.
func (f Flow) stale() (line string, stale bool) {
	if !f.readAgainAt.IsZero() && f.Now.Sub(f.readAgainAt) <= session.StaleAfter || !f.Trial.TemperatureStale(f.Now) {
		return "", false
	}
	text, at := f.Trial.TemperatureRead()
	return fmt.Sprintf("The cable was read at %s, %s: read it again, as at each change of sun or shade.", at.In(f.Now.Location()).Format("15:04"), text), true
}

// readCable is the one tap that answers a stale reading.
var readCable = Choice{Label: "Read the cable's temperature", Do: GoTo(stepTemperature), Rank: Minor}

// readingQuestion asks for the cable's temperature once more and writes it as the
// stage can take it: into the job before it is agreed, as a change while the trial can
// still answer to it, and after that as a reading alone, since what was proved stays
// proved at the temperature it was.
func (f Flow) readingQuestion(stage session.Stage) Question {
	text, _ := f.Trial.TemperatureRead()
	question := Question{ID: "temperature", Title: "Cable temperature now?", Body: []string{"Now on record: " + text}}
	same := GoTo(stepFirst)
	if line, stale := f.stale(); stale {
		question.Body = []string{line}
		same = write(f.answer(session.ItemTemperature, "", text))
		if stage == session.JobStage {
			same = func(f Flow) (Flow, Effect) { return f.reread(), None{} }
		}
	}
	question.Choices = []Choice{{Label: "Still so: " + text, Do: same, Rank: Minor}}
	question.Enter = &Entering{Label: "Cable temperature", Example: f.Trial.CableTemperatureText(), Take: func(f Flow, text string) (Flow, Effect, error) {
		return f.unlessOdd(text, f.Trial.Odd(cableTemperature, text), func(f Flow) (Flow, Effect, error) { return f.cableRead(stage, text) })
	}}
	return question
}

const cableTemperature = "conditions.cable_temperature"

// cableRead writes a reading of the cable as the stage can take it. One that is as before
// is no change, and opens nothing again.
func (f Flow) cableRead(stage session.Stage, text string) (Flow, Effect, error) {
	same, err := f.Record.InForce(cableTemperature, text)
	if err != nil {
		return f, None{}, err
	}
	reading := f.answer(session.ItemTemperature, "", text)
	switch {
	case stage == session.JobStage:
		next, err := f.Record.With(cableTemperature, text)
		return f.reread(), ReplaceJob{next}, err
	case stage == session.CarryStage || same:
		return f.at(stepFirst), Append{[]profiles.Entry{reading}}, nil
	}
	return f.temperatureNow(text, "the cable's temperature changed during the trial", reading)
}

func (f Flow) reread() Flow {
	f = f.at(stepFirst)
	f.readAgainAt = f.Now
	return f
}

// beside adds to a step between trial and run, where there is room for it, the tag and
// the prompt to read the cable again.
func (f Flow) beside(question Question, first session.Check) Question {
	if question.ID == "block" || first.Alone || f.draft.step == stepSkip {
		return question
	}
	if line, stale := f.stale(); stale {
		question.Body = append(question.Body, line)
		question.Choices = append(question.Choices, readCable)
	}
	return question.with(Choice{Label: "Tag for the lid", Do: GoTo(stepTag), Rank: Minor})
}

// cableNow is the cable's last reading; the job's when that cannot be read.
func (f Flow) cableNow() q.Temperature {
	text, _ := f.Trial.TemperatureRead()
	if t, err := q.Parse[q.Temperature](text); err == nil {
		return t
	}
	return f.Trial.Conditions.CableTemperature.Or(0)
}

// toDial is the accepted setting, or the drop-to setting for a cable that is warmer by
// now than it holds for.
func (f Flow) toDial() (session.Setting, error) {
	s, err := f.Accepted()
	now := f.cableNow()
	if err != nil || !f.Trial.Conditions.CableTemperature.Known() {
		return s, err
	}
	p := f.promised(s)
	if dial, some := p.At(now); some {
		return dial, nil
	}
	if len(p.Why) > 0 {
		return s, fmt.Errorf("nothing is dialled with it: %s", strings.Join(p.Why, " "))
	}
	return s, fmt.Errorf("at %s nothing of this trial holds: make a new one", q.Text(now, f.Trial.Conditions.Unit))
}

// warmLines say what holds when the cable has got too warm for the accepted setting.
func (f Flow) warmLines() []string {
	s, err := f.Accepted()
	if err != nil {
		return nil
	}
	dial, err := f.toDial()
	switch warm := session.WholeDegrees(f.bandTop(s), f.Trial.Conditions.Unit); {
	case err != nil:
		return []string{"! " + words.Capital(err.Error()) + "."}
	case dial != s:
		return []string{fmt.Sprintf("! The cable is above %s: no more than the drop-to setting %s until a short check.", warm, f.Trial.Rig.Named(dial))}
	}
	return nil
}
