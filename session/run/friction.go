package run

import (
	"cmp"
	"fmt"
	"math"

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

// A Student's t of four degrees of freedom is within a third of the normal; of a route of
// 2 km a part is 31 m, a point or two of the log. Source: choices made here.
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

func (m *Model) lengthUnit() string { return cmp.Or(m.plan.Units.Length, "m") }

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
		if !known || !s.marked || s.first || s.Speed.Or(0) <= 0 {
			continue
		}
		at, ok := m.moment(s)
		if !ok {
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

// moment is a state as mechanics sees it: what was not read is the plan's. There is none
// where the cable stands, or where the readings cannot be meant.
func (m *Model) moment(s State) (reach.Moment, bool) {
	in, known := s.In.Get()
	if !known || !s.Moving || s.odd != "" || in <= 0 {
		return reach.Moment{}, false
	}
	air := m.plan.Reach.Or(Worked{}).Job.Air
	at := reach.Moment{Head: in, Speed: s.Speed.Or(0), Inlet: s.Air.Or(air.Inlet), Temperature: s.Inlet.Or(air.Temperature)}
	return at, !math.IsNaN(m.drive(at, 0))
}

// bounds are what moving and stalling at a push that is known say of friction: no more is
// needed than there is where it moves, no less where it stalls. They are good to 5 %.
func (m *Model) bounds(c *course) Friction {
	seen, low, high := 0, -1, nodesFriction
	part, width := -1, m.width()
	for _, s := range c.states {
		push, known := m.available(s)
		here := int(float64(s.In.Or(0)) / width)
		if !known || here == part {
			continue
		}
		if at, ok := m.moment(s); ok {
			part = here
			seen++
			high = min(high, m.firstAbove(at, push))
		}
	}
	for _, s := range c.stalls {
		push, known := m.available(s)
		if at, ok := m.moment(s); known && ok {
			seen++
			low = max(low, m.firstAbove(at, push)-1)
		}
	}
	f := bounded(low, high)
	f.Readings = seen
	if seen == 0 {
		f.Says = "Nothing can be told of friction: there is no push gauge, and the rig card has no pull test."
	}
	return f
}

// bounded is friction between two nodes, each none when it lies outside them all. Where they
// contradict each other, or leave none, something else is wrong than friction.
func bounded(low, high int) Friction {
	least, most := q.Known(frictionAt(low)), q.Known(frictionAt(high))
	const more = " Without a push gauge no more can be told."
	switch {
	case high == 0:
		return Friction{Kind: NoFriction, Says: "It moved where by the rig card it could not, with no friction at all: the card is wrong, or the plan's air. Nothing can be told of friction."}
	case low > high:
		return Friction{Kind: NoFriction, Says: "It moved and it stalled against what the rig card says: it caught on something, or the card is wrong. Nothing can be told of friction."}
	case low >= 0 && high < nodesFriction:
		return Friction{Kind: Bounded, Low: least, High: most, Says: fmt.Sprintf("Friction is between %.3g and %.3g: it moved, and it stalled, at pushes the rig card knows.", frictionAt(low), frictionAt(high)) + more}
	case low >= 0:
		return Friction{Kind: Bounded, Low: least, Says: fmt.Sprintf("Friction is at least %.3g where it stalled, if nothing but friction stopped it.", frictionAt(low)) + more}
	case high < nodesFriction:
		return Friction{Kind: Bounded, High: most, Says: fmt.Sprintf("Friction is at most %.3g: with more, this setting could not have moved it.", frictionAt(high)) + more}
	}
	return Friction{Kind: NoFriction, Says: "It moves well within what this setting pushes, which tells nothing of friction."}
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
