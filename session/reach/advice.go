package reach

import (
	"math"

	q "brinkmark/session/quantity"
)

// Help is what would carry the cable further. Each is worked out; what is not known here
// cannot help or was not asked.
type Help struct {
	NeededPush q.Maybe[q.Force] // least safe push that reaches the end, unknown when none does
	Friction   q.Maybe[float64] // greatest friction coefficient that reaches the end
	Pressure   q.Maybe[MoreAir] // unknown without a rating, or with none to spare
	OtherEnd   OtherEnd
	Second     q.Maybe[SecondDrive]
}

// MoreAir is what a higher inlet pressure gives, within the ratings.
type MoreAir struct {
	Limit      q.Pressure // the lowest rating
	Reach      q.Length   // at the limit
	ReachesEnd bool
	Needed     q.Maybe[q.Pressure] // least pressure that reaches the end
}

// OtherEnd is the same push and air at the far end, toward the inlet.
type OtherEnd struct {
	Reach      q.Length
	ReachesEnd bool
}

// SecondDrive is a drive along the route, with air, seal and push like the first's.
type SecondDrive struct {
	At         q.Length // from the inlet
	Reach      q.Length // of the cable's head in all
	ReachesEnd bool
	From, To   q.Length // where it may stand to reach the end
}

// Advise works out what would help a job. Its errors are those of [Job.Check] and
// [Ratings.Check].
func Advise(j Job, r Ratings) (Help, error) {
	if err := j.Check(); err != nil {
		return Help{}, err
	}
	if err := r.Check(); err != nil {
		return Help{}, err
	}
	b := newBalance(j)
	b.care = rough
	h := Help{NeededPush: finite(b.need())}
	h.Friction = slipperier(j)
	if low, known := r.Lowest(); known && low.Pressure > j.Air.Inlet {
		h.Pressure = q.Known(moreAir(j, low.Pressure))
	}
	other := j
	other.Route = j.Route.Reversed()
	at := likely(other)
	h.OtherEnd = OtherEnd{q.Length(at), at >= float64(j.Route.Length())}
	h.Second = secondDrive(j)
	return h, nil
}

// passes reports whether a job reaches its end.
func passes(j Job) bool { return likely(j) >= float64(j.Route.Length()) }

// leastPassing returns about the value nearest to bad at which a test passes, when it
// fails at bad and passes at good.
func leastPassing(bad, good float64, test func(float64) bool) float64 {
	for math.Abs(good-bad) > 2e-3*math.Abs(good) {
		if middle := (bad + good) / 2; test(middle) {
			good = middle
		} else {
			bad = middle
		}
	}
	return good
}

// slipperier finds the greatest friction at which a job that falls short reaches the end.
func slipperier(j Job) q.Maybe[float64] {
	test := func(mu float64) bool {
		k := j
		k.Friction = mu
		return passes(k)
	}
	const least = 0.01 // no lubricant does better
	if j.Friction <= least || test(j.Friction) || !test(least) {
		return q.Maybe[float64]{}
	}
	return q.Known(leastPassing(j.Friction, least, test))
}

// moreAir finds what the pressure up to a limit does. The reach need not rise with the
// pressure, since the seal pushes back harder; so the limit itself may be worse.
func moreAir(j Job, limit q.Pressure) MoreAir {
	limit = inRange(limit)
	with := func(p float64) Job {
		k := j
		k.Air.Inlet = q.Pressure(p)
		return k
	}
	m := MoreAir{Limit: limit}
	m.Reach = q.Length(likely(with(float64(limit))))
	m.ReachesEnd = m.Reach >= j.Route.Length()
	if m.ReachesEnd && !passes(j) {
		m.Needed = q.Known(q.Pressure(leastPassing(float64(j.Air.Inlet), float64(limit), func(p float64) bool { return passes(with(p)) })))
	}
	return m
}

// secondDrive finds where along the route another drive helps most: from the nearest place
// whose rest of the route it can do, to the furthest the first can reach. Between them is best.
func secondDrive(j Job) q.Maybe[SecondDrive] {
	end := float64(j.Route.Length())
	if passes(j) || end < 10 {
		return q.Maybe[SecondDrive]{}
	}
	parts := func(x float64) (first, second Job) {
		first, second = j, j
		first.Route, second.Route = j.Route.SplitAt(q.Length(x))
		return first, second
	}
	const margin = 1.0 // m, that both parts keep
	arrives := func(x float64) bool { first, _ := parts(x); return passes(first) }
	goesOn := func(x float64) bool { _, second := parts(x); return passes(second) }
	if !arrives(margin) {
		return q.Maybe[SecondDrive]{}
	}
	furthest := leastPassing(end-margin, margin, arrives)
	if !goesOn(furthest) {
		_, second := parts(furthest)
		return q.Known(SecondDrive{At: q.Length(furthest), Reach: q.Length(furthest + likely(second))})
	}
	nearest := margin
	if !goesOn(margin) {
		nearest = leastPassing(margin, furthest, goesOn)
	}
	best := (nearest + furthest) / 2
	if !arrives(best) || !goesOn(best) { // a route so uneven that the middle is worse
		best = furthest
	}
	return q.Known(SecondDrive{q.Length(best), q.Length(end), true, q.Length(nearest), q.Length(furthest)})
}
