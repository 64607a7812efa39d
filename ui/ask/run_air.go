package ask

import (
	"cmp"
	"fmt"
	"math"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// beforeAir leads from the checks over the read-back to the head at the duct's mouth.
func (p runPage) beforeAir() Question {
	question, first := p.toBeSafe(p.due(lastGate))
	switch {
	case first:
		return question
	case len(p.view.Missing) > 0:
		return p.cableWarm()
	case !p.engine.Cautioned(run.RunStage):
		return p.cautions(run.RunStage)
	}
	return p.firstMark()
}

func (r RunFlow) customary() bool {
	if unit := r.engine.Plan.Units.Temperature; unit != "" {
		return unit == "°F"
	}
	return !r.metric
}

func (r RunFlow) temperature(t q.Maybe[q.Temperature]) string {
	v, known := t.Get()
	return knownText(known, func() string { return q.Text(v, cmp.Or(r.engine.Plan.Units.Temperature, "°C")) })
}

// cableWarm begins a read-back: which setting may be used depends on how warm it is.
func (p runPage) cableWarm() Question {
	next := p.at(runInletWarm)
	next.draft.dialled.CableTemperature = profiles.Quantity[q.Temperature]{}
	question := p.pad("run-cable-warm", "How warm is the cable, at the drive, now?", Entering{Label: "Cable temperature", Example: words.YesNo(p.customary(), "48 °F", "9 °C"), Now: p.temperature(p.view.Now.Cable)},
		p.to("Cannot be read", next, Minor), func(text string) (RunFlow, error) {
			next, err := taken(p.RunFlow, text, runInletWarm, func(d *runDraft, v profiles.Quantity[q.Temperature]) { d.dialled.CableTemperature = v })
			return p.unlessOdd(text, p.engine.Plan.OddTemperature(text, p.view.Now.Cable), next), err
		})
	if was := p.temperature(p.view.Now.Cable); was != "" {
		still, _ := taken(p.RunFlow, was, runInletWarm, func(d *runDraft, v profiles.Quantity[q.Temperature]) { d.dialled.CableTemperature = v })
		question.Choices = append([]Choice{p.to("Still so: "+was, still, Major)}, question.Choices...)
	}
	if made := p.temperature(p.engine.Plan.MadeAt); made != "" {
		question.Body = []string{"In the trial: " + made + "."}
	}
	return question
}

func (p runPage) inletWarm() Question {
	next := p.at(runDial)
	next.draft.dialled.InletAirTemperature = profiles.Quantity[q.Temperature]{}
	question := p.pad("run-inlet-warm", "How warm is the air at the duct's mouth?", Entering{Label: "Air temperature", Example: words.YesNo(p.customary(), "54 °F", "12 °C"), Now: p.temperature(p.view.Now.Inlet)},
		p.to("Not read: no air yet", next, Minor), func(text string) (RunFlow, error) {
			next, err := taken(p.RunFlow, text, runDial, func(d *runDraft, v profiles.Quantity[q.Temperature]) { d.dialled.InletAirTemperature = v })
			return p.unlessOdd(text, p.engine.Plan.OddAirTemperature(text), next), err
		})
	if was := p.temperature(p.view.Now.Inlet); was != "" {
		still, _ := taken(p.RunFlow, was, runDial, func(d *runDraft, v profiles.Quantity[q.Temperature]) { d.dialled.InletAirTemperature = v })
		question.Choices = append([]Choice{p.to("Still so: "+was, still, Major)}, question.Choices...)
	}
	return question
}

// readBack judges a setting at the temperatures read for it.
func (r RunFlow) readBack(s session.Setting) run.ReadBack {
	d := run.Dialled{Setting: s}
	if v, err := q.Parse[q.Temperature](r.draft.dialled.CableTemperature.String()); err == nil {
		d.CableTemperature = q.Known(v)
	}
	if v, err := q.Parse[q.Temperature](r.draft.dialled.InletAirTemperature.String()); err == nil {
		d.InletAirTemperature = q.Known(v)
	}
	return r.engine.ReadBack(d)
}

// dial says what may be used at this temperature.
func (p runPage) dial() Question {
	plan := p.engine.Plan
	judged := p.readBack(plan.Setting)
	enter := p.to("Enter the readings", p.at(runGrip), Minor)
	stop := p.to("No run today", p.at(runGaveUp), Minor)
	most, some := judged.Allowed.Get()
	if !some {
		return Question{ID: "run-dial", Title: words.YesNo(judged.Warmth == run.TooWarm, "!! Too warm: no setting of this profile holds", "!! No setting of this profile holds"), Body: judged.Lines, Choices: []Choice{
			p.to("Read the temperatures again", p.at(runCableWarm), Major), stop}}
	}
	question := Question{ID: "run-dial", Title: "Dial this, the " + plan.Rig.Control() + " with the belts open", Big: []draw.BigFigure{{Caption: "grip pressure", Text: plan.Rig.ShowGrip(most.Grip)}, {Caption: plan.Rig.Control(), Text: plan.Rig.ShowSpeed(most.Speed.Value)}}}
	question.Body = p.warmthLines(judged)
	if plan.ByHand {
		question.Body = append(question.Body, "! Written by hand: nobody can tell if it was changed.") // one line at every size: the figures stay large
	}
	enter.Rank = Major
	question.Choices = []Choice{enter, stop}
	return question
}

// warmthLines say what the temperature of now means for the setting.
func (p runPage) warmthLines(b run.ReadBack) []string {
	switch b.Warmth {
	case run.Warmer:
		return []string{fmt.Sprintf("! Warmer than the profile's setting covers: this is lower than its %s, %s.", p.engine.Plan.Rig.Named(p.engine.Plan.Setting), b.Until)}
	case run.Held:
		return []string{fmt.Sprintf("! It was warmer in this run: this is lower than the profile's %s, %s.", p.engine.Plan.Rig.Named(p.engine.Plan.Setting), b.Until)}
	case run.Colder:
		return []string{"! Colder than the profile covers: the belts may slip. It is no reason for a higher setting."}
	case run.Unread:
		return []string{"! No temperature was read, or the profile has no band: whether it is too warm cannot be said."}
	}
	return []string{"The profile's setting. Lower may be used, higher may not."}
}

// The gauges are read at the drive, and compared after.
func (p runPage) gripReads() Question {
	rig := p.engine.Plan.Rig
	return p.pad("run-grip", "What does the grip pressure gauge read?", Entering{Label: "Grip pressure", Example: rig.ShowGrip(rig.GripStep()), Known: p.allowed(func(s session.Setting) string { return rig.ShowGrip(s.Grip) }), Step: rig.ShowGrip(rig.GripStep())}, Choice{}, func(text string) (RunFlow, error) {
		next, err := taken(p.RunFlow, text, runSpeed, func(d *runDraft, v profiles.Quantity[q.Pressure]) { d.dialled.Grip = v })
		if v, bad := q.Parse[q.Pressure](text); bad == nil && v <= 0 {
			err = fmt.Errorf("%s grips nothing: read the gauge with the belts closed", text)
		}
		return p.unlessOdd(text, p.engine.Plan.OddGrip(text), next), err
	})
}

func (p runPage) speedReads() Question {
	rig := p.engine.Plan.Rig
	return p.pad("run-speed", fmt.Sprintf("What does the %s gauge read?", rig.Control()), Entering{Label: words.Capital(rig.Control()), Example: rig.ShowSpeed(rig.SpeedStep()),
		Known: p.allowed(func(s session.Setting) string { return rig.ShowSpeed(s.Speed.Value) }), Step: rig.ShowSpeed(rig.SpeedStep())}, Choice{}, func(text string) (RunFlow, error) {
		next := p.at(runCompared)
		v, err := profiles.NewReading(text)
		reads, _ := q.ParseReading(text)
		switch {
		case err != nil:
			return next, err
		case reads.Unit != p.engine.Plan.Setting.Speed.Unit:
			return next, fmt.Errorf("%q is not in the push control's unit, %s", text, rig.PushUnit)
		case reads.Value <= 0:
			return next, fmt.Errorf("%s pushes nothing: read the gauge with the drive running free", text)
		}
		next.draft.dialled.Speed = v
		if back := next.judged(); !back.Above && exact(back) { // nothing to decide
			return p.writing(next.dialledEntry()), nil
		}
		return p.unlessOdd(text, p.engine.Plan.OddControl(text), next), nil
	})
}

// allowed is what may be dialled at the temperatures read for it.
func (p runPage) allowed(show func(session.Setting) string) string {
	most, some := p.readBack(p.engine.Plan.Setting).Allowed.Get()
	if !some {
		return ""
	}
	return "allowed: " + show(most)
}

// judged is the read-back under way.
func (r RunFlow) judged() run.ReadBack {
	var s session.Setting
	s.Grip, _ = q.Parse[q.Pressure](r.draft.dialled.Grip.String())
	s.Speed, _ = q.ParseReading(r.draft.dialled.Speed.String())
	return r.readBack(s)
}

// exact reports whether a read-back is what may be used, so that nothing is to be decided.
func exact(b run.ReadBack) bool {
	most, some := b.Allowed.Get()
	const printed = 1e-3 // what differs by less may have been written in another unit
	near := func(is, allowed float64) bool { return math.Abs(is-allowed) <= printed*allowed }
	return some && !b.Above && near(float64(b.Dialled.Grip), float64(most.Grip)) && near(b.Dialled.Speed.Value, most.Speed.Value)
}

func (r RunFlow) dialledEntry() profiles.Dialled {
	d := r.draft.dialled
	d.By = r.record.People.Operator
	return d
}

// compared says in numbers how the dialled setting differs.
func (p runPage) compared() Question {
	b := p.judged()
	question := Question{ID: "run-compared", Title: "Lower than it may be: use it?", Body: b.Lines, Choices: []Choice{
		p.to("Use it as dialled", p.writing(p.dialledEntry()), Major), p.to("Dial and read again", p.again(), Minor)}}
	if b.Above {
		decide := p.at(runWho)
		dialled := p.draft.dialled
		decide.draft.decided = func(by, reason string) profiles.RunEntry {
			d := dialled
			d.By, d.Reason = by, reason
			return d
		}
		question.Title = "!! Too high: turn it back"
		question.Choices = []Choice{p.to("Turned back: read again", p.again(), Major), p.to("Keep it: who and why", decide, Minor)}
	}
	return question
}

// again goes back to the dial, with the temperatures as they are.
func (p runPage) again() RunFlow {
	next := p.at(runDial)
	next.draft.dialled.Grip, next.draft.dialled.Speed = profiles.Quantity[q.Pressure]{}, profiles.Reading{}
	return next
}

// who asks who decides on a setting above what is allowed; the first way is not to.
func (p runPage) who() Question {
	decided := func(by string) RunFlow {
		next := p.at(runWhy)
		next.draft.by = by
		return next
	}
	question := p.pad("run-who", "Above what is allowed. Who decides this?", Entering{Label: "Name", Example: "who is on the radio"}, Choice{}, func(text string) (RunFlow, error) { return decided(text), nil })
	question.Body = []string{"Nobody has tried this setting: the cable may fold. It stays on record, with name and reason, as an override."}
	question.Choices = []Choice{p.to("Nobody: turn it back", p.first(), Major)}
	for _, name := range words.NotEmpty(p.record.People.Operator, p.record.People.Watcher) {
		question.Choices = append(question.Choices, p.to(name, decided(name), Minor))
	}
	return question
}

// why takes the reason. None is offered that nobody would sign: what the run would gain by it is
// for who decides to say, and to stand for.
func (p runPage) why() Question {
	written := func(reason string) RunFlow { return p.writing(p.draft.decided(p.draft.by, reason)) }
	question := p.pad("run-why", "Why, "+p.draft.by+"?", Entering{Label: "Reason in your words", Example: "as the supervisor says it"}, Choice{}, func(text string) (RunFlow, error) { return written(text), nil })
	const ordered = "ordered by the supervisor"
	question.Choices = []Choice{p.to("No: turn it back", p.first(), Major), p.to(ordered, written(ordered), Minor)}
	return question
}

// firstMark takes the print mark at the pointer with the head at the duct's mouth.
func (p runPage) firstMark() Question {
	question := p.pad("run-mark", "Head at the duct's mouth: the cable's print mark at the pointer?", Entering{Label: "Print mark", Example: words.YesNo(p.markUnit() == "ft", "4650 ft", "1417 m"), Now: p.draft.start.Mark.String()}, Choice{}, func(text string) (RunFlow, error) {
		next, err := taken(p.RunFlow, text, runCounts, func(d *runDraft, v profiles.Quantity[q.Length]) { d.start.Mark = v })
		return p.unlessOdd(text, run.OddReel(text), next), err
	})
	question.Body = []string{"Any fixed pointer will do. Distance in is reckoned from it."}
	return question
}

func (p runPage) counts() Question {
	question := Question{ID: "run-counts", Title: "As the cable goes in, the marks that pass the pointer get"}
	for _, way := range []struct {
		label string
		run.Counts
	}{{"larger", run.CountsUp}, {"smaller", run.CountsDown}, {"not known yet", 0}} {
		next := p.at(runMoves)
		next.draft.start.Counts = way.Counts
		question.Choices = append(question.Choices, p.to(way.label, next, majorIf(way.Counts != 0)))
	}
	return question
}

func (p runPage) headIn() Question {
	return p.pad("run-head-in", "How far in is the head already?", Entering{Label: "Length", Example: words.YesNo(p.markUnit() == "ft", "6 ft", "2 m")}, Choice{}, func(text string) (RunFlow, error) {
		next, err := taken(p.RunFlow, text, runMoves, func(d *runDraft, v profiles.Quantity[q.Length]) { d.start.HeadIn = v })
		return p.unlessOdd(text, p.engine.Plan.OddInside(text), next), err
	})
}

// moves is the last word before the cable moves: the far end's, then the press.
func (p runPage) moves() Question {
	if len(p.view.Due) > 0 {
		return p.checks(p.view.Due)
	}
	start := p.draft.start
	start.By = p.record.People.Operator
	question := Question{ID: "run-moves", Title: "Push, air slowly after; press as the cable moves", Body: []string{"Mark " + start.Mark.String() + " at the mouth" + inWords(start.HeadIn.String()) + "."}}
	question.Choices = []Choice{p.to("The cable moves", p.writing(start), Major), p.to("The head is in already", p.at(runHeadIn), Minor), p.to("No run today", p.at(runGaveUp), Minor)}
	return question
}

func inWords(length string) string {
	if length == "" {
		return ""
	}
	return ", head " + length + " in"
}
