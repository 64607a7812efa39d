package profiles

import (
	"fmt"

	"brinkmark/profiles/problem"
	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// RunEntry is one thing to write down in a run: an [Answer], a [Proving], a [Dialled], a
// [RunStart], a [RunPoint], a [RunStop], a [RunRestart], a [RunEnd], a [Closing] or an
// [Undo]. Its number and time are set when it is written.
type RunEntry interface {
	// engine is it as the engine sees it.
	engine(*runReader) (session.Entry, error)
}

// runReader turns entries into the engine's; it knows the units they must be in.
type runReader struct {
	key      string // of the entry
	seq      int
	control  string // unit of the push control
	gauge    string // unit of the push gauge
	markUnit string // of the marks, by the start that stands
	dropped  map[int]bool
}

func (rr *runReader) bad(name, wrong, hint string) error {
	return &entryError{rr.key + "." + name, wrong, hint}
}

// mark takes a print mark. A cable is printed in one unit.
func (rr *runReader) mark(v Quantity[q.Length]) (q.Maybe[q.Length], error) {
	if unit := v.unit(rr.markUnit); unit != rr.markUnit && rr.markUnit != "" && !rr.dropped[rr.seq] {
		return v.value, rr.bad("mark", fmt.Sprintf("%q is in %s, and the mark at the start in %s", problem.Clip(v.text), unit, rr.markUnit), "a cable is printed in one unit: read the mark again")
	}
	return v.value, nil
}

// reading takes a push control reading.
func (rr *runReader) reading(v Reading) (q.Maybe[q.Reading], error) {
	if r, known := v.value.Get(); known && r.Unit != rr.control {
		return v.value, rr.bad("speed", fmt.Sprintf("%q is not in the push control's unit", problem.Clip(v.text)), "write every reading of the push control in the unit of its gauge; the cable's own speed is cable_speed")
	}
	return v.value, nil
}

func (e Answer) engine(rr *runReader) (session.Entry, error) { return e.entry(rr.key, Record{}) }

func (e Undo) engine(rr *runReader) (session.Entry, error) { return e.entry(rr.key, Record{}) }

func (e Proving) engine(rr *runReader) (session.Entry, error) {
	if e.Passes < 0 || e.Passes > 1000 {
		return nil, rr.bad("passes", fmt.Sprintf("%d cannot be meant", e.Passes), "write how often swab and mandrel went through")
	}
	p := run.Proving{
		Mark: session.Mark{Seq: e.Seq, At: e.At}, Mandrel: e.Mandrel.value, MandrelLength: e.MandrelLength.value, Passes: e.Passes,
		HeldAt: e.HeldAt.value, Lost: e.Lost.value, FarEndClear: e.FarEndClear, Note: e.Note,
	}
	if e.HeldFor.text != "" {
		p.HeldFor = q.Known(e.HeldFor.value)
	}
	return p, nil
}

func (e Dialled) engine(rr *runReader) (session.Entry, error) {
	grip, ok1 := e.Grip.value.Get()
	speed, err := rr.reading(e.Speed)
	control, ok2 := speed.Get()
	switch {
	case err != nil:
		return nil, err
	case !ok1 || grip <= 0:
		return nil, rr.bad("grip", "missing or zero", "write the grip pressure the gauge shows, such as \"6 psi\"")
	case !ok2 || control.Value <= 0:
		return nil, rr.bad("speed", "missing or zero", "write what the push control's gauge shows, such as \"95 ft/min\"")
	}
	return run.Dialled{
		Mark: session.Mark{Seq: e.Seq, At: e.At}, Setting: session.Setting{Grip: grip, Speed: control},
		CableTemperature: e.CableTemperature.value, InletAirTemperature: e.InletAirTemperature.value, By: e.By, Reason: e.Reason,
	}, nil
}

func (e RunStart) engine(rr *runReader) (session.Entry, error) {
	mark, err := rr.mark(e.Mark)
	printed, known := mark.Get()
	switch {
	case err != nil:
		return nil, err
	case !known:
		return nil, rr.bad("mark", "missing", "write the cable's print mark at the pointer, such as \"1417 m\"")
	}
	return run.Start{
		Mark: session.Mark{Seq: e.Seq, At: e.At}, Printed: printed, HeadIn: e.HeadIn.value.Or(0),
		Counts: e.Counts, AirPressure: e.AirPressure.value, By: e.By,
	}, nil
}

func (e RunPoint) engine(rr *runReader) (session.Entry, error) {
	mark, err1 := rr.mark(e.Mark)
	control, err2 := rr.reading(e.Speed)
	for _, err := range []error{err1, err2} {
		if err != nil {
			return nil, err
		}
	}
	if e.PushReading.text != "" && rr.gauge == "" {
		return nil, rr.bad("push_reading", "this run has no push gauge", "name it under [push_gauge], with what its reading is worth; or leave the reading out")
	}
	if push, known := e.PushReading.value.Get(); known && push.Unit != rr.gauge {
		return nil, rr.bad("push_reading", fmt.Sprintf("%q is not in the push gauge's unit, %q", problem.Clip(e.PushReading.text), rr.gauge), "write it as the gauge shows it, and the gauge's unit under [push_gauge]")
	}
	return run.Point{
		Mark: session.Mark{Seq: e.Seq, At: e.At}, Printed: mark, Speed: e.CableSpeed.value, Grip: e.Grip.value, Control: control,
		Push: e.PushReading.value, AirPressure: e.AirPressure.value, CableTemperature: e.CableTemperature.value,
		InletAirTemperature: e.InletAirTemperature.value, Slip: e.Slip, By: e.By, Reason: e.Reason, Note: e.Note,
	}, nil
}

func (e RunStop) engine(rr *runReader) (session.Entry, error) {
	mark, err := rr.mark(e.Mark)
	if err == nil && blank(e.Reason) {
		err = rr.bad("reason", "missing", "write why the cable stands, such as \"slowed down\"")
	}
	return run.Stop{Mark: session.Mark{Seq: e.Seq, At: e.At}, Printed: mark, Reason: e.Reason, Stalled: e.Stalled, By: e.By}, err
}

func (e RunRestart) engine(rr *runReader) (session.Entry, error) {
	mark, err := rr.mark(e.Mark)
	return run.Restart{Mark: session.Mark{Seq: e.Seq, At: e.At}, Printed: mark, By: e.By}, err
}

func (e RunEnd) engine(rr *runReader) (session.Entry, error) {
	mark, err := rr.mark(e.Mark)
	return run.End{Mark: session.Mark{Seq: e.Seq, At: e.At}, Arrived: e.Arrived, Printed: mark, By: e.By, Reason: e.Reason}, err
}

func (e Closing) engine(rr *runReader) (session.Entry, error) {
	if e.Folds < 0 || e.Folds > 1000 {
		return nil, rr.bad("folds", fmt.Sprintf("%d cannot be meant", e.Folds), "write how often the cable folded in this run")
	}
	c := run.Closing{
		Mark: session.Mark{Seq: e.Seq, At: e.At}, Slack: e.Slack.value, Remainder: e.Remainder.value,
		Jacket: e.Jacket, Folds: e.Folds, Damaged: e.Damaged, Note: e.Note,
	}
	for _, l := range e.Loops {
		if v, known := l.value.Get(); known {
			c.Loops = append(c.Loops, v)
		}
	}
	if e.StubRetired != nil {
		c.StubRetired = q.Known(*e.StubRetired)
	}
	return c, nil
}
