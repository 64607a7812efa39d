package reach

import "math"

// crawl is the speed under which nobody goes on pushing: 1 m/min.
const crawl = 1.0 / 60 // m/s

// speedNodes is how finely the slow part of a run is divided.
const speedNodes = 16

// fastest returns the greatest speed of the cable, up to the drive's, at which the push
// required with the head at a place is available. It is 0 where even a cable at rest needs more.
//
// Source: derived here; see [run.help] for the drag on a moving cable.
func (b *balance) fastest(head float64) float64 {
	still := b.run(head, 0)
	available := b.available(still.air)
	over := func(speed float64) float64 {
		return b.with(still.air, speed).march(head, head, nil) - available
	}
	if over(b.speed) <= 0 {
		return b.speed
	}
	return rootOf(over, bracket{0, b.speed, 2e-3 * b.speed})
}

// time returns how long the head takes to a place, and its speed there. The time ends where
// the speed falls below a crawl of 1 m/min: shortly before a cable sticks it creeps for ever.
//
//	t = ∫ ds/v(s)
//
// Source: derived here.
func (b *balance) time(end float64) (seconds, speed float64) {
	slow, found := b.firstAt(b.speed, end)
	if !found {
		return end / b.speed, b.speed
	}
	seconds, speed = slow/b.speed, b.speed
	at := slow
	for i := 1; i <= speedNodes; i++ {
		rest := 1 - float64(i)/speedNodes // nodes crowd toward the end, where the speed falls
		next := end - (end-slow)*rest*rest
		v := b.fastest(next)
		if v < crawl {
			return seconds, v
		}
		// between nodes the speed runs straight, so the time is the logarithm of its ratio
		seconds += (next - at) / logMean(speed, v)
		at, speed = next, v
	}
	return seconds, speed
}

func logMean(a, b float64) float64 {
	if math.Abs(a-b) < 1e-9*a {
		return a
	}
	return (a - b) / math.Log(a/b)
}

// firstAt returns the first head position up to an end at which a speed cannot be held.
func (b *balance) firstAt(speed, end float64) (at float64, found bool) {
	moving := *b
	moving.velocity = speed
	at, found = moving.first(0, end, moving.available)
	b.scratch = moving.scratch
	return at, found
}
