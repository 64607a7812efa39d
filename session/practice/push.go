package practice

import (
	"math"

	"brinkmark/session"
	"brinkmark/session/cable"
	"brinkmark/session/push"
	q "brinkmark/session/quantity"
)

// State is what there is to see at one moment of a push, and what the cable does
// inside the stub, which nobody sees.
type State struct {
	At         float64  // s since the drive was set going
	Head       q.Length // of the cable's end short of the plug; 0 when it rests there
	Line       q.Length // of the cable line past its pointer; negative short of it
	BeltTravel q.Length
	BeltSpeed  q.Speed
	CableSpeed q.Speed
	PlugShift  q.Length // of the plug past its witness line
	StubShift  q.Length // of the stub past its own
	GripGauge  q.Pressure
	DriveGauge q.Maybe[q.Pressure] // of what the drive's motor gives, not of the blow on the cable; unknown on a rig without it
	SupplyPart float64             // of its working level that the supply shows

	// Inside.
	Push  q.Force // of the belts on the cable
	Shape Shape
	Waves float64  // half-waves of a snake, turns of a helix
	Swing float64  // from the duct's axis, part of the room there is, 0 to 1
	Gone  q.Length // cable that a fold has swallowed
	InGap bool     // it folded in the gap, before the stub
}

// still is a speed at which nobody sees anything move. Common practice, no source.
const still q.Speed = 0.002

// BeltsTurn reports whether one sees the belts turn.
func (s State) BeltsTurn() bool { return s.BeltSpeed > still }

// CableMoves reports whether one sees the cable move.
func (s State) CableMoves() bool { return s.CableSpeed > still }

// Shape is how the cable lies in the stub.
type Shape int

// The shapes.
const (
	Straight Shape = iota + 1
	Snaking
	Coiled
	Folded
)

var shapeNames = []string{"", "straight", "snaking", "coiled", "folded"}

func (s Shape) String() string { return shapeNames[s] }

// Push is one push at one setting, to be watched from beginning to end.
type Push struct {
	Number  int // from 1
	Setting session.Setting
	Scene   Scene
	Truth   Truth

	states    []State
	allowance q.Length
}

// Scene is what stands round a push: what a picture of it needs besides its states.
type Scene struct {
	OuterDiameter, InnerDiameter, StubLength, RunUp q.Length
}

// The steps of a push in s. They are powers of two, so that times are exact.
const (
	step      = 1.0 / 512
	perFrame  = 16 // steps
	frame     = step * perFrame
	watched   = 2.5 // after the head has met something
	longest   = 60  // of a run-up nobody waits for
	leftAfter = 0.25
)

// Lasts is how long the push can be watched, in s.
func (p *Push) Lasts() float64 { return p.states[len(p.states)-1].At }

// At returns the state at a time in s; before the start and after the end the first
// and last.
func (p *Push) At(t float64) State {
	i := 0
	if t > 0 { // NaN is the start
		i = int(math.Min(t/frame, float64(len(p.states)-1)))
	}
	return p.states[i]
}

// Before and After are the still pictures of a push.
func (p *Push) Before() State { return p.states[0] }

// After is the end of it, before anything is let go.
func (p *Push) After() State { return p.states[len(p.states)-1] }

// Allowance is how far past the pointer the allowance line stands.
func (p *Push) Allowance() q.Length { return p.allowance }

// motion is a push under way: the rig's numbers for this push, and where things are.
type motion struct {
	free, thrust, relief float64 // m/s, N
	mass, takeUp         float64 // kg, m/N
	hold, fold, gap      float64 // N: belts, cable, cable in the gap
	plugHold, stubHold   float64 // N
	short                float64 // m the cable stops short of the plug

	runUp            float64 // m left to go
	belts, cable     float64 // m travelled
	speed            float64 // m/s of the belts
	squeezed         float64 // m of cable that the push has made room for
	plug, stub, gone float64 // m
	peak             float64 // N
	folded, inGap    bool
	slipping         bool
	met              bool // the head has met something
}

// start lets the belts run: they follow the push control at once; the head is run-up away.
func (m *motion) start() {
	m.speed = m.free
	if m.thrust <= 0 {
		m.speed = 0
	}
}

// drive is what the drive gives at a belt speed: its stall thrust at rest, nothing at
// the free-running speed, and never more than its relief.
func (m *motion) drive(v float64) float64 {
	if m.free <= 0 {
		return 0
	}
	return math.Min(math.Max(m.thrust-float64(m.thrust*float64(v/m.free)), 0), m.relief)
}

// resistance is what the cable holds against the belts.
func (m *motion) resistance() float64 {
	if m.folded {
		return float64(leftAfter * m.fold)
	}
	return m.squeezed / m.takeUp
}

// step moves everything on by a small time. Products are rounded by themselves, so
// that no processor may join them with a sum.
func (m *motion) step() {
	if !m.met {
		m.advance(float64(m.speed * step))
		return
	}
	against := m.resistance()
	m.slipping = against > m.hold
	against = math.Min(against, m.hold)
	m.peak = math.Max(m.peak, against)
	m.speed += float64((m.drive(m.speed) - against) / m.mass * step)
	m.speed = math.Min(math.Max(m.speed, 0), m.free) // the drive does not run backwards
	moved := float64(m.speed * step)
	m.belts += moved
	if !m.slipping {
		m.press(moved)
	}
}

// advance is the run-up, until the head meets the plug or what is in its way.
func (m *motion) advance(moved float64) {
	moved = math.Min(moved, m.runUp)
	m.belts, m.cable, m.runUp = m.belts+moved, m.cable+moved, m.runUp-moved
	m.met = m.runUp <= 0
}

// press pushes cable into the stub with its head held.
func (m *motion) press(moved float64) {
	m.cable += moved
	switch load := m.resistance(); {
	case m.folded:
		m.gone += moved
	case load >= m.gap:
		m.folded, m.inGap, m.gone = true, true, moved
	case load >= m.fold:
		m.folded, m.gone = true, moved
	case load >= math.Min(m.plugHold, m.stubHold):
		if m.plugHold <= m.stubHold {
			m.plug += moved
		} else {
			m.stub += moved
		}
	default:
		m.squeezed += moved
	}
}

// run makes the push, keeps a state each frame and returns the highest push in N.
func (p *Push) run(m motion, r rest) float64 {
	m.start()
	p.Scene = Scene{r.rig.Cable.OuterDiameter, r.rig.Duct.InnerDiameter, r.rig.Duct.StubLength, r.rig.Duct.RunUp}
	elapsed, since := 0.0, 0.0
	for i := 0; ; i++ {
		if i%perFrame == 0 {
			p.states = append(p.states, r.state(m, elapsed))
		}
		if since >= watched || elapsed >= longest {
			break
		}
		m.step()
		elapsed += step
		if m.met {
			since += step
		}
	}
	r.last = m
	p.Truth = r.truth(p)
	return m.peak
}

// rest is what a state needs besides the motion.
type rest struct {
	column    push.Column
	rig       Rig
	snaking   float64 // N
	coiling   float64
	halfWaves int
	grip      q.Pressure // on the gauge
	supply    float64
	backedOff float64 // m
	active    []Trouble
	last      motion
}

func (r rest) state(m motion, at float64) State {
	s := State{
		At: at, Head: q.Length(m.runUp + m.short), Line: q.Length(m.cable - r.backedOff),
		BeltTravel: q.Length(m.belts), BeltSpeed: q.Speed(m.speed),
		PlugShift: q.Length(m.plug), StubShift: q.Length(m.stub), Gone: q.Length(m.gone),
		GripGauge: r.grip, SupplyPart: r.supply, InGap: m.inGap,
	}
	load := 0.0
	if m.met {
		load = math.Min(m.resistance(), m.hold)
	}
	if !m.slipping {
		s.CableSpeed = s.BeltSpeed
	}
	s.Push = q.Force(load)
	if per, ok := r.rig.Drive.GaugePerPush.Get(); ok {
		s.DriveGauge = q.Known(q.Pressure(float64(per) * m.drive(m.speed)))
	}
	s.Shape, s.Waves, s.Swing = r.shape(load, m.folded)
	return s
}

// shape is how a cable under a push lies: its swing grows from nothing at the push
// where it begins to snake to the whole room where the helix is complete.
func (r rest) shape(load float64, folded bool) (Shape, float64, float64) {
	swing := math.Sqrt(math.Max(0, math.Min(1, (load-r.snaking)/math.Max(r.coiling-r.snaking, 1))))
	turns := 0.0
	if h, err := r.column.Helix(q.Force(math.Max(load, 0.001))); err == nil {
		turns = float64(r.rig.Duct.StubLength / h.Pitch)
	}
	switch {
	case folded:
		return Folded, turns, 1
	case load < r.snaking:
		return Straight, 0, 0
	case load < r.coiling:
		return Snaking, float64(r.halfWaves), swing
	}
	return Coiled, turns, 1
}

// onsets are the pushes at which this cable in this stub snakes and coils.
func (r *rest) onsets() error {
	weight, err := cable.Weight(r.rig.Cable.Mass)
	if err != nil {
		return err
	}
	snake, err := r.column.StubSnaking(r.rig.Duct.StubLength, weight)
	if err != nil {
		return err
	}
	coil, err := r.column.StubHelix(r.rig.Duct.StubLength, weight)
	if err != nil {
		return err
	}
	r.snaking, r.coiling, r.halfWaves = float64(snake.Push), float64(coil.Push), snake.Waves
	return nil
}
