package ask

import (
	"cmp"
	"fmt"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
	"brinkmark/session/run"
)

// runReading is something that is read now and then while the cable moves: what it was, and
// where it goes.
type runReading struct {
	name    func(RunFlow) string
	now     func(RunFlow) string // as read last, "" for not at all
	example func(RunFlow) string
	step    func(RunFlow) string
	take    func(*profiles.RunPoint, string) error
	has     func(RunFlow) bool // nil: always
	grip    bool               // the first of the two of a setting
	setting bool               // may be above what is allowed
	odd     func(RunFlow, string) string
	gauge   bool // has a unit of its own
}

// quantityIn reads a quantity into a point.
func quantityIn[T q.Scalar](to func(*profiles.RunPoint) *profiles.Quantity[T]) func(*profiles.RunPoint, string) error {
	return func(p *profiles.RunPoint, text string) (err error) {
		*to(p), err = profiles.NewQuantity[T](text)
		return err
	}
}

func fixed(name string) func(RunFlow) string { return func(RunFlow) string { return name } }

func noStep(RunFlow) string { return "" }

var runReadings = []runReading{
	{name: fixed("Air pressure"), step: noStep, odd: func(r RunFlow, text string) string { return r.engine.Plan.OddAir(text) },
		now:     func(r RunFlow) string { return pressureText(r.view.Now.Air, r) },
		example: func(r RunFlow) string { return words.YesNo(r.pressureUnit() == "psi", "120 psi", "8 bar") },
		take:    quantityIn(func(p *profiles.RunPoint) *profiles.Quantity[q.Pressure] { return &p.AirPressure })},
	{name: fixed("Cable temperature"), step: noStep, odd: func(r RunFlow, text string) string { return r.engine.Plan.OddTemperature(text, r.view.Now.Cable) },
		now:     func(r RunFlow) string { return r.temperature(r.view.Now.Cable) },
		example: func(r RunFlow) string { return words.YesNo(r.customary(), "48 °F", "9 °C") },
		take:    quantityIn(func(p *profiles.RunPoint) *profiles.Quantity[q.Temperature] { return &p.CableTemperature })},
	{name: fixed("Air at the mouth"), step: noStep, odd: func(r RunFlow, text string) string { return r.engine.Plan.OddAirTemperature(text) },
		now:     func(r RunFlow) string { return r.temperature(r.view.Now.Inlet) },
		example: func(r RunFlow) string { return words.YesNo(r.customary(), "54 °F", "12 °C") },
		take:    quantityIn(func(p *profiles.RunPoint) *profiles.Quantity[q.Temperature] { return &p.InletAirTemperature })},
	{name: fixed("Grip pressure"), setting: true, grip: true, odd: func(r RunFlow, text string) string { return r.engine.Plan.OddGrip(text) },
		now: func(r RunFlow) string {
			v, known := r.view.Now.Grip.Get()
			return knownText(known, func() string { return r.engine.Plan.Rig.ShowGrip(v) })
		},
		example: func(r RunFlow) string { return r.engine.Plan.Rig.ShowGrip(r.engine.Plan.Setting.Grip) },
		step:    func(r RunFlow) string { return r.engine.Plan.Rig.ShowGrip(r.engine.Plan.Rig.GripStep()) },
		take:    quantityIn(func(p *profiles.RunPoint) *profiles.Quantity[q.Pressure] { return &p.Grip })},
	{name: func(r RunFlow) string { return words.Capital(r.engine.Plan.Rig.Control()) }, setting: true, odd: func(r RunFlow, text string) string { return r.engine.Plan.OddControl(text) },
		now: func(r RunFlow) string {
			v, known := r.view.Now.Control.Get()
			return knownText(known, func() string { return r.engine.Plan.Rig.ShowSpeed(v.Value) })
		},
		example: func(r RunFlow) string { return r.engine.Plan.Rig.ShowSpeed(r.engine.Plan.Setting.Speed.Value) },
		step:    func(r RunFlow) string { return r.engine.Plan.Rig.ShowSpeed(r.engine.Plan.Rig.SpeedStep()) },
		take: func(p *profiles.RunPoint, text string) (err error) {
			p.Speed, err = profiles.NewReading(text)
			return err
		}},
	{name: fixed("Cable's speed, read off"), step: noStep, odd: func(r RunFlow, text string) string { return r.engine.Plan.OddCableSpeed(text, r.view.Now.Control) },
		now:     func(r RunFlow) string { return speedText(r.view.Now.Speed, r) },
		example: func(r RunFlow) string { return words.YesNo(r.speedUnit() == "ft/min", "95 ft/min", "29 m/min") },
		take:    quantityIn(func(p *profiles.RunPoint) *profiles.Quantity[q.Speed] { return &p.CableSpeed })},
	{name: fixed("Push gauge"), step: noStep, gauge: true, has: func(r RunFlow) bool { return r.engine.Plan.Gauge.Known() },
		now: func(r RunFlow) string {
			v, known := r.view.Now.Push.Get()
			return knownText(known, func() string { return reach.ForceText(v, cmp.Or(r.engine.Plan.Units.Force, "N")) })
		},
		example: func(r RunFlow) string {
			return "40 " + r.engine.Plan.Gauge.Or(run.PushGauge{}).PerReading.Unit
		},
		take: func(p *profiles.RunPoint, text string) (err error) {
			p.PushReading, err = profiles.NewReading(text)
			return err
		}},
}

func knownText(known bool, text func() string) string {
	if !known {
		return ""
	}
	return text()
}

func pressureText(v q.Maybe[q.Pressure], r RunFlow) string {
	p, known := v.Get()
	return knownText(known, func() string { return q.Text(p, r.pressureUnit()) })
}

func speedText(v q.Maybe[q.Speed], r RunFlow) string {
	s, known := v.Get()
	return knownText(known, func() string { return wholeSpeed(s, r.speedUnit()) })
}

func (r RunFlow) pressureUnit() string { return cmp.Or(r.engine.Plan.Units.Pressure, "bar") }

func (r RunFlow) speedUnit() string {
	return cmp.Or(r.engine.Plan.Units.Speed, words.YesNo(r.markUnit() == "ft", "ft/min", "m/min"))
}

// values lists the readings with what they were last: only what has changed is tapped.
func (p runPage) values() Question {
	question := Question{ID: "run-values", Title: "Which reading?"}
	for i, v := range runReadings {
		if v.has != nil && !v.has(p.RunFlow) {
			continue
		}
		next := p.at(runValue)
		next.draft.reading = i
		question.Choices = append(question.Choices, p.to(v.name(p.RunFlow)+": "+cmp.Or(v.now(p.RunFlow), "not read"), next, Major))
	}
	return question.with(p.back("Back to the run", p.first()))
}

func (p runPage) value() Question {
	v := runReadings[p.draft.reading]
	now := v.now(p.RunFlow)
	if v.gauge {
		now = "" // it is told as a force
	}
	return p.pad("run-value", v.name(p.RunFlow)+" now?", Entering{Label: v.name(p.RunFlow), Example: v.example(p.RunFlow), Known: v.known(p), Now: now, Step: v.step(p.RunFlow)}, p.to("As it was", p.first(), Minor),
		func(text string) (RunFlow, error) {
			next, err := p.valueRead(v, text)
			if v.odd == nil {
				return next, err
			}
			return p.unlessOdd(text, v.odd(p.RunFlow, text), next), err
		})
}

// known is what is offered in place of an example: of a setting what is allowed now, of any
// other reading what it was.
func (v runReading) known(p runPage) string {
	now := v.now(p.RunFlow)
	most, some := p.view.Allowed.Get()
	switch rig := p.engine.Plan.Rig; {
	case v.setting && some && v.grip:
		return "allowed: " + rig.ShowGrip(most.Grip)
	case v.setting && some:
		return "allowed: " + rig.ShowSpeed(most.Speed.Value)
	case now != "" && !v.gauge:
		return "last: " + now
	}
	return ""
}

// valueRead writes a reading, and asks who and why when it is a setting above what is
// allowed.
func (p runPage) valueRead(v runReading, text string) (RunFlow, error) {
	point := profiles.RunPoint{By: p.record.People.Operator}
	if err := v.take(&point, text); err != nil {
		return p.RunFlow, err
	}
	if !v.setting {
		return p.writing(point), nil
	}
	is, whole := p.view.Now.Setting()
	if grip, err := q.Parse[q.Pressure](point.Grip.String()); err == nil && point.Grip.String() != "" {
		is.Grip = grip
	}
	if reads, err := q.ParseReading(point.Speed.String()); err == nil && point.Speed.String() != "" {
		if reads.Unit != p.engine.Plan.Setting.Speed.Unit {
			return p.RunFlow, fmt.Errorf("%q is not in the push control's unit, %s", text, p.engine.Plan.Rig.PushUnit)
		}
		is.Speed = reads
	}
	if !whole || !p.judgedAs(is) {
		return p.writing(point), nil
	}
	return p.overriding(is, point), nil
}

// overriding asks who decides on a setting, and why.
func (p runPage) overriding(is session.Setting, point profiles.RunPoint) RunFlow {
	next := p.at(runWho)
	next.draft.dialled.Grip = asWritten[q.Pressure](p.engine.Plan.Rig.ShowGrip(is.Grip))
	next.draft.dialled.Speed, _ = profiles.NewReading(p.engine.Plan.Rig.ShowSpeed(is.Speed.Value))
	next.draft.decided = func(by, reason string) profiles.RunEntry {
		point.By, point.Reason = by, reason
		return point
	}
	return next
}
