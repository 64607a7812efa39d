package cable

import (
	"cmp"
	"fmt"
	"math"

	q "brinkmark/session/quantity"
)

// Droop is a measurement: a straight cable held level at one end, its other end
// hanging free. Polyethylene creeps, so the drop is read the same time after letting
// go every time.
type Droop struct {
	Overhang q.Length          // from the clamp to the free end, along the cable
	Drop     q.Length          // of the free end below the clamp
	Turned   q.Maybe[q.Length] // the drop after turning the cable half round; negative when the end rises
	Mass     q.LinearDensity
}

// Bending is what a droop tells.
type Bending struct {
	Stiffness  q.Stiffness
	SetRadius  q.Maybe[q.Length] // natural radius the reel left; unknown without a second drop or when too large to tell
	ErrorPerMM float64           // part by which Stiffness is wrong, at worst, when every drop is misread by 1 mm
	Warnings   []string
}

// The drops, as parts of the overhang, that give a number, and those that give a good one.
const (
	leastDrop, mostDrop = 0.02, 0.80
	shyDrop, deepDrop   = 0.10, 0.50
	mostRise            = 0.60 // of a turned end
	strongSet           = 0.50 // overhang over set radius
)

const readable q.Length = 1e-3 // how finely a drop can be read

var overhangRange = Range[q.Length]{"overhang", "m", 0.05, 20}

// Solve returns the bending stiffness and, from two drops, the set of the cable.
//
//	EI = w·L³/κ
//
// w is the weight per length in N/m, L the overhang in m, and κ the load at which
// the exact shape of a heavy inextensible cable has the drop measured: the solution
// of EI·θ″ = −w(L − s)·cos θ with θ(0) = 0 and θ′(L) = 1/R₀. With one drop the set
// 1/R₀ is taken as 0. With two, κ and R₀ are found together, which a mean of the
// drops does not do: at a strong set the mean is 40 % out.
//
// Solve holds for drops from 2 % to 80 % of the overhang, within 0.01 %; it is best
// from 10 % to 50 %, and warns outside. For small drops EI = w·L⁴/(8·drop).
//
// Solve returns an error for figures out of range, for a drop longer than the
// overhang, and for two drops that no cable of one stiffness and one set could have.
//
// Source: the heavy elastica of Bickley 1934, Phil. Mag. 17, 603 (from memory),
// solved here; the set is derived here.
func (d Droop) Solve() (Bending, error) {
	weight, err := Weight(d.Mass)
	if err := cmp.Or(err, overhangRange.Check(d.Overhang)); err != nil {
		return Bending{}, err
	}
	s, warnings, err := d.solve()
	if err != nil {
		return Bending{}, err
	}
	length := float64(d.Overhang)
	stiffness, err := checked(float64(weight) * length * length * length / s.load)
	if err != nil {
		return Bending{}, err
	}
	b := Bending{
		Stiffness:  stiffness,
		ErrorPerMM: s.perDrop * 1e-3 / length,
		Warnings:   warnings,
	}
	if s.set != 0 {
		b.SetRadius = q.Known(q.Length(length / s.set))
	}
	return b, nil
}

func (d Droop) solve() (solution, []string, error) {
	turned, isTurned := d.Turned.Get()
	if !isTurned {
		if err := d.check("drop", d.Drop, leastDrop); err != nil {
			return solution{}, nil, err
		}
		drop := float64(d.Drop / d.Overhang)
		s, err := solveOne(drop)
		return s, append(depthWarnings(drop, drop), "the set from the reel is not taken out: turn the cable half round and read the drop again"), err
	}
	middle := (d.Drop + turned) / 2
	err := cmp.Or(d.check("drop", d.Drop, -mostRise), d.check("drop turned", turned, -mostRise),
		d.check("mean of the two drops", middle, leastDrop))
	if err != nil {
		return solution{}, nil, err
	}
	return d.solveTurned(float64(turned / d.Overhang))
}

func (d Droop) solveTurned(turned float64) (solution, []string, error) {
	drop := float64(d.Drop / d.Overhang)
	down, up := math.Max(drop, turned), math.Min(drop, turned)
	s, err := solveTwo(down, up)
	if err != nil {
		return solution{}, nil, fmt.Errorf(
			"drop and drop turned: %s and %s: no cable of one stiffness and one set hangs so",
			q.Text(d.Drop, "mm"), q.Text(d.Turned.Or(0), "mm"))
	}
	warnings := depthWarnings((down+up)/2, down)
	if s.set > strongSet {
		warnings = append(warnings, "the set from the reel is strong: straighten the cable and measure a shorter overhang")
	}
	if (down-up)*float64(d.Overhang) < float64(readable) {
		s.set = 0
	}
	return s, warnings, nil
}

func (d Droop) check(of string, drop q.Length, least float64) error {
	r := Range[q.Length]{of, "mm", q.Length(least) * d.Overhang, mostDrop * d.Overhang}
	if err := r.Check(drop); err != nil {
		return fmt.Errorf("%w, %.0f %% to %.0f %% of the overhang", err, 100*least, 100*mostDrop)
	}
	return nil
}

func depthWarnings(middle, deepest float64) []string {
	switch {
	case middle < shyDrop:
		return []string{fmt.Sprintf("the drop is only %.0f %% of the overhang, so a misread millimetre counts for much: lengthen the overhang until it is 10 %% to 50 %%", 100*middle)}
	case deepest > deepDrop:
		return []string{fmt.Sprintf("the drop is %.0f %% of the overhang, where it tells little of the stiffness: shorten the overhang until it is 10 %% to 50 %%", 100*deepest)}
	}
	return nil
}
