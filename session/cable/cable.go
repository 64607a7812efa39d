// Package cable works out what a fibre-optic cable is like as a beam: how stiff it
// is in bending, how that changes with temperature, how tightly it may bend and how
// hard it may be squeezed.
//
// The stiffness comes from a droop ([Droop]): a length of cable held level at one
// end hangs under its own weight, and the drop of its end tells the stiffness. The
// laboratory methods ([ThreePoint], [Cantilever], [UBend]) are there for data that
// were measured so. [StiffnessAt] carries a stiffness to another temperature.
//
// Every figure has a [Range]; a value outside it is an error that names the figure,
// the value and the range. Where there is a number but it deserves doubt, the
// doubt stands beside it as a warning in the crew's words. No result is ever NaN or
// infinite.
package cable

import q "brinkmark/session/quantity"

// standardGravity is exact by definition.
//
// Source: NIST Special Publication 811 (2008), appendix B.8.
const standardGravity = 9.80665 // m/s²

// Weight returns the weight per length of a cable.
//
//	w = m′·g
//
// mass (m′) is the mass per length in kg/m, g the standard gravity 9.80665 m/s².
//
// Weight returns an error for a mass out of [MassRange].
//
// Source: NIST Special Publication 811 (2008), appendix B.8, for g.
func Weight(mass q.LinearDensity) (q.LineLoad, error) {
	if err := MassRange.Check(mass); err != nil {
		return 0, err
	}
	return q.LineLoad(float64(mass) * standardGravity), nil
}
