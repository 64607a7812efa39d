package reach

import "math"

// care is how closely things are worked out: a head position in m, and the push of one step
// of a march as a part of itself and of the safe push.
type care struct{ head, step float64 }

// A span of a hair whose ends both fit is passed though its worst does not, for what is
// narrower is no peak; but only so often, since each costs time. After that the answer is the
// safe one, a little short.
const (
	hair       = 0.01 // m
	mostDoubts = 100
)

// The reach itself is worked out finely, and what only illustrates or compares it roughly. Near
// lock-up the error of a step grows a thousandfold on the way to the drive.
var (
	fine  = care{hair, 1e-8}
	rough = care{1, 3e-6}
)

// required returns the push behind the seal with the head at a place, infinite when the cable
// locks, and what was available.
func (b *balance) required(head float64) (push, available float64) {
	r := b.run(head, 0)
	return r.march(head, head, nil), b.available(r.air)
}

// first returns the first head position from one place to another at which more push is
// required than allowed, to within b.care, or false when there is none. allowed gives what
// a stream leaves the drive, and must fall, or stay, as the head goes on.
//
// A span is passed only when the worst of all its heads is, and otherwise halved and looked at
// from its near end: so a peak in mid-route is never missed, down to the width of a hair.
//
// Three facts let one march judge a whole span. The further the head, the more the cable
// throttles the air: what the seal takes rises, and a stream is known that helps no more than any
// of the span's, see [pipe.least]. Two marches never cross, because the push at a point settles all that follows. And
// a head that is right here adds nothing. So the march from the furthest head, with that stream, raised
// to 0 wherever it falls below within the span, lies above the march of every head in the span.
//
// Source: derived here; comparison of solutions of one differential equation of first order.
func (b *balance) first(from, to float64, allowed func(stream) float64) (at float64, found bool) {
	return b.firstBetween(b.pipe.flow(b.inlet, b.most, from), b.pipe.flow(b.inlet, b.most, to), allowed)
}

func (b *balance) firstBetween(near, far stream, allowed func(stream) float64) (at float64, found bool) {
	if b.with(b.pipe.least(near, far), b.velocity).march(far.head, near.head, nil) <= allowed(far) {
		return 0, false
	}
	if far.head-near.head <= b.care.head {
		if b.care.head <= hair && b.doubts < mostDoubts && b.fits(near, allowed) && b.fits(far, allowed) {
			b.doubts++
			return 0, false
		}
		return near.head, true
	}
	middle := b.pipe.flow(b.inlet, b.most, (near.head+far.head)/2)
	if at, found := b.firstBetween(near, middle, allowed); found {
		return at, true
	}
	return b.firstBetween(middle, far, allowed)
}

// fits reports whether the push required at a stream's head is allowed.
func (b *balance) fits(s stream, allowed func(stream) float64) bool {
	return b.with(s, b.velocity).march(s.head, s.head, nil) <= allowed(s)
}

// reach returns how far the head comes.
func (b *balance) reach(allowed func(stream) float64) (at float64, all bool) {
	b.doubts = 0
	at, found := b.first(0, b.pipe.length, allowed)
	if !found {
		return b.pipe.length, true
	}
	// where the push required rises without bound, the last digits of two marches can differ much
	for back := b.care.head; at > 0; back *= 2 {
		r := b.run(at, b.velocity)
		if limit := allowed(r.air); r.march(at, at, nil) <= limit+1e-4*math.Abs(limit) {
			break
		}
		at = math.Max(0, at-back)
	}
	return at, false
}

// lock returns the first head position from a place on that no push whatever passes.
func (b *balance) lock(from float64) (at float64, found bool) {
	return b.first(from, b.pipe.length, func(stream) float64 { return lockPush })
}

// need returns the least push at the drive that carries the head to the end, infinite when
// none does. It may be 0: then the air alone does.
func (b *balance) need() float64 {
	passes := func(drive float64) bool {
		_, found := b.first(0, b.pipe.length, func(s stream) float64 { return drive - b.entry(s) })
		return !found
	}
	low, high := 0.0, 64.0
	if passes(low) {
		return 0
	}
	for !passes(high) {
		if low, high = high, 4*high; high > lockPush {
			return math.Inf(1)
		}
	}
	for high-low > 1e-3*high {
		if middle := (low + high) / 2; passes(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}
