package ask

import (
	"cmp"
	"fmt"

	"brinkmark/session/run"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// plotted shows the run so far over its time, beside what was to be expected.
func (p runPage) plotted() Question {
	question := Question{ID: "run-plot", Title: "Speed and distance over time"}
	question.Picture = func(w, h int) []string {
		return draw.PlotRun(draw.RunTrace{View: p.view, Plan: p.engine.Plan, Expected: p.course, Start: p.begunWith(), Now: p.now}, w, h)
	}
	question.Choices = []Choice{p.to("Friction, and how far it comes", p.at(runFriction), Major), p.to("Points and stops", p.at(runLogged), Major), p.backToRun()}
	return question
}

// begunWith is the start that stands.
func (r RunFlow) begunWith() run.Start {
	for _, e := range r.standing() {
		if s, is := e.(run.Start); is {
			return s
		}
	}
	return run.Start{}
}

func (p runPage) backToRun() Choice { return p.back("Back to the run", p.first()) }

// friction says what the log tells of friction, and how far the cable comes by it.
func (p runPage) friction() Question {
	f := p.further
	question := Question{ID: "run-friction", Title: "What the log tells of friction", Body: []string{p.view.Friction.Says}}
	if f.Known {
		question.Body = append(question.Body, f.Says)
	}
	if a, is := f.Alert.Get(); is {
		question.Body = append(question.Body, alertWords(a)...)
	}
	question.Choices = []Choice{p.to("Points and stops", p.at(runLogged), Major), p.backToRun()}
	return question
}

// logged lists the points and stops of the log, the last first.
func (p runPage) logged() Question {
	question := Question{ID: "run-log", Title: "Points and stops, the last first", Table: p.logTable()}
	question.Choices = []Choice{p.to("Plot", p.at(runPlotted), Major), p.backToRun()}
	return question
}

// logTable is the log as it stands.
func (r RunFlow) logTable() *draw.Table {
	t := &draw.Table{Head: []string{"at", "in", "speed", "setting", "air", "noted"}}
	stops := r.view.Stops
	add := func(s run.Stopped) {
		t.Add(true, s.At.Format("15:04:05"), r.lengthText(s.In), "", "", "", "STOP: "+s.Reason)
	}
	for i := len(r.view.Log) - 1; i >= 0; i-- {
		s := r.view.Log[i]
		for len(stops) > 0 && stops[len(stops)-1].Seq > s.Seq {
			add(stops[len(stops)-1])
			stops = stops[:len(stops)-1]
		}
		setting := ""
		if is, whole := s.Setting(); whole {
			setting = r.engine.Plan.Rig.Show(is)
		}
		noted := words.YesNo(s.Slipped, "belts slip", "")
		t.Add(s.Slipped, s.At.Format("15:04:05"), r.lengthText(s.In), speedText(s.Speed, r), setting, pressureText(s.Air, r), noted)
	}
	for i := len(stops) - 1; i >= 0; i-- {
		add(stops[i])
	}
	for _, o := range r.view.Overrides {
		t.Add(true, o.At.Format("15:04:05"), "", "", o.Dialled, "", fmt.Sprintf("ABOVE %s: %s, %s", o.Allowed, cmp.Or(o.By, "nobody named"), cmp.Or(o.Reason, "no reason")))
	}
	return t
}
