package run

import (
	"fmt"
	"time"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// FrictionKind is how much a run tells of friction.
type FrictionKind int

// The kinds.
const (
	NoFriction FrictionKind = iota + 1 // nothing
	Bounded                            // it moves, or it stalls, at a push that is known
	Fitted                             // by the readings of a push gauge
)

// Friction is what the run shows of the coefficient of cable on duct.
type Friction struct {
	Kind           FrictionKind
	Mid, Low, High q.Maybe[float64] // fitted: the likeliest, and between which 90 of 100 lie; bounded: at least, at most
	Spread         q.Force          // of the gauge about the model; fitted only
	Readings       int              // of the gauge; or the places where it moved or stalled
	Says           string
}

// From so far in, and with so many parts of the route gone over, the readings can tell.
//
// Source: common practice, no source: "after about 100 m".
const fitFrom q.Length = 100

const (
	leastBins = 5
	fitBins   = 64 // parts a route is divided into
)

// seen is what the gauge showed over one part of the route, as means.
type seen struct {
	at       reach.Moment
	push     float64 // N, what the cable took behind nothing but the seal's friction
	readings float64 // how many
}

// friction weighs the log.
func (m *Model) friction(c *course) Friction {
	none := func(why string) Friction { return Friction{Kind: NoFriction, Says: why} }
	if m.course == nil {
		return none("Nothing can be told of friction: no reach was worked out for this run.")
	}
	in, known := c.now.In.Get()
	if !known || in < fitFrom {
		return none(fmt.Sprintf("Nothing can be told of friction before %s.", reach.LengthText(fitFrom, m.lengthUnit())))
	}
	bins := m.bins(c)
	if len(bins) >= leastBins {
		if f, ok := m.fit(bins); ok {
			return f
		}
	}
	f := m.bounds(c)
	switch {
	case f.Kind == Bounded && len(bins) >= leastBins:
		f.Says = "The push gauge does not go with any friction: is its zero right, and the air as read? " + f.Says
	case f.Kind == NoFriction && len(bins) > 0:
		f.Says = "The push gauge tells too little of friction yet."
	}
	return f
}

func (m *Model) lengthUnit() string {
	if m.plan.Units.Length != "" {
		return m.plan.Units.Length
	}
	return "m"
}

// bins are the readings of the push gauge while the cable moved, by parts of the route. The
// first reading after a start or a stop is left out: friction at rest is higher.
func (m *Model) bins(c *course) []seen {
	gauge, has := m.plan.Gauge.Get()
	if !has {
		return nil
	}
	width := m.width()
	var all []seen
	place := -1
	for _, s := range c.states {
		push, known := s.Push.Get()
		at, ok := m.moment(s)
		if !known || !ok || s.first || !s.Speed.Known() || at.Speed <= 0 {
			continue
		}
		if p := int(float64(at.Head) / width); p != place || len(all) == 0 {
			place, all = p, append(all, seen{})
		}
		b := &all[len(all)-1]
		n := b.readings
		mean := func(before, value float64) float64 { return before + (value-before)/(n+1) }
		b.at.Head = q.Length(mean(float64(b.at.Head), float64(at.Head)))
		b.at.Speed = q.Speed(mean(float64(b.at.Speed), float64(at.Speed)))
		b.at.Inlet = q.Pressure(mean(float64(b.at.Inlet), float64(at.Inlet)))
		b.at.Temperature = q.Temperature(mean(float64(b.at.Temperature), float64(at.Temperature)))
		b.push = mean(b.push, float64(push-gauge.Seal))
		b.readings++
	}
	return all
}

// width is one part of the route.
func (m *Model) width() float64 {
	return float64(m.plan.Reach.Or(Worked{}).Job.Route.Length()) / fitBins
}

// moment is a state as mechanics sees it: what was not read is the plan's.
func (m *Model) moment(s State) (reach.Moment, bool) {
	in, known := s.In.Get()
	air := m.plan.Reach.Or(Worked{}).Job.Air
	return reach.Moment{Head: in, Speed: s.Speed.Or(0), Inlet: s.Air.Or(air.Inlet), Temperature: s.Inlet.Or(air.Temperature)},
		known && s.Moving && s.odd == "" && in > 0 && in <= m.plan.Reach.Or(Worked{}).Job.Route.Length()
}

// bounds are what moving and stalling at a push that is known say of friction: no more is
// needed than there is where it moves, no less where it stalls. They are good to 5 %.
func (m *Model) bounds(c *course) Friction {
	f := Friction{Kind: NoFriction}
	low, high := -1, nodesFriction
	part, width := -1, m.width()
	for _, s := range c.states {
		push, known := m.available(s)
		at, ok := m.moment(s)
		if !known || !ok {
			continue
		}
		here := int(float64(at.Head) / width)
		if here == part {
			continue
		}
		part = here
		f.Readings++
		high = min(high, m.firstAbove(at, push))
	}
	for _, stop := range c.stops {
		s, found := stateAt(c.states, stop.At)
		push, known := m.available(s)
		in, placed := stop.In.Get()
		if !stop.Stalled || !found || !known || !placed {
			continue
		}
		s.In, s.Moving, s.odd = q.Known(in), true, ""
		if at, ok := m.moment(s); ok {
			at.Speed = 0
			f.Readings++
			low = max(low, m.firstAbove(at, push)-1)
		}
	}
	switch {
	case f.Readings == 0:
		f.Says = "Nothing can be told of friction: there is no push gauge, and the rig card has no pull test."
		return f
	case high < nodesFriction:
		f.Kind, f.High = Bounded, q.Known(frictionAt(high))
	}
	if low >= 0 {
		f.Kind, f.Low = Bounded, q.Known(frictionAt(low))
	}
	f.Says = f.bound()
	return f
}

func (f Friction) bound() string {
	low, known1 := f.Low.Get()
	high, known2 := f.High.Get()
	const more = " Without a push gauge no more can be told."
	switch {
	case known1 && known2 && low > high:
		return "It moved and it stalled against what the rig card says: it caught on something, or the card is wrong. Nothing can be told of friction."
	case known1 && known2:
		return fmt.Sprintf("Friction is between %.3g and %.3g: it moved, and it stalled, at pushes the rig card knows.", low, high) + more
	case known1:
		return fmt.Sprintf("Friction is at least %.3g where it stalled, if nothing but friction stopped it.", low) + more
	case known2:
		return fmt.Sprintf("Friction is at most %.3g: with more, this setting could not have moved it.", high) + more
	}
	return "It moves well within what this setting pushes, which tells nothing of friction."
}

// firstAbove is the first node of friction at which a moment needs more push than there is.
func (m *Model) firstAbove(at reach.Moment, push float64) int {
	low, high := 0, nodesFriction
	for low < high {
		if middle := (low + high) / 2; m.drive(at, middle) <= push {
			low = middle + 1
		} else {
			high = middle
		}
	}
	return low
}

// available is the push of the setting in force by the rig card: what the drive stalls at,
// or the belts hold, whichever is less.
func (m *Model) available(s State) (float64, bool) {
	setting, known := s.Setting()
	push, told := m.plan.Rig.PushAt(setting)
	return float64(max(0, push-m.plan.Gauge.Or(PushGauge{}).Seal)), known && told
}

// stateAt is the last state before a time.
func stateAt(states []State, at time.Time) (State, bool) {
	for i := len(states) - 1; i >= 0; i-- {
		if !states[i].At.After(at) {
			return states[i], true
		}
	}
	return State{}, false
}
