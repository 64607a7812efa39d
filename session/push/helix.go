package push

import (
	"cmp"
	"fmt"
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Helix is the shape of a cable that push has coiled against the wall of a duct.
type Helix struct {
	Pitch      q.Length
	BendRadius q.Length
	Moment     float64    // bending moment, N·m: it does not depend on the stiffness
	Contact    q.LineLoad // with which the helix presses on the wall, weight left out
	Slope      q.Angle    // between cable and duct
	Shortening float64    // part of its length that the cable gains in the duct
}

// Helix returns the shape that a push gives, once the cable is coiled.
//
//	p = 2π√(2EI/F)   R = 2EI/(r·F)   M = F·r/2
//	q = r·F²/(4EI)   tan α = 2πr/p   ε = r²F/(4EI)
//
// push (F) is in N, EI the bending stiffness in N·m², r the radial clearance in m; p is
// the pitch, R the bend radius, M the moment, q the contact, α the slope and ε the
// shortening. It holds while the push rises, at pushes where weight no longer matters,
// and for small slopes: at 23° the real bend radius is an eighth smaller, and
// [Column.LoadAtRadius] is the exact form.
//
// Helix returns an error for a push out of range or above [Column.CollapseLoad].
//
// Source: Lubinski, Althouse & Logan, JPT June 1962, 655–670, for p and M; Mitchell,
// SPE Drilling Engineering December 1986, 457–465, for q; ε derived here.
func (c Column) Helix(push q.Force) (Helix, error) {
	if err := appliedRange.Check(push); err != nil {
		return Helix{}, err
	}
	most := cable.Range[q.Force]{Of: "push", Unit: "N", Low: 0, High: c.CollapseLoad()}
	if err := most.Check(push); err != nil {
		return Helix{}, fmt.Errorf("%w, where the helix collapses", err)
	}
	ei, r, f := c.rigidity(), c.clearance, float64(push)
	pitch := 2 * math.Pi * math.Sqrt(2*ei/f)
	return Helix{
		Pitch:      q.Length(pitch),
		BendRadius: q.Length(2 * ei / (r * f)),
		Moment:     f * r / 2,
		Contact:    q.LineLoad(r * f * f / (4 * ei)),
		Slope:      q.Angle(math.Atan(2 * math.Pi * r / pitch)),
		Shortening: r * r * f / (4 * ei),
	}, nil
}

// Slack returns the length of cable that a helix stores in a duct. The belts move
// that far before the cable is bottomed, which is not slip: it is what the
// allowance line is for.
//
//	s = r²·F·L/(4EI)
//
// push (F) is in N, length (L) that of the duct in m, r the radial clearance in m, EI the
// bending stiffness in N·m². It holds as [Column.Helix] does and leaves friction out.
//
// Slack returns an error for figures out of range and a push at which the helix
// collapses; near that the real slack is up to twice as much.
//
// Source: derived here from the helix of Lubinski, Althouse & Logan 1962.
func (c Column) Slack(push q.Force, length q.Length) (q.Length, error) {
	h, err := c.Helix(push)
	if err := cmp.Or(err, lengthRange.Check(length)); err != nil {
		return 0, err
	}
	return q.Length(h.Shortening) * length, nil
}
