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

func (r Run) check(p *problems) {
	within(p, "run.length", r.Length, span[q.Length]{"m", 10, 5000})
	p.number("run.friction", r.Friction, 0.01, 1)
	within(p, "run.speed", r.Speed, span[q.Speed]{"m/min", 0.01, 5})
	within(p, "run.harder", r.Harder, span[q.Speed]{"m/min", 0.001, 1})
	within(p, "run.snag_at", r.SnagAt, span[q.Length]{"m", 1, 10000})
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
	now    RunReview
}

// RunReview is how a run went.
type RunReview struct {
	RunState
	Overrides int  // times the push control went above the install setting
	Early     bool // stopped with nothing wrong
	Late      bool
	Snagged   bool
	Stopped   bool
}

// How far a run goes between two looks: one looks more often where it slows.
const seldom, often q.Length = 20, 2

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
	b.now.RunState = RunState{Cable: l.Run.Speed, Reading: l.Run.Speed}
	return b, nil
}

// Lesson returns the lesson of the run.
func (b *RunBench) Lesson() Lesson { return b.lesson }

// State is the run as it stands.
func (b *RunBench) State() RunState { return b.now.RunState }

// Do acts, then lets the run go on for a few metres. After the end it changes nothing.
func (b *RunBench) Do(a RunAct) RunState {
	if b.now.Ended {
		return b.now.RunState
	}
	part := float64(b.now.Cable / b.lesson.Run.Speed)
	switch a {
	case StopAndLook:
		b.now.Stopped, b.now.Ended, b.now.Early = true, true, part > steady
		return b.now.RunState
	case PushHarder:
		b.now.Reading += b.lesson.Run.Harder
		b.now.Overrides++
	}
	b.now.Late = b.now.Late || part < slowed
	b.forward()
	return b.now.RunState
}

// forward moves the cable on by one step, or to where it ends.
func (b *RunBench) forward() {
	run, now := b.lesson.Run, &b.now
	stride := seldom
	for stride > often && b.part(now.In+stride) < steady {
		stride /= 2
	}
	next := min(now.In+max(stride, often), run.Length)
	if run.SnagAt <= next {
		now.In = run.SnagAt
		b.hit()
		return
	}
	stall, part := b.stall(), b.part(next)
	if part <= 0 {
		now.Cable, now.Push, now.Ended = 0, q.Force(stall), true
		now.Folded = stall >= b.limit
		return
	}
	now.In, now.Push = next, q.Force(rounded(stall*(1-part)))
	now.Cable = q.Speed(rounded(float64(now.Reading) * part))
	now.Folded = float64(now.Push) >= b.limit
	now.Home = next >= run.Length
	now.Ended = now.Folded || now.Home
}

// part is the part of its free-running speed that is left to the cable with its head at
// a length; nothing where the drive stalls.
func (b *RunBench) part(in q.Length) float64 {
	stall := b.stall()
	needed, ok := b.needed(in)
	if !ok || needed >= stall {
		return 0
	}
	return 1 - needed/stall
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
	length := math.Max(float64(b.now.In/b.rig.Duct.StubLength), 1)
	blow := float64(float64(b.now.Cable) * math.Sqrt(b.rig.Drive.MovingMass/(per*length)))
	peak := rounded(b.stall() + blow)
	b.now.Cable, b.now.Push, b.now.Ended, b.now.Snagged = 0, q.Force(peak), true, true
	b.now.Folded = peak >= b.limit
}

func (b *RunBench) stall() float64 {
	d := b.rig.Drive
	t := float64(d.ThrustPerSpeed.Value*float64(b.now.Reading)) + float64(d.ThrustOffset)
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
	run := b.now
	r := Review{Lesson: b.lesson.ID, Title: b.lesson.Title, Seed: b.seed, Run: &run, Missing: run.missing(), Shown: b.lesson.Job.Rig, Teaches: b.lesson.Teaches}
	r.Passed = len(r.Missing) == 0
	r.Score = score(r.count())
	return r
}

func (r Review) runLines() []string {
	run := r.Run
	end := "Friction brought it to a stand there."
	switch {
	case run.Folded:
		end = "It folded there."
	case run.Snagged:
		end = "Its head met something there and stopped dead; at this setting the cable stayed whole."
	case run.Stopped:
		end = "It was stopped there, with the cable whole."
	case run.Home:
		end = "That is the end of the route."
	}
	return []string{fmt.Sprintf("Cable in the duct: %s. %s", ShowLength(run.In, r.Shown), end),
		fmt.Sprintf("Times the push control was turned up above the install setting: %d.", run.Overrides)}
}
