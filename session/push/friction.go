package push

import (
	"cmp"
	"fmt"
	"math"

	q "brinkmark/session/quantity"
)

// LockUpError says that no push moves the cable: each newton added is eaten by the
// friction of the tighter helix it makes.
type LockUpError struct {
	Tip     q.Force  // the push wanted at the tip
	Length  q.Length // of the duct
	Longest q.Length // over which that push can be brought to the tip
}

// Error says how far the push would reach.
func (e *LockUpError) Error() string {
	return fmt.Sprintf("push at the tip: %s: %s of duct lock the cable up, it goes at most %s",
		q.Text(e.Tip, "N"), q.Text(e.Length, "m"), q.Text(e.Longest, "m"))
}

// Friction is that of a coiled cable in a level duct.
type Friction struct {
	Column      Column
	Weight      q.LineLoad // of the cable, w
	Coefficient float64    // between cable and duct, µ
}

func (f Friction) check() error {
	return cmp.Or(weightRange.Check(f.Weight), checkFriction(f.Coefficient))
}

// weightPush is the push at which the helix presses as hard as the weight.
func (f Friction) weightPush() float64 {
	return 2 * math.Sqrt(f.Column.rigidity()*float64(f.Weight)/f.Column.clearance)
}

// turn is µ·w·x/F_w, the part of a right angle that friction takes.
func (f Friction) turn(length q.Length) float64 {
	return f.Coefficient * float64(f.Weight) * float64(length) / f.weightPush()
}

// DrivePush returns the push that the drive must give for a push at the tip.
//
//	F = F_w·tan(atan(F_tip/F_w) + µ·w·x/F_w),  F_w = 2√(EI·w/r)
//
// tip (F_tip) is in N, length (x) that of the duct in m, weight (w) in N/m, EI the bending
// stiffness in N·m², r the radial clearance in m. It solves dF/dx = µ(w + r·F²/4EI), on
// the level and with the helix throughout, so at low pushes it is on the high side.
//
// DrivePush returns a [*LockUpError] where the bracket reaches a right angle and no
// push is enough, and an error for figures out of range or a push beyond any drive.
//
// Source: Wu & Juvkam-Wold 1993, SPE-25503, and Mitchell 1986, SPE Drilling
// Engineering, for the equation and lock-up; its integral is derived here.
func (f Friction) DrivePush(tip q.Force, length q.Length) (q.Force, error) {
	if err := cmp.Or(f.check(), forceRange.Check(tip), lengthRange.Check(length)); err != nil {
		return 0, err
	}
	longest, err := f.LockUpLength(tip)
	if err != nil {
		return 0, err
	}
	if length >= longest {
		return 0, &LockUpError{tip, length, longest}
	}
	fw := f.weightPush()
	return givable(q.Force(fw * math.Tan(math.Atan(float64(tip)/fw)+f.turn(length))))
}

// TipPush returns the push left at the tip when the drive gives a push.
//
//	F_tip = F_w·tan(atan(F/F_w) − µ·w·x/F_w)
//
// drive (F) is in N; the other symbols and the range are those of [Friction.DrivePush]. It is 0
// when friction eats all of the push.
//
// TipPush returns an error for figures out of range.
//
// Source: that of [Friction.DrivePush].
func (f Friction) TipPush(drive q.Force, length q.Length) (q.Force, error) {
	if err := cmp.Or(f.check(), forceRange.Check(drive), lengthRange.Check(length)); err != nil {
		return 0, err
	}
	fw := f.weightPush()
	angle := math.Atan(float64(drive)/fw) - f.turn(length)
	return q.Force(fw * math.Tan(math.Max(angle, 0))), nil
}

// TipCeiling returns the push at the tip that no push at the drive can exceed.
//
//	F_tip = 4EI/(µ·r·L)
//
// length (L) is that of the duct in m; the other symbols are those of [Friction.DrivePush].
// Weight is left out, which lowers it a little further.
//
// TipCeiling returns an error for figures out of range.
//
// Source: derived here, the limit of [Friction.TipPush] without weight.
func (f Friction) TipCeiling(length q.Length) (q.Force, error) {
	if err := cmp.Or(f.check(), lengthRange.Check(length)); err != nil {
		return 0, err
	}
	return q.Force(4 * f.Column.rigidity() / (f.Coefficient * f.Column.clearance * float64(length))), nil
}

// LockUpLength returns the length at which a cable locks up for a push at the tip.
//
//	x = F_w·(π/2 − atan(F_tip/F_w))/(µ·w)
//
// The symbols are those of [Friction.DrivePush].
//
// LockUpLength returns an error for figures out of range.
//
// Source: that of [Friction.DrivePush].
func (f Friction) LockUpLength(tip q.Force) (q.Length, error) {
	if err := cmp.Or(f.check(), forceRange.Check(tip)); err != nil {
		return 0, err
	}
	fw := f.weightPush()
	return q.Length(fw * math.Atan2(fw, float64(tip)) / (f.Coefficient * float64(f.Weight))), nil
}

// Capstan returns the push needed before a bend of the duct.
//
//	F = F₀·e^(µθ)
//
// after (F₀) is the push behind the bend in N, mu (µ) the friction coefficient, angle (θ)
// the angle turned, either way, in rad. It holds for a flexible cable; stiffness adds to it.
//
// Capstan returns an error for figures out of range, and for a bend that would need
// more than any drive gives.
//
// Source: the capstan equation, Euler 1769.
func Capstan(after q.Force, mu float64, angle q.Angle) (q.Force, error) {
	if err := cmp.Or(forceRange.Check(after), checkFriction(mu), turnRange.Check(angle)); err != nil {
		return 0, err
	}
	return givable(after * q.Force(math.Exp(mu*math.Abs(float64(angle)))))
}
