package push

import (
	"cmp"
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// The pushes at which a long cable on the bottom of a level duct changes shape, as
// multiples of √(EI·w/r). Between HelixAverage and HelixCertain a snake or a helix
// may hold. Friction raises them all.
const (
	// SnakingOnset is where the straight cable begins to snake.
	//
	// Source: Paslay & Bogy 1964, J. Appl. Mech. 31 (from memory); Dawson & Paslay,
	// JPT October 1984, 1734–1738.
	SnakingOnset = 2.0

	// HelixAverage is where a helix has the same energy at constant push: the
	// average push while the snake turns into a helix.
	//
	// Source: Chen, Lin & Cheatham, JPT February 1990, 140–141.
	HelixAverage = 2 * math.Sqrt2

	// HelixComplete is where the helix is complete, when the push rises evenly from
	// SnakingOnset with HelixAverage as its mean.
	//
	// Source: Wu & Juvkam-Wold 1993, SPE-25503, whose abstract gives 1.8 times the
	// snaking load and 1.3 times HelixAverage.
	HelixComplete = 2 * (2*math.Sqrt2 - 1)

	// HelixCertain is where a snake is no longer possible.
	//
	// Source: Mitchell 1997, through course notes; Miska et al. 1996 (from memory).
	HelixCertain = 4 * math.Sqrt2
)

// LongDuctLoad returns the push at which a cable in a long level duct changes shape.
//
//	F = k·√(EI·w/r)
//
// k is [SnakingOnset] or one of its fellows, EI the bending stiffness in N·m², weight
// (w) the weight per length in N/m, r the radial clearance in m. It holds for a duct
// longer than [Column.LongLength]; in a shorter one see [Column.StubSnaking]. A duct
// at an angle to the vertical counts with w·sin of that angle.
//
// LongDuctLoad returns an error for a weight out of range. It panics for a k that is
// not positive.
//
// Source: that of the constant used.
func (c Column) LongDuctLoad(k float64, weight q.LineLoad) (q.Force, error) {
	if !(k > 0 && k <= 10) {
		panic("push: k must be one of the constants of LongDuctLoad")
	}
	if err := weightRange.Check(weight); err != nil {
		return 0, err
	}
	return q.Force(k * math.Sqrt(c.rigidity()*float64(weight)/c.clearance)), nil
}

// LongLength returns the length from which a duct counts as long.
//
//	L = 37.2·(EI·r/w)^¼
//
// EI is the bending stiffness in N·m², r the radial clearance in m, weight (w) in N/m.
// A stub of a few metres is nearly always shorter.
//
// LongLength returns an error for a weight out of range.
//
// Source: Wicks, Wardle & Pafitis 2008, Int. J. Mech. Sci. 50 (read through notes).
func (c Column) LongLength(weight q.LineLoad) (q.Length, error) {
	return c.quarterPower(37.2, 1, weight)
}

// LiftOff returns the length over which a cable held at its end clears the duct's
// bottom before it lies on it.
//
//	L = (72·EI·r/w)^¼
//
// The symbols are those of [Column.LongLength].
//
// LiftOff returns an error for a weight out of range.
//
// Source: derived here from beam theory.
func (c Column) LiftOff(weight q.LineLoad) (q.Length, error) {
	return c.quarterPower(1, 72, weight)
}

func (c Column) quarterPower(outside, inside float64, weight q.LineLoad) (q.Length, error) {
	if err := weightRange.Check(weight); err != nil {
		return 0, err
	}
	return q.Length(outside * math.Sqrt(math.Sqrt(inside*c.rigidity()*c.clearance/float64(weight)))), nil
}

// StubLoad is the push at which a cable in a duct of a given length changes shape.
type StubLoad struct {
	Push  q.Force
	Waves int  // half-waves of a snake, turns of a helix
	Short bool // the duct is shorter than LongLength: how its ends hold the cable matters, which is not well understood
}

// StubSnaking returns the push at which a cable in a duct of a given length snakes.
//
//	F = n²π²EI/L² + w·L²/(n²π²r), least over whole n ≥ 1
//
// n is the number of half-waves, EI the bending stiffness in N·m², length (L) and
// the radial clearance r in m, weight (w) in N/m. It holds for ends that are free to
// turn; in a long duct it is the load of [SnakingOnset].
//
// StubSnaking returns an error for figures out of range.
//
// Source: Dawson & Paslay, JPT October 1984, 1734–1738.
func (c Column) StubSnaking(length q.Length, weight q.LineLoad) (StubLoad, error) {
	return c.stubLoad(length, weight, 1, 1)
}

// StubHelix returns the push at which a cable in a duct of a given length coils.
//
//	F = 4m²π²EI/L² + w·L²/(2m²π²r), least over whole m ≥ 1
//
// m is the number of turns; the other symbols are those of [Column.StubSnaking]. In
// a long duct it is the load of [HelixAverage].
//
// StubHelix returns an error for figures out of range.
//
// Source: Chen, Lin & Cheatham, JPT February 1990, 140–141.
func (c Column) StubHelix(length q.Length, weight q.LineLoad) (StubLoad, error) {
	return c.stubLoad(length, weight, 4, 0.5)
}

// stubLoad is least near n² = √(b/a), where n²·a + b/n² has its minimum.
func (c Column) stubLoad(length q.Length, weight q.LineLoad, bend, lift float64) (StubLoad, error) {
	long, err := c.LongLength(weight)
	if err := cmp.Or(err, lengthRange.Check(length)); err != nil {
		return StubLoad{}, err
	}
	waveLength := math.Pow(float64(length)/math.Pi, 2)
	a := bend * c.rigidity() / waveLength
	b := lift * float64(weight) * waveLength / c.clearance
	load := func(n float64) float64 { return n*n*a + b/(n*n) }
	n := math.Max(1, math.Floor(math.Sqrt(math.Sqrt(b/a))))
	if load(n+1) < load(n) {
		n++
	}
	return StubLoad{q.Force(load(n)), int(n), length < long}, nil
}

// EndHold is how the ends of a free length are held.
type EndHold int

// The ways of holding the ends. A belt drive holds the cable's direction, a loose
// duct mouth does not: FixedPinned is the one to use when nothing is known.
const (
	PinnedPinned EndHold = iota + 1
	FixedPinned
	FixedFixed
)

// eulerFactor is F·L²/EI: π², the square of the first root of tan x = x, and 4π².
func (h EndHold) eulerFactor() float64 {
	switch h {
	case PinnedPinned:
		return math.Pi * math.Pi
	case FixedPinned:
		return 4.493409457909064 * 4.493409457909064
	case FixedFixed:
		return 4 * math.Pi * math.Pi
	}
	panic("push: no such EndHold")
}

// GapLoad returns the push at which the cable buckles in the open gap between the
// drive and the duct's mouth.
//
//	F = π²·EI/(K·L)²
//
// EI is the bending stiffness in N·m², gap (L) in m; K is 1 for [PinnedPinned], 0.69916
// for [FixedPinned], 0.5 for [FixedFixed]. It holds for a gap of many diameters and is
// an upper bound for a shorter one.
//
// GapLoad returns an error for figures out of range and panics for no such end hold.
//
// Source: Euler's column, as in Timoshenko & Gere, Theory of Elastic Stability.
func GapLoad(ei q.Stiffness, gap q.Length, ends EndHold) (q.Force, error) {
	if err := cmp.Or(cable.StiffnessRange.Check(ei), gapRange.Check(gap)); err != nil {
		return 0, err
	}
	l := float64(gap)
	return q.Force(ends.eulerFactor() * float64(ei) / (l * l)), nil
}
