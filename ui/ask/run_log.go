package ask

import (
	"cmp"
	"math"
	"slices"
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// running is the page of a run under way: where the head is, what is to be minded, and the
// press that logs a point.
func (p runPage) running() Question {
	v := p.view
	question := Question{ID: "run-running", Title: p.runningTitle(), Big: p.progressFigures(), Body: p.runningLines(), Again: func() Turn { return p.turn(p.first()) }, Help: append(p.runningHelp(), runHelp...)}
	question.Choices = []Choice{
		p.to("Log a point", p.at(runPoint), Major),
		p.to("It stands: stop", p.at(runReason), Major),
		p.to("Belts slip", p.writing(profiles.RunPoint{Slip: true, By: p.record.People.Operator}), Minor),
		p.to("Another reading", p.at(runValues), Minor),
		p.to("Arrived, or the end", p.at(runEnd), Minor),
	}
	question.Choices = append(question.Choices, p.corrections()...)
	if v.Now.Printed.Known() {
		question.Enter = p.pad("", "", Entering{Label: "Or the mark at the pointer", Example: p.markText(v.Now.Printed.Or(0))}, Choice{}, p.markLogged).Enter
	}
	return question
}

// runningTitle is what to do now.
func (p runPage) runningTitle() string {
	if worst, is := p.urgent(); is {
		return p.alarm(worst)
	}
	last := p.view.Now.At
	if n := len(p.view.Log); n > 0 {
		last = p.view.Log[n-1].At
	}
	if idle := p.now.Sub(last); idle >= pointDue {
		return "Log a point: the last one is " + spanWords(idle) + " old"
	}
	return "Running. Eyes on reel, belts and cable"
}

// pointDue is after how long a point of the log is asked for. Source: common practice, no
// source.
const pointDue = 3 * time.Minute

// urgent is the gravest of what is to be minded now.
func (r RunFlow) urgent() (run.Alert, bool) {
	if len(r.view.Alerts) > 0 && r.view.Alerts[0].When == run.Now {
		return r.view.Alerts[0], true
	}
	return run.Alert{}, false
}

// alarm is what to do about the gravest alert.
func (p runPage) alarm(a run.Alert) string {
	do := words.FirstSentence(a.Do)
	most, some := p.view.Allowed.Get()
	if is, whole := p.view.Now.Setting(); some && whole && a.Kind == run.AboveSetting {
		do = "Turn it down to " + p.engine.Plan.Rig.Named(run.Lower(is, most))
	}
	return "!! NOW: " + do
}

// runningLines are what must be known beside the figures, the soonest first.
func (p runPage) runningLines() []string {
	lines := p.alertLines()
	if p.told != "" {
		lines = append(lines, p.told)
	}
	return append(lines, p.stateLines()...)
}

// corrections are the settings the alerts ask for, by one press each.
func (p runPage) corrections() []Choice {
	is, whole := p.view.Now.Setting()
	most, some := p.view.Allowed.Get()
	if !whole || !some || p.view.Folded || p.view.Damaged { // after that nothing of it is asked for
		return nil
	}
	rig := p.engine.Plan.Rig
	switch {
	case slices.ContainsFunc(p.view.Alerts, func(a run.Alert) bool {
		return a.Kind == run.AboveSetting || a.Kind == run.SettingTooHigh && a.When == run.Now
	}):
		turned := run.Lower(is, most)
		point := profiles.RunPoint{Grip: asWritten[q.Pressure](rig.ShowGrip(turned.Grip)), By: p.record.People.Operator}
		point.Speed, _ = profiles.NewReading(rig.ShowSpeed(turned.Speed.Value))
		return []Choice{p.to("Turned down: "+rig.Named(turned), p.writing(point), Major)}
	case p.view.Now.Slipped && most.Grip > is.Grip*(1+1e-3):
		point := profiles.RunPoint{Grip: asWritten[q.Pressure](rig.ShowGrip(most.Grip)), By: p.record.People.Operator}
		return []Choice{p.to("Grip pressure now "+rig.ShowGrip(most.Grip), p.writing(point), Major)}
	}
	return nil
}

// judgedAs reports whether the engine would take a setting as above what is allowed now.
func (r RunFlow) judgedAs(s session.Setting) bool {
	point := run.Point{Mark: session.Mark{Seq: r.engine.LastNumber() + 1, At: r.now}, Grip: q.Known(s.Grip), Control: q.Known(s.Speed)}
	decided := point
	decided.By, decided.Reason = "x", "x"
	return r.engine.Refuses(point) != nil && r.engine.Refuses(decided) == nil
}

// point offers the round marks that pass the pointer next: the press is the time.
func (p runPage) point() Question {
	question := Question{ID: "run-point", Title: "Press as the mark passes the pointer"}
	next, gone := p.marksToCome()
	for _, mark := range next {
		question.Choices = append(question.Choices, p.to(mark, p.atMark(mark), Major))
	}
	if gone != "" {
		question.Choices = append(question.Choices, p.to(gone+", just now", p.atMark(gone), Minor))
	}
	question.Choices = append(question.Choices, p.to("Type the mark", p.at(runMarkTyped), Minor), p.to("Another reading", p.at(runValues), Minor), p.back("Back: log nothing", p.first()))
	question.Enter = p.pad("", "", Entering{Label: "Or any mark", Example: p.markText(p.view.Now.Printed.Or(0)), Known: p.lastMark()}, Choice{}, p.markLogged).Enter
	question.Body = p.stateLines()
	return question
}

func (p runPage) markTyped() Question {
	return p.pad("run-mark-typed", "Print mark at the pointer?", Entering{Label: "Print mark", Example: p.markText(p.view.Now.Printed.Or(0)), Known: p.lastMark(), Now: p.markText(p.reckoned())}, p.to("Log nothing", p.first(), Minor), p.markLogged)
}

func (p runPage) atMark(mark string) RunFlow {
	return p.writing(profiles.RunPoint{Mark: asWritten[q.Length](mark), By: p.record.People.Operator})
}

func (p runPage) markLogged(text string) (RunFlow, error) {
	mark, err := profiles.NewQuantity[q.Length](text)
	return p.unlessOdd(text, p.engine.Plan.OddMark(text, p.view.Now.Printed), p.writing(profiles.RunPoint{Mark: mark, By: p.record.People.Operator})), err
}

// markUnit is the unit the cable is printed in, as far as it is known.
func (r RunFlow) markUnit() string {
	return cmp.Or(r.engine.Plan.Units.Length, words.YesNo(r.metric, "m", "ft"))
}

func (r RunFlow) markText(l q.Length) string {
	return q.Text(q.From[q.Length](math.Round(q.In(l, r.markUnit())), r.markUnit()), r.markUnit())
}

// lastMark offers the mark read last in place of an example.
func (r RunFlow) lastMark() string {
	mark, known := r.view.Now.Printed.Get()
	return knownText(known, func() string { return "last: " + r.markText(mark) })
}

// direction is +1 where the marks count up, −1 where down, and 0 while nobody knows.
func (r RunFlow) direction() float64 {
	start := r.begunWith()
	switch start.Counts {
	case run.CountsUp:
		return 1
	case run.CountsDown:
		return -1
	}
	for _, s := range r.view.Log {
		if mark, known := s.Printed.Get(); known && mark != start.Printed {
			return math.Copysign(1, float64(mark-start.Printed))
		}
	}
	return 0
}

// lastSpeed is the speed of the cable as it was last known.
func (r RunFlow) lastSpeed() q.Maybe[q.Speed] {
	for _, s := range slices.Backward(r.view.Log) {
		if s.Speed.Known() {
			return s.Speed
		}
	}
	return q.Maybe[q.Speed]{}
}

// pace is about how fast the cable goes: as it was last known, and before that as the belts
// or the reach have it, the slower of both.
func (r RunFlow) pace() q.Maybe[q.Speed] {
	if last := r.lastSpeed(); last.Known() {
		return last
	}
	belts, known := r.view.Now.Control.Get()
	if !known || belts.Unit != r.engine.Plan.Setting.Speed.Unit || belts.Unit != "m/s" {
		return r.view.Predicted
	}
	return q.Known(min(q.Speed(belts.Value), r.view.Predicted.Or(q.Speed(belts.Value))))
}

// reckoned is where the mark should be by now.
func (r RunFlow) reckoned() q.Length {
	mark := float64(r.view.Now.Printed.Or(0))
	speed, known := r.pace().Get()
	if !known || !r.view.Now.Moving {
		return q.Length(mark)
	}
	since := r.now.Sub(r.markedAt())
	if since > session.StaleAfter { // nobody can tell: the cable may have stood, or the clock been put right
		return q.Length(mark)
	}
	gone := float64(speed) * max(0, since.Seconds())
	return q.Length(max(0, mark+r.direction()*gone))
}

// markedAt is when a mark was last read.
func (r RunFlow) markedAt() time.Time {
	for _, e := range slices.Backward(r.standing()) {
		switch e := e.(type) {
		case run.Start:
			return e.At
		case run.Restart:
			return e.At
		case run.Point:
			if e.Printed.Known() {
				return e.At
			}
		}
	}
	return r.view.Now.At
}

// pressTime is about how long it takes to press when a mark comes by, with gloves.
const pressTime = 10 * time.Second

// marksToCome are the next round marks, so far apart that each can be pressed in time, and
// the one that has just gone by.
func (r RunFlow) marksToCome() (next []string, gone string) {
	unit, way := r.markUnit(), r.direction()
	speed := q.In(q.Length(float64(r.pace().Or(0))*pressTime.Seconds()), unit)
	step := 10.0
	if speed > 0 {
		step = 100
	}
	for _, s := range []float64{100, 50, 20, 10, 5, 2, 1} {
		if speed > 0 && s >= speed {
			step = s
		}
	}
	last, now := q.In(r.view.Now.Printed.Or(0), unit), q.In(r.reckoned(), unit)
	mark := func(v float64) string {
		text := r.markText(q.From[q.Length](v, unit))
		if _, err := q.Parse[q.Length](text); err != nil { // no cable is printed with less than 0, nor with so much
			return ""
		}
		return text
	}
	offer := func(v float64) {
		if text := mark(v); text != "" {
			next = append(next, text)
		}
	}
	if way == 0 { // the first mark that differs tells
		offer(math.Floor(last/step)*step + step)
		offer(math.Ceil(last/step)*step - step)
		return next, ""
	}
	first := (math.Floor(way*now/step) + 1) * step // along the way the marks go
	for i := range 3 {
		offer(way * (first + float64(i)*step))
	}
	if v := first - step; v > way*last*(1+1e-9) {
		gone = mark(way * v)
	}
	return next, gone
}
