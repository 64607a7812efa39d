package run

import (
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// View is all that is shown of a run at a time. It is derived from the record alone.
type View struct {
	Stage        Stage
	Due          []session.Check // open now, in the order to ask them
	Cautions     []session.Caution
	CautionsRead bool
	Missing      []string // what else the stage needs before it can be left
	May          []What   // entries that may follow

	Proving  q.Maybe[Judged] // of the last sheet
	ReadBack q.Maybe[ReadBack]

	Started   bool // the head was at the duct's mouth
	Now       State
	Allowed   q.Maybe[session.Setting] // at the temperature read last; not known where it is too warm for any
	Warmth    Warmth
	Left      q.Maybe[q.Length]
	Predicted q.Maybe[q.Speed] // here by the reach, and no faster than the belts as they are dialled now
	Pace      q.Maybe[float64] // speed against what was to be expected: 1 is as planned
	Trend     q.Maybe[float64] // of Pace, per 100 m
	ETA       q.Maybe[time.Time]
	Place     q.Maybe[Place] // of the head on the route
	Friction  Friction

	Alerts    []Alert // the soonest and gravest first
	Log       []State // at the points of the log
	Stops     []Stopped
	Overrides []Override
	Slips     int
	Moving    time.Duration // the cable, in all
	Stood     time.Duration // it, in all, since the start

	Folded, Damaged bool
	Closing         q.Maybe[Closing]
	End             q.Maybe[End]
}

// View derives what is shown at a time. Its figures are of the model's plan; the run must
// have the same.
func (m *Model) View(r Run, now time.Time) View {
	due := r.Due(now) // an entry taken back still shows that the crew was at work
	r.Entries = r.standing()
	stage, _ := r.Stage()
	c := r.course()
	v := View{
		Stage: stage, Due: due, Cautions: Cautions(stage), CautionsRead: r.Cautioned(stage), Missing: r.missing(stage), May: stage.may(),
		Started: c.started, Now: c.now, Log: c.states, Stops: c.stops, Overrides: c.overrides, Slips: c.slips,
		Left: m.left(c), Friction: m.friction(c),
	}
	v.Allowed, v.Warmth = c.allowed()
	p := m.progress(c)
	v.Pace, v.Trend, v.ETA = p.pace, p.trend, m.arrival(c, p)
	if p.reached {
		v.Predicted = p.expected
	}
	m.locate(&v)
	v.durations(c, now)
	v.found(r)
	v.Folded, v.Damaged = c.hurt()
	f := &facts{course: c, progress: p, stage: stage, at: now}
	v.Alerts = f.alerts()
	return v
}

// locate finds the head and the stops on the route.
func (m *Model) locate(v *View) {
	if len(m.places) == 0 {
		return
	}
	if in, known := v.Now.In.Get(); known {
		v.Place = q.Known(m.places.at(in))
	}
	for i := range v.Stops {
		if in, known := v.Stops[i].In.Get(); known {
			v.Stops[i].Place = q.Known(m.places.at(in))
		}
	}
}

func (v *View) durations(c *course, now time.Time) {
	v.Moving = c.moved
	until := now
	if c.ended {
		until = c.now.At
	}
	if c.now.Moving {
		v.Moving += max(0, now.Sub(c.since))
	}
	if c.started {
		v.Stood = max(0, until.Sub(c.start.At)-v.Moving)
	}
}

// found fills in what single entries say.
func (v *View) found(r Run) {
	if s, ok := last[Proving](r); ok {
		judged := r.Plan.Judge(s)
		if s.Passes == 0 && r.SwabbedClean() {
			judged.Lines = append([]string{"The last swab is said to have come out clean and dry, and none to have gone through: one of the two is wrong."}, judged.Lines...)
		}
		v.Proving = q.Known(judged)
	}
	if d, ok := last[Dialled](r); ok {
		v.ReadBack = q.Known(r.ReadBack(d))
	}
	if e, ok := last[End](r); ok {
		v.End = q.Known(e)
	}
	if c, ok := last[Closing](r); ok {
		v.Closing = q.Known(c)
	}
}

// Overrides are the settings above what was allowed, in order.
func (r Run) Overrides() []Override { return r.course().overrides }

// In is how far the head came, when it was read.
func (r Run) In() q.Maybe[q.Length] { return r.course().now.In }

// StopCount is how often the cable stood.
func (r Run) StopCount() int { return len(r.course().stops) }

// Arrived reports whether the cable was seen at the far end.
func (r Run) Arrived() bool {
	e, ok := last[End](r)
	return ok && e.Arrived
}
