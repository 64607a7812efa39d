package practice

import (
	"errors"
	"fmt"
	"math"

	"brinkmark/session/cable"
	"brinkmark/session/push"
	q "brinkmark/session/quantity"
)

// Run is a run to be watched: cable pushed along a level duct without air, until
// friction slows it. What stops it dead is a snag.
type Run struct {
	Length   q.Length // of the route
	Friction float64  // between cable and duct
	Speed    q.Speed  // push control reading of the install setting
	Harder   q.Speed  // what one turn of the push control adds
	SnagAt   q.Length // where the head stops dead; past the route for nowhere
}

func (r Run) check() error {
	var errs []error
	within := func(of string, v, low, high float64) {
		if !(v >= low && v <= high) {
			errs = append(errs, fmt.Errorf("run: %s: %v: must be from %v to %v", of, v, low, high))
		}
	}
	within("length, m", float64(r.Length), 10, 5000)
	within("friction", r.Friction, 0.01, 1)
	within("speed, m/s", float64(r.Speed), 0.01, 5)
	within("harder, m/s", float64(r.Harder), 0.001, 1)
	within("snag at, m", float64(r.SnagAt), 1, 10000)
	return errors.Join(errs...)
}

// RunState is what there is to see of a run.
type RunState struct {
	In      q.Length // cable in the duct
	Cable   q.Speed
	Reading q.Speed // on the push control
	Push    q.Force // of the drive; not shown to a trainee
	Ended   bool
	Folded  bool
	Home    bool
}

// RunAct is what a trainee does at a look at the run.
type RunAct int

// The acts of a run.
const (
	RunOn RunAct = iota + 1
	PushHarder
	StopAndLook
)

// RunBench is a run under way.
type RunBench struct {
	lesson Lesson
	seed   uint64
	rig    Rig
	limit  float64 // fold limit at this run, N
	state  RunState
	review RunReview
}

// RunReview is how a run went.
type RunReview struct {
	In        q.Length
	Overrides int  // times the push control went above the install setting
	Early     bool // stopped with nothing wrong
	Late      bool
	Snagged   bool
	Folded    bool
	Stopped   bool
	Home      bool
}

// How far a run goes between two looks: one looks more often at a run that slows.
const seldom, often q.Length = 10, 2

// steady and slowed are the parts of its speed above which nothing is wrong with a
// run, and below which it must have been stopped: a choice of ours.
const steady, slowed = 0.9, 0.6

// NewRun begins the run of a lesson.
func NewRun(l Lesson, seed uint64) (*RunBench, error) {
	if err := l.Check(); err != nil {
		return nil, err
	}
	if l.Run == nil {
		return nil, errors.New("this lesson has no run")
	}
	rig := l.Rig.drawn(seed)
	limit, err := rig.foldLimit(1)
	if err != nil {
		return nil, err
	}
	b := &RunBench{lesson: l, seed: seed, rig: rig, limit: rounded(float64(limit) * factor(source(seed, 1), rig.FoldSpread))}
	b.state = RunState{Cable: l.Run.Speed, Reading: l.Run.Speed}
	return b, nil
}

// Lesson returns the lesson of the run.
func (b *RunBench) Lesson() Lesson { return b.lesson }

// State is the run as it stands.
func (b *RunBench) State() RunState { return b.state }

// Do acts, then lets the run go on for a few metres. After the end it changes nothing.
func (b *RunBench) Do(a RunAct) RunState {
	if b.state.Ended {
		return b.state
	}
	slow := b.state.Cable < slowed*b.lesson.Run.Speed
	switch a {
	case StopAndLook:
		b.review.Stopped, b.state.Ended = true, true
		b.review.Early = b.state.Cable > steady*b.lesson.Run.Speed
		return b.state
	case PushHarder:
		b.state.Reading += b.lesson.Run.Harder
		b.review.Overrides++
	}
	b.review.Late = b.review.Late || slow
	b.forward()
	return b.state
}

// forward moves the cable on by one step, or to where it ends.
func (b *RunBench) forward() {
	run := b.lesson.Run
	stride := seldom
	if b.state.Cable < steady*b.state.Reading {
		stride = often
	}
	next := min(b.state.In+stride, run.Length)
	if run.SnagAt <= next {
		b.state.In = run.SnagAt
		b.hit()
		return
	}
	stall := b.stall()
	needed, ok := b.needed(next)
	switch {
	case !ok || needed >= stall:
		b.state.Cable, b.state.Push, b.state.Ended = 0, q.Force(stall), true
		b.state.Folded = stall >= b.limit
	default:
		b.state.In, b.state.Push = next, q.Force(needed)
		b.state.Cable = q.Speed(rounded(float64(b.state.Reading) * (1 - needed/stall)))
		b.state.Folded = needed >= b.limit
		b.state.Home = next >= run.Length
		b.state.Ended = b.state.Folded || b.state.Home
	}
	b.review.Folded, b.review.Home = b.state.Folded, b.state.Home
}

// hit is a head that stops dead: the drive comes to rest against it, and what moved
// with the belts strikes on top.
//
//	F = T + v·√(k·M)
//
// T is the stall thrust in N, v the cable's speed in m/s, k that of the cable behind
// the head in N/m, M the moving mass in kg: the upper bound of a coasting drive.
//
// Source: longitudinal impact, Timoshenko & Goodier, Theory of Elasticity (from memory).
func (b *RunBench) hit() {
	per, err := b.rig.takeUp(1)
	if err != nil || per <= 0 {
		per = 1
	}
	length := math.Max(float64(b.state.In/b.rig.Duct.StubLength), 1)
	blow := float64(float64(b.state.Cable) * math.Sqrt(b.rig.Drive.MovingMass/(per*length)))
	peak := rounded(b.stall() + blow)
	b.state.Cable, b.state.Push, b.state.Ended = 0, q.Force(peak), true
	b.state.Folded = peak >= b.limit
	b.review.Folded, b.review.Snagged = b.state.Folded, true
}

func (b *RunBench) stall() float64 {
	d := b.rig.Drive
	t := float64(d.ThrustPerSpeed.Value*float64(b.state.Reading)) + float64(d.ThrustOffset)
	return math.Max(math.Min(t, float64(d.Relief.Or(q.Force(math.Inf(1))))), 0)
}

// needed is the push that moves the cable with its head at a length.
func (b *RunBench) needed(in q.Length) (float64, bool) {
	column, err1 := b.rig.column(1)
	weight, err2 := cable.Weight(b.rig.Cable.Mass)
	if err1 != nil || err2 != nil {
		return 0, false
	}
	f, err := push.Friction{Column: column, Weight: weight, Coefficient: b.lesson.Run.Friction}.DrivePush(0, in)
	return rounded(float64(f)), err == nil
}

// Review judges the run.
func (b *RunBench) Review() Review {
	run := b.review
	run.In = b.state.In
	r := Review{Lesson: b.lesson.ID, Title: b.lesson.Title, Seed: b.seed, Run: &run, Teaches: b.lesson.Teaches}
	need := func(ok bool, text string) {
		if !ok {
			r.Missing = append(r.Missing, text)
		}
	}
	need(b.state.Ended, "The run was not ended.")
	need(!run.Folded, "The cable folded in the duct: all of it is scrap.")
	need(run.Overrides == 0, "The push control went above the install setting.")
	need(!run.Early, "It was stopped with nothing wrong.")
	need(!run.Late, "The run went on although the cable had lost four tenths of its speed.")
	r.Passed = len(r.Missing) == 0
	r.Score = r.score()
	return r
}

func (r RunReview) lost() int {
	lost := 25 * r.Overrides
	if r.Late || r.Early {
		lost += 25
	}
	if r.Folded {
		lost += 50
	}
	return lost
}

func (r RunReview) lines() []string {
	end := "Friction brought it to a stand there."
	switch {
	case r.Folded:
		end = "It folded there."
	case r.Snagged:
		end = "Its head met something there and stopped dead; at this setting the cable stayed whole."
	case r.Stopped:
		end = "It was stopped there, with the cable whole."
	case r.Home:
		end = "That is the end of the route."
	}
	return []string{fmt.Sprintf("Cable in the duct: %s. %s", q.Text(r.In, "m"), end),
		fmt.Sprintf("Push control above the install setting: %d times.", r.Overrides)}
}
