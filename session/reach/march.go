package reach

import "math"

const (
	lockPush  = 1e5  // N; no drive gives more
	leastStep = 1e-4 // m
)

// visitor is told of every point of a march, from the head to the drive.
type visitor func(x, push float64)

// march returns the push behind the seal with the head at a place, summed from the head,
// where it is 0, to the inlet. It is infinite when the cable locks.
//
// Where the head may be anywhere from some place on, march returns no less than the greatest
// push for any such head: see [balance.first].
func (r run) march(head, from float64, visit visitor) float64 {
	r.scratch.marches++
	push := 0.0
	tell := func(x float64) {
		if visit != nil {
			visit(x, push)
		}
	}
	tell(head)
	for i := len(r.pieces) - 1; i >= 0; i-- {
		p := r.pieces[i]
		if p.from >= head {
			continue
		}
		ends := r.bendEnds(p.curvature())
		if head >= p.to {
			push += ends
		}
		x := math.Min(p.to, head)
		if x > from && p.from < from { // the place divides this piece
			push = r.along(p, span{x, from, true}, push, visit)
			x = from
		}
		push = r.along(p, span{x, p.from, x > from}, push, visit) + ends
		if !(push <= lockPush) {
			return math.Inf(1)
		}
		tell(p.from)
	}
	return push
}

// span is a part of a piece, walked backward; in an open one the head may be anywhere.
type span struct {
	from, to float64
	open     bool
}

// along carries the push backward along a part of a piece: the pair of Dormand and Prince
// (1980), of fifth order with its error from the fourth, and steps to suit.
func (r run) along(p piece, s span, push float64, visit visitor) float64 {
	rate := func(x, push float64) float64 {
		if s.open && push <= 0 { // a head right here needs no push
			return math.Max(0, r.demand(x, 0, p))
		}
		return r.demand(x, push, p)
	}
	x, step := s.from, s.from-s.to
	least := r.care.step * math.Max(r.safe, r.weight)
	k1 := rate(x, push)
	for x > s.to {
		step = math.Min(step, x-s.to)
		next, k7, miss := dormandPrince(rate, point{x, push}, step, k1)
		allowed := least + r.care.step*math.Abs(push)
		if !(miss <= allowed) && step > leastStep {
			step = math.Max(leastStep, step*math.Max(0.1, 0.9*math.Pow(allowed/miss, 0.2)))
			if math.IsNaN(step) {
				step = leastStep
			}
			continue
		}
		x, push, k1 = x-step, next, k7
		if s.open && push < 0 {
			push, k1 = 0, rate(x, 0)
		}
		if x <= s.to {
			break
		}
		if !(push <= lockPush) {
			return math.Inf(1)
		}
		if visit != nil {
			visit(x, push)
		}
		step *= math.Min(5, 0.9*math.Pow(allowed/math.Max(miss, allowed*1e-6), 0.2))
	}
	return push
}

type point struct{ x, push float64 }

// dormandPrince makes one step of a length backward from a point where the rate is k1. It
// returns the push there, the rate there, and how far the push may be off.
//
// Source: Dormand & Prince, J. Comp. Appl. Math. 6 (1980) 19.
func dormandPrince(rate func(x, push float64) float64, at point, h, k1 float64) (push, k7, miss float64) {
	x, y := at.x, at.push
	k2 := rate(x-h/5, y+h*k1/5)
	k3 := rate(x-3*h/10, y+h*(3*k1/40+9*k2/40))
	k4 := rate(x-4*h/5, y+h*(44*k1/45-56*k2/15+32*k3/9))
	k5 := rate(x-8*h/9, y+h*(19372*k1/6561-25360*k2/2187+64448*k3/6561-212*k4/729))
	k6 := rate(x-h, y+h*(9017*k1/3168-355*k2/33+46732*k3/5247+49*k4/176-5103*k5/18656))
	push = y + h*(35*k1/384+500*k3/1113+125*k4/192-2187*k5/6784+11*k6/84)
	k7 = rate(x-h, push)
	miss = math.Abs(h * (71*k1/57600 - 71*k3/16695 + 71*k4/1920 - 17253*k5/339200 + 22*k6/525 - k7/40))
	return push, k7, miss
}
