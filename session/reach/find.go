package reach

import (
	"math"
	"slices"

	q "brinkmark/session/quantity"
)

// Result is how far a push carries the cable, and what goes with it. Pressures are gauge
// and, like the pushes, those with the head at Reach.
type Result struct {
	ReachesEnd bool
	Reach      q.Length
	End        q.Length // length of the route

	PushAtInlet q.Force  // behind the seal, with the head at Reach; below 0 the air pulls
	Entry       q.Force  // of the seal, against the drive
	Drive       q.Force  // what the drive gives; below 0 it must hold back
	Available   q.Force  // what may be behind the seal: the lesser of safe push and drive, less Entry
	Compensated q.Length // reach if the drive also made up for Entry: information only

	Inlet           q.Pressure
	FreeAir         q.FlowRate // with the head at Reach
	FreeAirEmpty    q.FlowRate // with no cable in the duct
	AirShort        bool       // the compressor cannot hold the inlet pressure meant, at some head
	Choked          bool       // the air leaves the duct as fast as it can
	UncertainFlow   bool       // between laminar and turbulent, so the air is known to a quarter only
	Time            Minutes    // to Reach, or to where the head only crawls
	SpeedAtReach    q.Speed
	Stuck           q.Maybe[Stuck]
	Sections        []Loss  // with the head at Reach, from the inlet
	Profile         []Point // with the head at Reach, from the inlet
	Heads           []Head  // over the head's way, beyond Reach too
	HoldBack        q.Maybe[HoldBack]
	SteepFrom       q.Maybe[q.Length] // head position from which a metre costs much more push than its weight's friction
	Hardest         Point             // of Profile: the greatest push in the cable
	Marches, Forces int               // of the work done: marches along the cable, sums of forces
}

// Minutes is a time in minutes.
type Minutes float64

// Stuck is where a cable stops short of the end.
type Stuck struct {
	Head  q.Length
	Locks q.Maybe[q.Length] // head position beyond which no push helps
	Seal  bool              // the seal alone pushes back as hard as the drive may push
}

// Loss is by how much the push falls from a section's beginning to its end, or to the head.
// Below 0 the air, or a slope down, gives more than it costs.
type Loss struct {
	Section  int // counted from 1, as in the route
	From, To q.Length
	Push     q.Force
}

// Point is one place along the cable.
type Point struct {
	At       q.Length
	Pressure q.Pressure // gauge
	Push     q.Force
}

// Head is the push required behind the seal for one position of the head, unknown from where
// the cable locks on, and what is available.
type Head struct {
	At        q.Length
	Required  q.Maybe[q.Force]
	Available q.Force
}

// HoldBack is that the air pulls harder than the cable needs: the drive must hold it back.
type HoldBack struct {
	At    q.Length // where it is strongest
	Force q.Force
}

// headNodes is how many head positions are looked at along a route, and mostJoints up to how
// many joints of sections besides.
const headNodes, mostJoints = 24, 60

// steep is how many times the friction of its own weight a metre of cable may cost at the
// drive before the crew is warned.
const steep = 5

// Find works out the reach of a job. Its errors are those of [Job.Check].
func Find(j Job) (Result, error) {
	if err := j.Check(); err != nil {
		return Result{}, err
	}
	b := newBalance(j)
	at, all := b.reach(b.available)
	r := Result{ReachesEnd: all, Reach: q.Length(at), End: j.Route.Length()}
	b.atReach(&r, at)
	b.care = rough
	b.stuck(&r)
	b.overHeads(&r)
	b.steepness(&r)
	further, _ := b.reachFrom(at, b.compensated)
	r.Compensated = q.Length(further)
	seconds, speed := b.time(at)
	r.Time, r.SpeedAtReach = Minutes(seconds/60), q.Speed(speed)
	r.Marches, r.Forces = b.scratch.marches, b.scratch.forces
	return r, nil
}

// reachFrom is the reach of more push than was available up to a place.
func (b *balance) reachFrom(from float64, allowed func(stream) float64) (at float64, all bool) {
	if at, found := b.first(from, b.pipe.length, allowed); found {
		return at, false
	}
	return b.pipe.length, true
}

// atReach fills in what holds with the head at its reach.
func (b *balance) atReach(r *Result, head float64) {
	run := b.run(head, 0)
	s := run.air
	push := run.march(head, head, func(x, push float64) {
		r.Profile = append(r.Profile, Point{q.Length(x), b.gauge(s.pressure(x)), q.Force(push)})
	})
	slices.Reverse(r.Profile)
	for i, p := range r.Profile {
		if i == 0 || p.Push > r.Hardest.Push {
			r.Hardest = p
		}
	}
	r.PushAtInlet, r.Entry = q.Force(push), q.Force(b.entry(s))
	r.Drive, r.Available = r.PushAtInlet+r.Entry, q.Force(b.available(s))
	r.Inlet, r.FreeAir, r.Choked = b.gauge(s.inlet), s.freeAir(), s.choked
	empty := b.pipe.flow(b.inlet, b.most, 0)
	r.FreeAirEmpty = b.pipe.flow(b.inlet, math.Inf(1), 0).freeAir()
	r.AirShort = empty.short || s.short
	reynolds := 4 * s.mass / (math.Pi * (b.pipe.bore + b.pipe.cable) * viscosity(b.pipe.kelvin))
	r.UncertainFlow = reynolds > laminar && reynolds < turbulent
	for _, p := range b.pieces {
		if p.from >= head {
			break
		}
		to := math.Min(p.to, head)
		lost := pushAt(r.Profile, p.from) - pushAt(r.Profile, to)
		r.Sections = append(r.Sections, Loss{p.section + 1, q.Length(p.from), q.Length(to), q.Force(lost)})
	}
}

// pushAt is the push at a place that a march has told of: the joints, and the head.
func pushAt(profile []Point, x float64) float64 {
	i, _ := slices.BinarySearchFunc(profile, x, func(p Point, x float64) int {
		switch {
		case float64(p.At) < x:
			return -1
		case float64(p.At) > x:
			return 1
		}
		return 0
	})
	return float64(profile[min(i, len(profile)-1)].Push)
}

// overHeads fills in the push required over the head's way.
func (b *balance) overHeads(r *Result) {
	heads := []float64{0, float64(r.Reach)}
	for i := 1; i <= headNodes; i++ {
		heads = append(heads, b.pipe.length*float64(i)/headNodes)
	}
	if len(b.pieces) <= mostJoints {
		for _, p := range b.pieces {
			heads = append(heads, p.to)
		}
	}
	locks := math.Inf(1)
	if at, known := r.Stuck.Or(Stuck{}).Locks.Get(); known {
		locks = float64(at)
	}
	slices.Sort(heads)
	for _, head := range slices.Compact(heads) {
		run := b.run(head, 0)
		h := Head{At: q.Length(head), Available: q.Force(b.available(run.air))}
		push := math.Inf(1)
		if head < locks {
			push = run.march(head, head, nil)
		}
		h.Required = finite(push)
		if back := q.Force(-push - b.entry(run.air)); back > r.HoldBack.Or(HoldBack{}).Force && h.At <= r.Reach {
			r.HoldBack = q.Known(HoldBack{h.At, back})
		}
		r.Heads = append(r.Heads, h)
	}
}

func finite(push float64) q.Maybe[q.Force] {
	if math.IsInf(push, 0) || math.IsNaN(push) {
		return q.Maybe[q.Force]{}
	}
	return q.Known(q.Force(push))
}

// stuck fills in where the cable stops.
func (b *balance) stuck(r *Result) {
	if r.ReachesEnd {
		return
	}
	s := Stuck{Head: r.Reach, Seal: r.Available <= 0 && r.Reach < 1}
	if at, found := b.lock(float64(r.Reach)); found {
		s.Locks = q.Known(q.Length(at))
	}
	r.Stuck = q.Known(s)
}

// steepness finds from where on the push required climbs steeply up to the reach.
func (b *balance) steepness(r *Result) {
	limit := steep * b.mu * b.weight
	end := float64(r.Reach)
	apart := math.Max(1, end/100)
	climbs := func(head float64) bool {
		far, _ := b.required(head)
		near, _ := b.required(head - apart)
		return !(far-near <= limit*apart)
	}
	if end < 2*apart || !climbs(end) {
		return
	}
	low, high := apart, end
	for high-low > apart {
		if middle := (low + high) / 2; climbs(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	r.SteepFrom = q.Known(q.Length(high))
}
