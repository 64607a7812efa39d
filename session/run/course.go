package run

import (
	"math"
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// State is a run at one moment: what was read then, or carried on from before.
type State struct {
	Seq     int
	At      time.Time
	Printed q.Maybe[q.Length] // the cable's mark at the pointer
	In      q.Maybe[q.Length] // of the head from the duct's mouth, never below 0
	Speed   q.Maybe[q.Speed]  // of the cable, at this moment
	Read    bool              // that speed was read, and not worked out of two marks
	Grip    q.Maybe[q.Pressure]
	Control q.Maybe[q.Reading]
	Push    q.Maybe[q.Force] // by the push gauge, at this moment
	Air     q.Maybe[q.Pressure]
	Cable   q.Maybe[q.Temperature]
	Inlet   q.Maybe[q.Temperature]
	CableAt time.Time // when the cable's temperature was last read
	InletAt time.Time // and the inlet air's
	Moving  bool
	Slipped bool // the belts, at this moment

	first   bool             // after a start, a restart or another reading of the push control
	belts   q.Maybe[q.Speed] // the fastest the belts were dialled to since the mark before, where that is a speed
	marked  bool             // a mark was read now
	odd     string           // why the mark read last cannot be
	stretch int              // of moving, between two stops
	took    time.Duration    // from the mark before
}

// Setting is the setting in force, when both of it are known.
func (s State) Setting() (session.Setting, bool) {
	grip, ok1 := s.Grip.Get()
	control, ok2 := s.Control.Get()
	return session.Setting{Grip: grip, Speed: control}, ok1 && ok2
}

// Stopped is one line of the list of stops.
type Stopped struct {
	Seq       int
	At        time.Time
	In        q.Maybe[q.Length]
	Reason    string
	Stalled   bool
	Place     q.Maybe[Place]
	Restarted q.Maybe[time.Time] // not known while it lasts, or when the run ended there
}

// Lasted is how long the cable stood, until now where it still does.
func (s Stopped) Lasted(now time.Time) time.Duration {
	return max(0, s.Restarted.Or(now).Sub(s.At))
}

// Override is a setting harder than what was allowed then.
type Override struct {
	Seq              int
	At               time.Time
	Dialled, Allowed string
	By, Reason       string
}

// Named reports whether it is said who decided, and why.
func (o Override) Named() bool { return named(o.By, o.Reason) }

// course is a record gone through from its beginning.
type course struct {
	plan      Plan
	start     Start
	started   bool
	direction float64 // +1 where the marks count up
	now       State
	states    []State // at the points of the log
	stops     []Stopped
	stalls    []State // at stops where the drive gave up and the mark was read
	overrides []Override
	slips     int
	moved     time.Duration
	since     time.Time // of the stretch
	lastMark  State     // of the stretch
	stretch   int
	fresh     bool // the next point is the first of its stretch
	turned    bool // the push control was, since the last mark
	belts     q.Maybe[q.Speed]
	ended     bool
	over      string                   // the override in force
	held      q.Maybe[session.Setting] // what it was dropped to since it started, being warmer

	moving     State // as it was when the cable last moved, or before it did
	hurts      []Hurt
	foldStands bool // it stands for a fold that was told
}

// course goes through the entries that stand.
func (r Run) course() *course {
	entries := r.standing()
	c := &course{plan: r.Plan, states: make([]State, 0, len(entries))}
	for _, e := range entries {
		c.take(e)
	}
	return c
}

func (c *course) take(e session.Entry) {
	switch e := e.(type) {
	case Dialled:
		c.dialled(e)
	case Start:
		c.begin(e)
	case Point:
		c.point(e)
	case Stop:
		c.read(e.Mark, e.Printed)
		if e.Stalled && c.now.marked {
			c.stalls = append(c.stalls, c.now)
		}
		c.halt(e.At)
		c.stopHurt(e)
		c.stops = append(c.stops, Stopped{Seq: e.Seq, At: e.At, In: c.now.In, Reason: e.Reason, Stalled: e.Stalled})
	case Restart:
		c.read(e.Mark, e.Printed)
		if n := len(c.stops); n > 0 {
			c.stops[n-1].Restarted = q.Known(e.At)
		}
		c.foldStands = false
		c.goOn(e.At)
		c.judge(e.Mark, e.By, "") // the setting may have become too high where it stood
	case End:
		c.read(e.Mark, e.Printed)
		c.halt(e.At)
		c.endHurt(e)
		c.ended = true
	case Closing:
		c.foundHurt(e)
	}
	if c.now.Moving || !c.started {
		c.moving = c.now
	}
}

// goOn begins a stretch of moving.
func (c *course) goOn(at time.Time) {
	c.stretch++
	c.since, c.now.Moving, c.fresh = at, true, true
	c.turned, c.belts = false, beltSpeed(c.now.Control)
	c.lastMark = c.now
	c.lastMark.At = at
}

func (c *course) halt(at time.Time) {
	if c.now.Moving {
		c.moved += max(0, at.Sub(c.since))
	}
	c.now.Moving = false
}

func (c *course) begin(e Start) {
	c.start, c.started = e, true
	c.warmth(e.At, q.Maybe[q.Temperature]{}, q.Maybe[q.Temperature]{})
	switch e.Counts {
	case CountsUp:
		c.direction = 1
	case CountsDown:
		c.direction = -1
	}
	c.now.At, c.now.Seq = e.At, e.Seq
	c.now.Printed, c.now.In = q.Known(e.Printed), q.Known(e.HeadIn)
	if e.AirPressure.Known() {
		c.now.Air = e.AirPressure
	}
	c.goOn(e.At)
}

// read takes a mark. The way the marks count is the start's, or that of the first mark that
// differs from it.
func (c *course) read(m session.Mark, printed q.Maybe[q.Length]) {
	c.now.Seq, c.now.At = m.Seq, m.At
	c.now.Speed, c.now.Read, c.now.Push, c.now.odd = q.Maybe[q.Speed]{}, false, q.Maybe[q.Force]{}, ""
	c.now.marked, c.now.Slipped, c.now.took = false, false, 0
	mark, given := printed.Get()
	if !given || !c.started {
		return
	}
	along := float64(mark - c.start.Printed)
	if c.direction == 0 && along != 0 {
		c.direction = math.Copysign(1, along)
	}
	in := float64(c.start.HeadIn) + c.direction*along
	if in < 0 {
		c.now.odd, in = "the mark lies before the one at the start", 0
	} else if before, known := c.now.In.Get(); known && in < float64(before) {
		c.now.odd = "the mark went back"
	}
	c.now.Printed, c.now.In, c.now.marked = printed, q.Known(q.Length(in)), true
}

// Two marks give a speed when they lie at least so far apart in time, and no cable goes
// faster than this: a belt drive's is "up to 60 m/min" in the abstract of Griffioen, J.
// Lightwave Technol. 7(2) (1989) 297; five times that is a misread mark. A record has its
// times to the second.
const (
	leastTime         = time.Second
	mostSpeed q.Speed = 5
)

// point takes a line of the log.
func (c *course) point(e Point) {
	c.read(e.Mark, e.Printed)
	if e.Grip.Known() {
		c.now.Grip = e.Grip
	}
	c.turn(e.Control)
	c.now.first = (c.fresh || c.turned) && c.now.Moving
	c.now.stretch, c.now.belts = c.stretch, c.belts
	if e.AirPressure.Known() {
		c.now.Air = e.AirPressure
	}
	c.warmth(e.At, e.CableTemperature, e.InletAirTemperature)
	if gauge, has := c.plan.Gauge.Get(); has {
		if reading, known := e.Push.Get(); known {
			if f, fits := gauge.Force(reading); fits {
				c.now.Push = q.Known(f)
			}
		}
	}
	c.speed(e)
	if c.now.Slipped = e.Slip; e.Slip {
		c.slips++
	}
	if e.Grip.Known() || e.Control.Known() {
		c.judge(e.Mark, e.By, e.Reason)
	}
	if c.now.Moving && c.now.marked {
		c.fresh, c.turned, c.belts = false, false, beltSpeed(c.now.Control)
	}
	c.states = append(c.states, c.now)
}

// turn takes a reading of the push control. Between the mark before and the next the cable went
// at two speeds then, and no faster than the faster of them.
func (c *course) turn(to q.Maybe[q.Reading]) {
	is, read := to.Get()
	if !read {
		return
	}
	was, known := c.now.Control.Get()
	c.now.Control = to
	if known && was.Unit == is.Unit && math.Abs(is.Value-was.Value) <= rounding*was.Value {
		return
	}
	c.turned = true
	if belts, fast := beltSpeed(to).Get(); fast {
		c.belts = q.Known(max(belts, c.belts.Or(0)))
	}
}

// beltSpeed is what the push control says the belts do, where it reads a speed.
func beltSpeed(control q.Maybe[q.Reading]) q.Maybe[q.Speed] {
	if r, known := control.Get(); known && r.Unit == "m/s" {
		return q.Known(q.Speed(r.Value))
	}
	return q.Maybe[q.Speed]{}
}

// speed is the one read, or that between this mark and the one before it in the same stretch.
func (c *course) speed(e Point) {
	c.now.Speed, c.now.Read = e.Speed, e.Speed.Known()
	if !c.now.marked || !c.now.Moving {
		return
	}
	v := c.now.since(c.lastMark)
	c.now.took = c.now.At.Sub(c.lastMark.At)
	most := float64(mostSpeed) * leastTime.Seconds() // in no time
	atOnce := c.now.took >= 0 && c.now.took < leastTime && float64(c.now.In.Or(0)-c.lastMark.In.Or(0)) > most
	if v.Or(0) > mostSpeed || atOnce {
		c.now.odd = "the cable would have to be faster than any drive"
	} else if !c.now.Read {
		c.now.Speed = v
	}
	c.lastMark = c.now
}

// since is the speed from one mark to the next. Where one of the two cannot be, nobody knows
// which was misread, and there is none; nor over so long a time that the cable may have stood,
// or the clock been put right.
func (s State) since(before State) q.Maybe[q.Speed] {
	from, known := before.In.Get()
	took, gone := s.At.Sub(before.At), float64(s.In.Or(0)-from)
	if !known || s.odd != "" || before.odd != "" || took < leastTime || took > session.StaleAfter || gone <= 0 {
		return q.Maybe[q.Speed]{}
	}
	return q.Known(q.Speed(gone / took.Seconds()))
}

func (c *course) warmth(at time.Time, cable, inlet q.Maybe[q.Temperature]) {
	if cable.Known() {
		c.now.Cable, c.now.CableAt = cable, at
	}
	if inlet.Known() {
		c.now.Inlet, c.now.InletAt = inlet, at
	}
	most, warmth := c.plan.Allowed(warmer(c.now.Cable, c.now.Inlet))
	if lower, some := most.Get(); some && warmth == Warmer && c.started {
		c.held = q.Known(Lower(lower, c.held.Or(lower)))
	}
}

// dialled takes a read-back: it is the setting in force.
func (c *course) dialled(e Dialled) {
	c.now.Seq, c.now.At = e.Seq, e.At
	c.now.Grip, c.now.Control = q.Known(e.Setting.Grip), q.Known(e.Setting.Speed)
	c.warmth(e.At, e.CableTemperature, e.InletAirTemperature)
	c.judge(e.Mark, e.By, e.Reason)
}

// allowed is the highest setting at the temperature read last, and once the cable is in the duct no
// more than it was dropped to: what a cooler reading would give back, no check can confirm there.
// After a slip one rung more grip pressure is, within what the trial has tried clean: on no warmer a
// jacket, which is softer.
func (c *course) allowed() (q.Maybe[session.Setting], Warmth) {
	most, warmth := c.plan.Allowed(warmer(c.now.Cable, c.now.Inlet))
	s, some := most.Get()
	if held, is := c.held.Get(); is && some && c.plan.above(s, held) {
		most = q.Known(Lower(s, held))
		if warmth != Warmer {
			warmth = Held
		}
	}
	tried, known := c.plan.GripTried.Get()
	if !some || !known || c.slips == 0 || warmth == Warmer || warmth == Held {
		return most, warmth
	}
	s.Grip = max(s.Grip, min(s.Grip+c.plan.GripStep, tried))
	return q.Known(s), warmth
}

// judge writes down an override: once, however often it is read, until who and why are given.
func (c *course) judge(m session.Mark, by, reason string) {
	is, whole := c.now.Setting()
	if !whole || len(c.hurts) > 0 && !c.now.Moving { // hurt, it is not pushed with any more
		return
	}
	most, _ := c.allowed()
	allowed, some := most.Get()
	if some && !c.plan.above(is, allowed) {
		c.over = ""
		return
	}
	o := Override{m.Seq, m.At, c.plan.Rig.Named(is), "none so warm", by, reason}
	if some {
		o.Allowed = c.plan.Rig.Named(allowed)
	}
	if said := o.Dialled + " above " + o.Allowed; said != c.over || o.Named() {
		c.over, c.overrides = said, append(c.overrides, o)
	}
}
