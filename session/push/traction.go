package push

import (
	"cmp"
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// SlipPush returns the push at which two belts slip on the cable.
//
//	F = 2·µ·N
//
// mu (µ) is the friction coefficient of belt on jacket, clamp (N) the force in N that
// presses the two belts together. It holds for dry friction, and µ must be measured:
// no trustworthy value is published, and it falls as the jacket warms, so that
// slipping feeds itself.
//
// SlipPush returns an error for figures out of range.
//
// Source: Coulomb friction on two faces.
func SlipPush(mu float64, clamp q.Force) (q.Force, error) {
	if err := cmp.Or(checkFriction(mu), squeezeRange.Check(clamp)); err != nil {
		return 0, err
	}
	return q.Force(2 * mu * float64(clamp)), nil
}

// ClampFor returns the clamp force that holds a push without slip.
//
//	N = F/(2·µ)
//
// The symbols are those of [SlipPush].
//
// ClampFor returns an error for figures out of range.
//
// Source: that of [SlipPush].
func ClampFor(push q.Force, mu float64) (q.Force, error) {
	if err := cmp.Or(checkFriction(mu), forceRange.Check(push)); err != nil {
		return 0, err
	}
	return q.Force(float64(push) / (2 * mu)), nil
}

// ClampPerGrip returns the clamp force that a cylinder gains per grip pressure.
//
//	c = π·d²/4
//
// bore (d) is the inner diameter of the cylinder in m. It holds for a cylinder that
// presses straight on the belts; levers multiply it and springs take from it.
//
// ClampPerGrip returns an error for a bore out of range.
//
// Source: pressure times area.
func ClampPerGrip(bore q.Length) (q.ForcePerPressure, error) {
	if err := boreRange.Check(bore); err != nil {
		return 0, err
	}
	return q.ForcePerPressure(math.Pi * float64(bore*bore) / 4), nil
}

// Impact returns the push of the first wave when a moving cable meets a plug.
//
//	F = v·√(EA·m′)
//
// speed (v) is in m/s, axial (EA) the axial stiffness in N, mass (m′) per length in
// kg/m. It comes on top of the steady push and lasts until the wave is back from the
// drive. It holds for a straight cable with a square end on a rigid plug: an upper
// bound, since a coiled cable is many times softer.
//
// Impact returns an error for figures out of range.
//
// Source: longitudinal impact of bars, Timoshenko & Goodier, Theory of Elasticity
// (from memory); Hudson & Housner, problem 3.38, has the same result.
func Impact(speed q.Speed, axial q.Force, mass q.LinearDensity) (q.Force, error) {
	if err := cmp.Or(speedRange.Check(speed), axialRange.Check(axial), cable.MassRange.Check(mass)); err != nil {
		return 0, err
	}
	return q.Force(float64(speed) * math.Sqrt(float64(axial)*float64(mass))), nil
}

// WaveSpeed returns how fast a push runs along the cable; it is there and back over
// a length L in 2L/c.
//
//	c = √(EA/m′)
//
// The symbols are those of [Impact].
//
// WaveSpeed returns an error for figures out of range.
//
// Source: that of [Impact].
func WaveSpeed(axial q.Force, mass q.LinearDensity) (q.Speed, error) {
	if err := cmp.Or(axialRange.Check(axial), cable.MassRange.Check(mass)); err != nil {
		return 0, err
	}
	return q.Speed(math.Sqrt(float64(axial) / float64(mass))), nil
}
