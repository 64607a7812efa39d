// Package push works out what happens to a cable that a belt drive pushes into a
// duct: how it snakes and coils, at which push it bends too tightly or folds, how
// friction eats the push, how hard it meets a plug, and when the belts slip. It
// also reads a duct's bore from its size ([InnerDiameter]) and a rig's figures from
// pairs of readings ([FitThrust], [FitTraction]).
//
// A [Column] is a cable in a duct. Pushed harder and harder in a level duct it goes
// through these states, none of which but the last is a failure:
//
//   - straight along the bottom;
//   - snaking from side to side, from [SnakingOnset];
//   - coiled to a helix against the wall, wholly so at [HelixComplete];
//   - a helix so tight that the cable is bent more than it should be, and then
//     kinks or doubles back: [Column.LoadAtRadius].
//
// All this is a straight elastic cable without friction, so the loads are a guide
// and a trial on a stub is the proof. [Expect] puts them together for one job.
//
// Every figure has a range; a value outside it is an error that names the figure,
// the value and the range. A result that deserves doubt carries warnings in the
// crew's words. No result is ever NaN, infinite or a negative force.
package push

import (
	"fmt"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// The ranges are far wider than any job; they catch a slip of units and keep every
// result finite.
var (
	forceRange   = cable.Range[q.Force]{Of: "push", Unit: "N", Low: 0, High: 1e5}
	appliedRange = cable.Range[q.Force]{Of: "push", Unit: "N", Low: 0.01, High: 1e5}
	squeezeRange = cable.Range[q.Force]{Of: "clamp force", Unit: "N", Low: 0, High: 1e6}
	axialRange   = cable.Range[q.Force]{Of: "axial stiffness", Unit: "kN", Low: 1, High: 1e9}
	lengthRange  = cable.Range[q.Length]{Of: "length of the duct", Unit: "m", Low: 0.001, High: 1e5}
	gapRange     = cable.Range[q.Length]{Of: "gap", Unit: "mm", Low: 1e-3, High: 10}
	boreRange    = cable.Range[q.Length]{Of: "bore of the cylinder", Unit: "mm", Low: 1e-3, High: 1}
	weightRange  = cable.Range[q.LineLoad]{Of: "weight", Unit: "N/m", Low: 1e-4, High: 1e3}
	speedRange   = cable.Range[q.Speed]{Of: "speed", Unit: "m/min", Low: 0, High: 100}
	turnRange    = cable.Range[q.Angle]{Of: "angle of the bend", Unit: "deg", Low: -100, High: 100}
)

const (
	leastSpace q.Length = 0.1e-3 // by which the bore is wider than the cable
	mostBore   q.Length = 1
)

func checkFriction(mu float64) error {
	if !(mu >= 0.001 && mu <= 5) {
		return fmt.Errorf("friction coefficient: %v: must be from 0.001 to 5", mu)
	}
	return nil
}

// Column is a cable under push in a duct that holds it sideways. Make it with
// [NewColumn]; the zero Column is no column and its methods panic.
type Column struct {
	stiffness float64 // EI, N·m²
	clearance float64 // r, m
}

// NewColumn returns a cable of outer diameter od in a duct of inner diameter id.
// It returns an error for figures out of range and for a duct that is not wider than
// the cable by at least 0.1 mm.
func NewColumn(od, id q.Length, ei q.Stiffness) (Column, error) {
	if err := checkDiameters(od, id); err != nil {
		return Column{}, err
	}
	if err := cable.StiffnessRange.Check(ei); err != nil {
		return Column{}, err
	}
	return Column{float64(ei), float64(Clearance(od, id))}, nil
}

func checkDiameters(od, id q.Length) error {
	if err := cable.DiameterRange.Check(od); err != nil {
		return err
	}
	wider := cable.Range[q.Length]{Of: "inner diameter", Unit: "mm", Low: od + leastSpace, High: mostBore}
	if err := wider.Check(id); err != nil {
		return fmt.Errorf("%w, wider than the cable's %s", err, q.Text(od, "mm"))
	}
	return nil
}

// Clearance returns the radial clearance of a cable in a duct.
//
//	r = (ID − OD)/2
//
// od (OD) and id (ID) are the cable's outer and the duct's inner diameter in m. It is
// the distance the cable's axis can move from the duct's.
//
// Source: geometry.
func Clearance(od, id q.Length) q.Length { return (id - od) / 2 }

// rigidity is EI of a Column that was made.
func (c Column) rigidity() float64 {
	if c.clearance == 0 {
		panic("push: Column not made by NewColumn")
	}
	return c.stiffness
}

// givable passes a push that some drive could give.
func givable(push q.Force) (q.Force, error) {
	if err := forceRange.Check(push); err != nil {
		return 0, fmt.Errorf("%w, no drive gives more", err)
	}
	return push, nil
}
