package cable

import (
	"cmp"

	q "brinkmark/session/quantity"
)

// BendRule is a usual least bend radius, counted in outer diameters. Beware: some
// standards give the diameter of the bend, which is twice its radius.
type BendRule struct {
	Name     string
	Loaded   float64 // while the cable is under load
	Unloaded float64 // afterwards, for good
	Source   string
}

// OutsidePlant is the rule for cable laid outdoors, which the cable's own data
// sheet overrides.
//
// Source: ICEA S-87-640, which gives diameters of 40 and 20 outer diameters (its
// scope was read); a trade association gives the same as radii.
var OutsidePlant = BendRule{"outside plant", 20, 10, "ICEA S-87-640, diameters of 40 and 20 outer diameters"}

// Indoor is the rule for cable laid in buildings.
//
// Source: TIA-568, read second-hand.
var Indoor = BendRule{"indoor", 15, 10, "TIA-568, read second-hand"}

// Radii returns the least bend radii of a cable under load and without.
//
//	R = n·OD
//
// od (OD) is the outer diameter in m, n the rule's number.
//
// Radii returns an error for a diameter out of [DiameterRange].
//
// Source: that of the rule.
func (r BendRule) Radii(od q.Length) (loaded, unloaded q.Length, err error) {
	if err := DiameterRange.Check(od); err != nil {
		return 0, 0, err
	}
	return q.Length(r.Loaded) * od, q.Length(r.Unloaded) * od, nil
}

// UsualKink is the bend radius, in outer diameters, at which a cable is taken to
// kink when nobody has measured it: the jacket is then strained 10 %, near where
// polyethylene yields. It is a guess.
//
// Source: derived here; the yield strain is from memory. No published kink radius
// of polyethylene jackets was found.
const UsualKink = 5

var (
	crushRange = Range[q.LineLoad]{"crush limit", "N/100 mm", 10, 1e6}
	beltRange  = Range[q.Length]{"belt length", "m", 0.01, 5}
	clampRange = Range[q.ForcePerPressure]{"clamp force per grip pressure", "N/kPa", 1e-6, 1}
)

// ClampLimit returns the greatest force with which the belts may squeeze a cable.
//
//	N = q·L
//
// crush (q) is the crush limit of the cable in N/m, belt (L) the length of cable
// between the belts in m. Both belts press with the same N: it is not doubled. The
// crush test presses flat steel plates on 100 mm; grooves, short pads or a belt's
// edge load the cable harder at one spot.
//
// ClampLimit returns an error for figures out of range.
//
// Source: IEC 60794-1-21 method E3A, for the test behind the limit.
func ClampLimit(crush q.LineLoad, belt q.Length) (q.Force, error) {
	if err := cmp.Or(crushRange.Check(crush), beltRange.Check(belt)); err != nil {
		return 0, err
	}
	return q.Force(float64(crush) * float64(belt)), nil
}

// GripCeiling returns the grip pressure at which the belts reach the crush limit.
//
//	p = q·L/c
//
// q and L are those of [ClampLimit], clamp (c) is the squeeze gained per grip
// pressure in N/Pa.
//
// GripCeiling returns an error for figures out of range.
//
// Source: derived here from [ClampLimit].
func GripCeiling(crush q.LineLoad, belt q.Length, clamp q.ForcePerPressure) (q.Pressure, error) {
	most, err := ClampLimit(crush, belt)
	if err := cmp.Or(err, clampRange.Check(clamp)); err != nil {
		return 0, err
	}
	return q.Pressure(float64(most) / float64(clamp)), nil
}
