package ask

import (
	"slices"
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/draw"

	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// RunFlow leads a crew through a run and its record: the duct proved, the setting read
// back, the log while the cable moves, its stops, and what is found at the end. It is a
// value: an answer makes the next one. What must be read or written is done by a [runDesk]
// between two questions, so that nothing is shown as done before it is on disk.
type RunFlow struct {
	step   runStep
	before *RunFlow // to go back to, within what is not written yet
	metric bool
	now    time.Time

	plan    profiles.RunPlan // of a run that is not begun
	file    string           // of its reach, when it is in one
	offers  runOffers
	trainee bool // the tablet is set to a trainee

	record  profiles.RunRecord // of the run under way, as it was last read
	engine  run.Run
	said    []session.Happened // the site's cautions that this crew read today, elsewhere
	view    run.View
	course  []draw.Spot  // the reach's speed over the head's place, for the plot
	further run.Forecast // worked out when it is asked for

	draft   runDraft
	entries []profiles.RunEntry // to be written before the next question
	told    string              // what was written last
	problem string              // why it was not
}

// runDraft is what is answered and not yet written. It is lost on a restart, and asked again.
type runDraft struct {
	key     string // of the check or the person asked for
	reading int    // which of [runReadings] is read
	by      string // who decided
	dialled profiles.Dialled
	proving profiles.Proving
	start   profiles.RunStart
	stop    profiles.RunStop
	end     profiles.RunEnd
	closing profiles.Closing
	decided func(by, reason string) profiles.RunEntry // a setting above what is allowed
	odd     *runOddValue
}

type runStep int

const (
	runFirst runStep = iota // the stage's own first question
	runLeave

	runWhich // before a run is begun
	runCrew
	runPerson
	runRoute
	runLength

	runOne // a check alone
	runSkip

	runMandrel
	runMandrelLength
	runPasses
	runHeldAt
	runHeldFor
	runLost
	runSaidClear
	runNoSheet

	runCableWarm
	runInletWarm
	runDial
	runGrip
	runSpeed
	runCompared
	runWho
	runWhy

	runMark
	runCounts
	runHeadIn
	runMoves

	runPoint
	runMarkTyped
	runValues
	runValue
	runReason
	runStopMark
	runReady
	runEnd
	runGaveUp
	runEndMark

	runStub
	runJacket
	runFolds
	runSlack
	runLoops
	runRemainder

	runPlotted
	runFriction
	runLogged
	runOdd // a value that is asked for once more
)

// at goes to a step, with the present one to go back to.
func (r RunFlow) at(s runStep) RunFlow {
	back := r
	back.problem, back.told = "", ""
	r.before, r.step, r.problem, r.told = &back, s, "", ""
	return r
}

// first goes to the first question of the stage; what is not written is forgotten.
func (r RunFlow) first() RunFlow {
	r.before, r.step, r.problem, r.told, r.draft = nil, runFirst, "", "", runDraft{}
	return r
}

// writing has entries written and goes to the first question of the stage they lead to.
func (r RunFlow) writing(entries ...profiles.RunEntry) RunFlow {
	back := r
	r = r.first()
	r.before, r.entries = &back, entries
	return r
}

// writingAt has entries written and goes on with what is not written yet.
func (r RunFlow) writingAt(s runStep, entries ...profiles.RunEntry) RunFlow {
	draft := r.draft
	r = r.writing(entries...)
	r.step, r.draft = s, draft
	return r
}

// runPage is a flow and the way to turn to another.
type runPage struct {
	RunFlow
	turn func(RunFlow) Turn
}

func (p runPage) to(label string, next RunFlow, r Rank) Choice {
	return Choice{Label: label, Rank: r, Do: going(p.turn(next))}
}

// back is the way to what was asked before, by the key for it too.
func (p runPage) back(label string, next RunFlow) Choice {
	c := p.to(label, next, Minor)
	c.Also = &Keys.Back
	return c
}

var runQuestions map[runStep]func(runPage) Question

// The table is filled here because a question's choices lead back to the flow.
func init() {
	runQuestions = map[runStep]func(runPage) Question{
		runFirst: runPage.ofStage, runLeave: runPage.leave, runWhich: runPage.which, runCrew: runPage.crew, runPerson: runPage.person, runRoute: runPage.route, runLength: runPage.routeLength,
		runOne: runPage.ofStage, runSkip: runPage.ofStage,
		runMandrel: runPage.mandrel, runMandrelLength: runPage.mandrelLength, runPasses: runPage.passes, runHeldAt: runPage.heldAt, runHeldFor: runPage.heldFor,
		runLost: runPage.lost, runSaidClear: runPage.saidClear, runNoSheet: runPage.noSheet,
		runCableWarm: runPage.cableWarm, runInletWarm: runPage.inletWarm, runDial: runPage.dial, runGrip: runPage.gripReads, runSpeed: runPage.speedReads,
		runCompared: runPage.compared, runWho: runPage.who, runWhy: runPage.why,
		runMark: runPage.firstMark, runCounts: runPage.counts, runHeadIn: runPage.headIn, runMoves: runPage.moves,
		runPoint: runPage.point, runMarkTyped: runPage.markTyped, runValues: runPage.values, runValue: runPage.value,
		runReason: runPage.reason, runStopMark: runPage.stopMark, runReady: runPage.ready, runEnd: runPage.end, runGaveUp: runPage.gaveUp, runEndMark: runPage.endMark,
		runStub: runPage.stub, runJacket: runPage.jacket, runFolds: runPage.folds, runSlack: runPage.slack, runLoops: runPage.loops, runRemainder: runPage.remainder,
		runPlotted: runPage.plotted, runFriction: runPage.friction, runLogged: runPage.logged, runOdd: runPage.oddValue,
	}
}

// Question asks the present step. turn makes the next flow's question the next page.
func (r RunFlow) Question(turn func(RunFlow) Turn) Question {
	p := runPage{r, turn}
	question := runQuestions[r.step](p)
	question.Place = "run"
	if r.begun() {
		question.Place, question.About = r.view.Stage.String(), r.engine.Plan.Name
	}
	if question.Help == nil {
		question.Help = runHelp
	}
	if r.problem != "" {
		question.Body = append([]string{"! " + r.problem}, question.Body...)
	}
	if question.ID != "closed" {
		question.Choices = append(question.Choices, p.always(question)...)
	}
	return question
}

// begun reports whether a run is open.
func (r RunFlow) begun() bool { return r.record.ID != "" }

// always are the ways on that every page has, by a key each, where it has none of its own.
func (p runPage) always(question Question) []Choice {
	var choices []Choice
	backs := slices.ContainsFunc(question.Choices, func(c Choice) bool { return c.Also == &Keys.Undo })
	if undo, possible := p.undo(); possible && !backs {
		undo.Rank, undo.Also = Global, &Keys.Undo
		choices = append(choices, undo)
	}
	if under := p.view.Stage; p.begun() && (under == run.RunStage || under == run.StopStage) && p.step == runFirst {
		plot := p.to("Plot, friction and log", p.at(runPlotted), Global)
		plot.Also = &Keys.Plot
		choices = append(choices, plot)
	}
	if p.step == runLeave {
		return choices
	}
	return append(choices, p.leaving())
}

// undo takes back what was answered last: what is not written yet, or else the last entry.
func (p runPage) undo() (Choice, bool) {
	if p.before != nil && p.step != runFirst {
		return p.to("Back one answer", *p.before, Global), true
	}
	last, standing := p.lastEntry()
	if !standing || p.engine.Refuses(session.Undo{Mark: session.Mark{Seq: p.engine.LastNumber() + 1, At: p.now}, Drops: last.Number()}) != nil {
		return Choice{}, false
	}
	return p.to("Take back: "+p.entryWords(last), p.writing(profiles.Undo{Drops: last.Number()}), Global), true
}

// standing are the entries that were not taken back, without the undos.
func (r RunFlow) standing() []session.Entry {
	dropped := map[int]bool{}
	for _, e := range r.engine.Entries {
		if u, undo := e.(session.Undo); undo {
			dropped[u.Drops], dropped[u.Seq] = true, true
		}
	}
	return slices.DeleteFunc(slices.Clone(r.engine.Entries), func(e session.Entry) bool { return dropped[e.Number()] })
}

// lastEntry is the last entry that stands.
func (r RunFlow) lastEntry() (session.Entry, bool) {
	all := r.standing()
	if len(all) == 0 {
		return nil, false
	}
	return all[len(all)-1], true
}

// ofStage asks what comes next by where the run stands.
func (p runPage) ofStage() Question {
	switch p.view.Stage {
	case run.ProveStage:
		return p.prove()
	case run.AirStage:
		return p.beforeAir()
	case run.RunStage:
		return p.running()
	case run.StopStage:
		return p.stopped()
	case run.ArriveStage:
		return p.arrived()
	}
	return p.closed()
}

func (p runPage) answer(item, state, value string) profiles.Answer {
	return profiles.Answer{Item: item, State: state, Value: value, By: p.record.People.Operator}
}

// pad asks for a figure. take gives the flow after it; without, if it has a label, is the
// way on for who cannot read it.
func (p runPage) pad(id, title string, e Entering, without Choice, take func(text string) (RunFlow, error)) Question {
	e.Take = func(f Flow, text string) (Flow, Effect, error) {
		next, err := take(text)
		if err != nil {
			return f, None{}, err
		}
		return f, p.turn(next), nil
	}
	question := Question{ID: id, Title: title, Enter: &e}
	if without.Label != "" {
		without.Rank = Minor
		question.Choices = append(question.Choices, without)
	} else if p.before != nil && p.step != runFirst {
		question.Choices = append(question.Choices, p.backOne())
	}
	return question
}

// backOne is the way to the answer before, which is not written yet, by the key for undo too.
func (p runPage) backOne() Choice {
	c := p.to("Back one answer", p.previous(), Minor)
	c.Also = &Keys.Undo
	return c
}

// taken reads a quantity as written into a draft and goes to a step.
func taken[T q.Scalar](r RunFlow, text string, s runStep, set func(*runDraft, profiles.Quantity[T])) (RunFlow, error) {
	v, err := profiles.NewQuantity[T](text)
	if err != nil {
		return r, err
	}
	r = r.at(s)
	set(&r.draft, v)
	return r, nil
}

var runHelp = []string{
	"This screen is connected to nothing: it asks, reckons and writes. What is read off gauges and cable is the crew's.",
	"Every answer is on disk before the next question shows. Leave, or lose power: \"brinkmark run\" goes on here.",
	session.Slowing,
	"Local codes, site rules, makers' instructions and licensed people come first.",
}
