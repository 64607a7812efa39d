package practice

import (
	"math"
	"math/rand/v2"

	q "brinkmark/session/quantity"
)

// source is the randomness of one seed and one use: 0 for the rig, then one for each
// push. A push is the same whatever was pushed before it.
func source(seed, use uint64) *rand.PCG { return rand.NewPCG(seed, use) }

// normal draws from nearly a standard normal distribution: the sum of twelve even
// draws, which is never beyond six. Only additions of exact fractions enter, so that
// every machine draws the same.
//
// Source: Knuth, The Art of Computer Programming 2, 3.4.1 (from memory).
func normal(from *rand.PCG) float64 {
	sum := 0.0
	for range 12 {
		sum += float64(from.Uint64()>>11) / (1 << 53)
	}
	return sum - 6
}

// factor draws what a median is multiplied by, with a standard deviation of its
// logarithm.
func factor(from *rand.PCG, sd float64) float64 {
	return rounded(math.Exp(sd * normal(from)))
}

// drawn is the rig of a seed: one like it, but not quite it.
func (r Rig) drawn(seed uint64) Rig {
	from := source(seed, 0)
	r.Cable.Soundness = min(rounded(r.Cable.Soundness*factor(from, r.Vary)), 1)
	hold := factor(from, r.Vary)
	r.Drive.TractionPer *= q.ForcePerPressure(hold)
	return r
}
