package ask

import (
	"cmp"
	"fmt"
	"slices"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/session/push"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// PullTestFlow leads through a pull test, in which a scale tells how hard the drive
// pushes: pairs of a dial and a pull, and the straight line through them for the rig
// card. It is a value: an answer makes the next one.
type PullTestFlow struct {
	step   pullStep
	of     Pulled
	rig    session.Rig
	metric bool
	most   string // the pull never to be passed
	dial   string // of the pair under way
	pairs  []pullPair

	problem string // why the line could not be kept
}

// Pulled is which line a pull test finds.
type Pulled int

// The lines of a rig card.
const (
	PulledThrust   Pulled = iota + 1 // pull at a push control reading, when the drive gives up
	PulledTraction                   // pull at a grip pressure, when the belts slip
)

// pullPair is one reading as it was written down.
type pullPair struct{ dial, pull string }

type pullStep int

const (
	pullSafe pullStep = iota + 1
	pullWhich
	pullMost
	pullDial
	pullForce
	pullResult
)

// NewPullTestFlow starts a pull test of a job's rig.
func NewPullTestFlow(rig session.Rig, metric bool) PullTestFlow {
	return PullTestFlow{step: pullSafe, rig: rig, metric: metric}
}

// leastPairs make a line whose fit can be judged.
const leastPairs = 3

// PullLine is the line through the pairs, and the rig card's values by their keys.
type PullLine struct {
	push.Line
	Changes [2][2]string
}

// Fit finds the line through the pairs.
func (p PullTestFlow) Fit() (PullLine, error) {
	force := "N"
	if len(p.pairs) > 0 {
		force, _ = q.Unit[q.Force](p.pairs[0].pull)
	}
	if p.of == PulledTraction {
		return p.fitTraction(force)
	}
	return p.fitThrust(force)
}

func (p PullTestFlow) fitThrust(force string) (PullLine, error) {
	var pairs []push.ThrustPair
	for _, pair := range p.pairs {
		reading, err1 := q.ParseReading(pair.dial)
		pull, err2 := q.Parse[q.Force](pair.pull)
		if err1 != nil || err2 != nil {
			panic("ui: a pair was taken that cannot be read")
		}
		pairs = append(pairs, push.ThrustPair{Reading: reading, Pull: pull})
	}
	fit, err := push.FitThrust(pairs)
	if err != nil {
		return PullLine{}, err
	}
	per, _ := q.ReadingUnit(p.pairs[0].dial)
	return PullLine{fit.Line, [2][2]string{
		{"rig.thrust_per_speed", fit.PerReading.Text(force, per)}, {"rig.thrust_offset", q.Text(fit.Offset, force)},
	}}, nil
}

func (p PullTestFlow) fitTraction(force string) (PullLine, error) {
	var pairs []push.TractionPair
	for _, pair := range p.pairs {
		grip, err1 := q.Parse[q.Pressure](pair.dial)
		pull, err2 := q.Parse[q.Force](pair.pull)
		if err1 != nil || err2 != nil {
			panic("ui: a pair was taken that cannot be read")
		}
		pairs = append(pairs, push.TractionPair{Grip: grip, Pull: pull})
	}
	fit, err := push.FitTraction(pairs)
	if err != nil {
		return PullLine{}, err
	}
	grip, _ := q.Unit[q.Pressure](p.pairs[0].dial)
	per := force + "/" + grip
	if !slices.Contains(q.Units[q.ForcePerPressure](), per) {
		per = q.Standard[q.ForcePerPressure]()
	}
	return PullLine{fit.Line, [2][2]string{
		{"rig.traction_per_grip", q.Text(fit.PerGrip, per)}, {"rig.traction_offset", q.Text(fit.Offset, force)},
	}}, nil
}

// Question asks the present step. put keeps the test in the flow for the next one.
func (p PullTestFlow) Question(put func(Flow, PullTestFlow) Flow) Question {
	to := func(label string, next PullTestFlow, r Rank) Choice {
		next.problem = ""
		return Choice{Label: label, Rank: r, Do: func(f Flow) (Flow, Effect) { return put(f, next), None{} }}
	}
	question := Question{Help: pullHelp}
	switch p.step {
	case pullSafe:
		question.ID, question.Title, question.Body = "pull-safe", "Is all of this so?", pullSafety
		question.Choices = []Choice{to("All of this is so", p.at(pullWhich), Major)}
	case pullWhich:
		question.ID, question.Title = "pull-which", "What is to be found?"
		question.Choices = []Choice{to("How hard it pushes, by the push control", p.finding(PulledThrust), Major),
			to("When the belts slip, by the grip pressure", p.finding(PulledTraction), Major)}
	case pullResult:
		question = p.resultQuestion(to, p.keep(put))
	default:
		question = p.entryQuestion(put)
		if len(p.pairs) > 0 {
			last := p
			last.pairs = p.pairs[:len(p.pairs)-1]
			question.Choices = append(question.Choices, to("Take the last pair back", last.at(pullDial), Minor))
		}
		if p.step == pullDial && len(p.pairs) >= leastPairs {
			question.Choices = append(question.Choices, to("That is all: find the line", p.at(pullResult), Minor))
		}
	}
	question.Choices = append(question.Choices, Choice{Label: "Stop the pull test; nothing is kept", Do: GoTo(stepFirst), Rank: Minor})
	return question
}

func (p PullTestFlow) at(s pullStep) PullTestFlow {
	p.step = s
	return p
}

func (p PullTestFlow) finding(of Pulled) PullTestFlow {
	p.of = of
	return p.at(pullMost)
}

func (p PullTestFlow) entryQuestion(put func(Flow, PullTestFlow) Flow) Question {
	e := &Entering{}
	question := Question{Help: pullHelp, Enter: e}
	take := p.takeMost
	switch p.step {
	case pullMost:
		question.ID, question.Title = "pull-most", "Which pull must never be passed?"
		question.Body = []string{"The least of three: the cable's tension limit, the scale's rated load, the anchor's rated load."}
		e.Label, e.Example = "Least of the three", p.example("600 N", "135 lbf")
	case pullDial:
		question.ID, question.Title, question.Body = "pull-dial", p.dialTitle(), p.pairLines(nil)
		e.Label, e.Example, take = "Reading", p.dialExample(), p.takeDial
	case pullForce:
		question.ID, question.Title = "pull-force", "What does the scale read at "+p.dial+"?"
		question.Body = []string{p.pullWhen(), "Everyone clear, the scale read from the side. Never above " + p.most + "."}
		e.Label, e.Example, take = "Pull", p.example("90 N", "20 lbf"), p.takePull
	}
	e.Take = func(f Flow, text string) (Flow, Effect, error) {
		next, err := take(text)
		if err != nil {
			return f, None{}, err
		}
		return put(f, next), None{}, nil
	}
	return question
}

func (p PullTestFlow) dialTitle() string {
	if p.of == PulledTraction {
		return fmt.Sprintf("Pair %d: at which grip pressure?", len(p.pairs)+1)
	}
	return fmt.Sprintf("Pair %d: at which reading of the %s?", len(p.pairs)+1, cmp.Or(p.rig.PushControl, "push control"))
}

func (p PullTestFlow) pullWhen() string {
	if p.of == PulledTraction {
		return "Raise the push slowly; the highest pull before the belts slip counts."
	}
	return "Grip pressure high enough that the belts hold; the pull when the drive gives up counts."
}

func (p PullTestFlow) example(metric, customary string) string {
	if p.metric {
		return metric
	}
	return customary
}

func (p PullTestFlow) dialExample() string {
	switch {
	case p.of == PulledTraction && p.rig.GripUnit != "":
		return "6 " + p.rig.GripUnit
	case p.of == PulledTraction:
		return p.example("0.4 bar", "6 psi")
	case p.rig.PushUnit != "":
		return "3 " + p.rig.PushUnit
	}
	return p.example("12 m/min", "40 ft/min")
}

func (p PullTestFlow) takeMost(text string) (PullTestFlow, error) {
	v, err := named[q.Force]("the pull never to be passed", text)
	if err == nil && !(v > 0) {
		err = fmt.Errorf("the pull never to be passed: %s: must be above zero", text)
	}
	p.most = text
	return p.at(pullDial), err
}

func (p PullTestFlow) takeDial(text string) (PullTestFlow, error) {
	p.dial = text
	next := p.at(pullForce)
	if p.of == PulledTraction {
		v, err := named[q.Pressure]("grip pressure", text)
		if most, known := p.rig.GripLimit.Get(); err == nil && known && v > most {
			err = fmt.Errorf("grip pressure: %s: must be from zero to the drive's limit of %s", text, p.rig.ShowGrip(most))
		}
		return next, err
	}
	v, err := q.ParseReading(text)
	if err != nil {
		return next, err
	}
	most, known := p.rig.SpeedLimit.Get()
	switch {
	case known && v.Unit != most.Unit:
		err = fmt.Errorf("reading: %q is not in the push control's unit, %s", text, p.rig.PushUnit)
	case known && v.Value > most.Value:
		err = fmt.Errorf("reading: %s: must be from zero to the drive's limit of %s", text, p.rig.ShowSpeed(most.Value))
	case len(p.pairs) > 0:
		if first, _ := q.ParseReading(p.pairs[0].dial); first.Unit != v.Unit {
			err = fmt.Errorf("reading: %q is not in the unit of the first pair, %s", text, p.pairs[0].dial)
		}
	}
	return next, err
}

func (p PullTestFlow) takePull(text string) (PullTestFlow, error) {
	v, err := named[q.Force]("pull", text)
	if most, _ := q.Parse[q.Force](p.most); err == nil && v > most {
		err = fmt.Errorf("pull: %s: is above the %s never to be passed: ease off, look at cable, scale and anchor before going on", text, p.most)
	}
	p.pairs = append(slices.Clone(p.pairs), pullPair{p.dial, text})
	return p.at(pullDial), err
}

// pairLines are the pairs so far, with how far each lies off the line if there is one.
func (p PullTestFlow) pairLines(line *PullLine) []string {
	var lines []string
	for i, pair := range p.pairs {
		text := fmt.Sprintf("Pair %d: %s, %s", i+1, pair.dial, pair.pull)
		if line != nil {
			unit, _ := q.Unit[q.Force](p.pairs[0].pull)
			text += "; off the line by " + q.Text(line.Residuals[i], unit)
			if i == line.OutOfLine {
				text += ", out of line"
			}
		}
		lines = append(lines, text)
	}
	return lines
}

func (p PullTestFlow) resultQuestion(to func(string, PullTestFlow, Rank) Choice, keep Choice) Question {
	more := to("Measure another pair", p.at(pullDial), Minor)
	line, err := p.Fit()
	if err != nil {
		return Question{ID: "pull-result", Title: "These pairs give no line", Body: append([]string{words.Capital(err.Error()) + "."}, p.pairLines(nil)...), Choices: []Choice{more, to("Begin again", p.emptied(), Minor)}}
	}
	question := Question{ID: "pull-result", Title: line.Changes[0][1] + ", from " + line.Changes[1][1] + " at zero", Help: pullHelp, Body: p.pairLines(&line)}
	if p.problem != "" {
		question.Body = append(question.Body, "! Not kept: "+p.problem+".")
	}
	for _, w := range line.Warnings {
		question.Body = append(question.Body, "! "+words.Capital(w)+".")
	}
	if _, err := q.Parse[q.Force](line.Changes[1][1]); err != nil {
		question.Body = append(question.Body, "! The line begins below zero, which the rig card cannot keep: "+err.Error()+".")
	} else {
		question.Choices = append(question.Choices, keep)
	}
	if i := line.OutOfLine; i >= 0 {
		without := p
		without.pairs = slices.Delete(slices.Clone(p.pairs), i, i+1)
		question.Choices = append(question.Choices, to(fmt.Sprintf("Measure pair %d again", i+1), without.at(pullDial), Minor))
	}
	question.Choices = append(question.Choices, more)
	return question
}

func (p PullTestFlow) emptied() PullTestFlow {
	p.pairs = nil
	return p.at(pullDial)
}

// keep is the choice that puts the line into the job's rig.
func (p PullTestFlow) keep(put func(Flow, PullTestFlow) Flow) Choice {
	return Choice{Label: "Keep it for this rig", Do: func(f Flow) (Flow, Effect) {
		line, err := p.Fit()
		if err == nil {
			f.Record, err = line.Apply(f.Record)
		}
		if err != nil {
			p.problem = err.Error()
			return put(f, p), None{}
		}
		return f.at(stepFirst), ReplaceJob{f.Record}
	}}
}

// Apply returns the record with the line's values, or the record as it was and why not.
func (l PullLine) Apply(r profiles.Record) (profiles.Record, error) {
	next := r
	for _, c := range l.Changes {
		var err error
		if next, err = next.With(c[0], c[1]); err != nil {
			return r, err
		}
	}
	return next, nil
}

var pullSafety = []string{
	"The drive maker's instructions and local rules go first, and a person licensed for it where they ask for one.",
	"Scale and anchor are rated for more than this drive can pull, and fit to be used.",
	"A second line, slack, holds cable and scale should the first let go.",
	"Nobody stands in line with the cable, or over it, while it is loaded.",
	"The pull stays below the cable's tension limit.",
	"Stop pressed and supply isolated before any hand goes near belts, cable or scale.",
}

var pullHelp = []string{
	"The cable is held by a scale behind the drive's outlet; the drive pulls on it until it gives up or the belts slip.",
	"Three pairs make a line, five over the whole range make a good one. Take each pair from rest.",
	"With the line a reading can be told as a force; without it every force stays unknown.",
}
