package cable

import (
	"cmp"
	"errors"
	"math"
)

// This file solves the heavy elastica: a cable of length L, level at its clamp,
// hanging under its weight w, with a natural curvature 1/R₀ from the reel.
//
//	EI·θ″ = −w(L − s)·cos θ,  θ(0) = 0,  θ′(L) = 1/R₀
//
// s runs from the clamp, θ is the slope below the horizontal. Lengths are counted
// in L, so that only the load κ = wL³/EI and the set ρ = L/R₀ remain.
//
// Source: Bickley 1934, Phil. Mag. 17, 603 (from memory); Rohde 1953, Q. Appl. Math.
// 11, treats the uniformly loaded cantilever.

// hanging is one solution of the equation, integrated from the tip to the clamp.
type hanging struct {
	tip, root   float64 // slope at the tip, which was tried, and at the clamp, rad
	gain        float64 // change of root with tip
	stable      bool    // no nearby shape has less energy
	drop, reach float64 // of the tip, in L
}

// steps of the integration: the drop is then right to 1e-7.
const steps = 64

// hang integrates from a tip at a given slope. t is the distance from the tip.
//
//	θ″ = −κ·t·cos θ,  η″ = κ·t·sin θ·η,  η(0) = 1,  η′(0) = 0
//
// η is the change of θ with the tip's slope. By Jacobi's condition the shape is
// stable when η has no zero, which also singles out the branch that a cable
// reaches when its weight is put on little by little.
func hang(load, set, tip float64) hanging {
	const h = 1.0 / steps
	y := state{tip, -set, 1, 0, 0, 0}
	least := 1.0
	for i := range steps {
		t := float64(i) * h
		k1 := y.slope(load, t)
		k2 := y.plus(k1, h/2).slope(load, t+h/2)
		k3 := y.plus(k2, h/2).slope(load, t+h/2)
		k4 := y.plus(k3, h).slope(load, t+h)
		for j := range y {
			y[j] += h / 6 * (k1[j] + 2*k2[j] + 2*k3[j] + k4[j])
		}
		least = math.Min(least, y[2])
	}
	return hanging{tip: tip, root: y[0], gain: y[2], stable: least > 0, drop: y[4], reach: y[5]}
}

// state is θ, θ′, η, η′, drop and reach.
type state [6]float64

func (y state) slope(load, t float64) state {
	sin, cos := math.Sincos(y[0])
	return state{y[1], -load * t * cos, y[3], load * t * sin * y[2], sin, cos}
}

func (y state) plus(k state, h float64) state {
	for j := range y {
		y[j] += h * k[j]
	}
	return y
}

var errNoShape = errors.New("no steady shape found")

// settle finds the shape whose clamp is level, by Newton's method on the tip's
// slope. Without set the start, a tip that hangs straight down, lies on the side
// from which the method converges always, because root is convex in tip there.
func settle(load, set float64) (hanging, error) {
	const most = 60
	tip := math.Pi/2 + set
	if load < 6 { // the small-slope solution is nearer
		tip = load/6 + set
	}
	for range most {
		shape := hang(load, set, tip)
		if !shape.stable || math.IsNaN(shape.root) {
			return hanging{}, errNoShape
		}
		step := shape.root / shape.gain
		if math.Abs(step) < 1e-10 {
			return shape, nil
		}
		tip -= clamp(step, 1)
	}
	return hanging{}, errNoShape
}

// solution is what the drops say, with how surely.
type solution struct {
	load, set float64
	perDrop   float64 // greatest relative change of load when every drop changes by 1 L
}

// solveOne finds the load that gives a drop, both in L, without set. It starts from
// the small-drop formula, which lies below, and the drop is concave in the load: so
// Newton's method climbs to the answer and never past it.
func solveOne(drop float64) (solution, error) {
	const most, nudge = 60, 1e-5
	load := 8 * drop
	for range most {
		here, err1 := settle(load, 0)
		there, err2 := settle(load*(1+nudge), 0)
		if err := cmp.Or(err1, err2); err != nil {
			return solution{}, err
		}
		perLoad := (there.drop - here.drop) / nudge // change of drop with ln load
		step := (drop - here.drop) / perLoad
		if math.Abs(step) < 1e-9 {
			return solution{load, 0, 1 / perLoad}, nil
		}
		load *= 1 + clamp(step, 1)
	}
	return solution{}, errNoShape
}

// solveTwo finds the load and the set that give two drops, the set down and then
// up, by Newton's method from the small-drop formulas.
func solveTwo(down, up float64) (solution, error) {
	const most = 60
	s := solution{load: 4 * (down + up), set: down - up}
	for range most {
		j, err := newTwoSided(s.load, s.set)
		if err != nil {
			return solution{}, err
		}
		dLoad, dSet := j.steps(down-j.down, up-j.up)
		if math.Abs(dLoad)+math.Abs(dSet) < 1e-9 {
			s.perDrop = j.loadPerDrop()
			return s, nil
		}
		s.load *= 1 + clamp(dLoad, 0.5)
		s.set += clamp(dSet, 0.3)
	}
	return solution{}, errNoShape
}

// twoSided is the drops at a load and set, and their changes with ln load and set.
type twoSided struct {
	down, up                                 float64
	downByLoad, downBySet, upByLoad, upBySet float64
}

func newTwoSided(load, set float64) (twoSided, error) {
	const nudge = 1e-5
	var failed error
	drop := func(load, set float64) float64 {
		shape, err := settle(load, set)
		failed = cmp.Or(failed, err)
		return shape.drop
	}
	j := twoSided{down: drop(load, set), up: drop(load, -set)}
	more := load * (1 + nudge)
	j.downByLoad = (drop(more, set) - j.down) / nudge
	j.upByLoad = (drop(more, -set) - j.up) / nudge
	j.downBySet = (drop(load, set+nudge) - j.down) / nudge
	j.upBySet = (drop(load, -set-nudge) - j.up) / nudge
	if !(math.Abs(j.determinant()) > 1e-9) {
		failed = cmp.Or(failed, errNoShape)
	}
	return j, failed
}

func (j twoSided) determinant() float64 { return j.downByLoad*j.upBySet - j.downBySet*j.upByLoad }

// steps solves the two linear equations for the changes of ln load and set.
func (j twoSided) steps(down, up float64) (dLoad, dSet float64) {
	det := j.determinant()
	return (down*j.upBySet - up*j.downBySet) / det, (up*j.downByLoad - down*j.upByLoad) / det
}

func (j twoSided) loadPerDrop() float64 {
	return (math.Abs(j.upBySet) + math.Abs(j.downBySet)) / math.Abs(j.determinant())
}

func clamp(x, most float64) float64 { return math.Max(-most, math.Min(most, x)) }
