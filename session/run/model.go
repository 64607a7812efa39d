package run

import (
	"math"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// Model is what mechanics expects of a run's plan, worked out once and kept: the same record
// gives the same view with it or with a new one. One goroutine has it alone.
type Model struct {
	plan   Plan
	course *reach.Course // nil when no reach was worked out
	pace   *pace
	places milestones
	drives map[node]float64
}

// node is a place and an air for which the drive's push is worked out, at one friction.
type node struct {
	reach.Moment
	friction int // see [frictionAt]
}

// NewModel makes a plan's model. A plan whose reach cannot be worked out is as one without.
func NewModel(p Plan) *Model {
	m := &Model{plan: p, drives: map[node]float64{}}
	if p.Route.Length() > 0 {
		m.places = newMilestones(p.Route)
	}
	worked, known := p.Reach.Get()
	if !known {
		return m
	}
	if c, err := reach.NewCourse(worked.Job); err == nil {
		m.course = c
	}
	return m
}

// expected is how fast the reach has the cable, nil without one.
func (m *Model) expected() *pace {
	if m.course == nil {
		return nil
	}
	if m.pace == nil {
		p := pace{end: float64(m.plan.Reach.Or(Worked{}).Job.Route.Length())}
		for i := range paceNodes + 1 {
			p.speeds = append(p.speeds, float64(m.course.Fastest(q.Length(p.end*float64(i)/paceNodes))))
		}
		m.pace = &p
	}
	return m.pace
}

// Frictions are looked at on a scale of even ratios, so that what was worked out for one
// place serves again when the log has grown. Its ends lie beyond what any cable has on any
// duct; a step of 5 % is finer than friction is ever known. Source: choices made here.
const (
	leastFriction = 0.01
	ratioFriction = 1.05
	nodesFriction = 96 // up to 1.03
)

func frictionAt(node int) float64 { return leastFriction * math.Pow(ratioFriction, float64(node)) }

func nodeOf(friction float64) float64 {
	return math.Log(friction/leastFriction) / math.Log(ratioFriction)
}

// mostKept bounds the memory of what was worked out.
const mostKept = 200000

// drive is the push of the drive in a moment at a node of friction, in N; infinite where the
// cable locks, and NaN where the moment cannot be meant.
func (m *Model) drive(at reach.Moment, friction int) float64 {
	key := node{at, friction}
	if push, known := m.drives[key]; known {
		return push
	}
	if len(m.drives) > mostKept {
		clear(m.drives)
	}
	push, known := m.course.Drive(at, frictionAt(friction)).Get()
	value := float64(push)
	if !known {
		value = math.Inf(1)
		if !m.course.Drive(at, leastFriction).Known() {
			value = math.NaN()
		}
	}
	m.drives[key] = value
	return value
}
