package push

import (
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// collapse is 4/(3√3): the greatest push a helix can carry is this times EI/r².
const collapse = 0.769800358919501

// threeLegs is 1 + 2/√3: the bore, in cable diameters, that holds three legs of a cable.
const threeLegs = 2.154700538379252

// CollapseLoad returns the greatest push that a helix can carry; past it the helix
// collapses.
//
//	F = 4/(3√3)·EI/r²
//
// EI is the bending stiffness in N·m², r the radial clearance in m. The slope is then
// 54.7° and the bend radius 1.5·r.
//
// Source: derived here from the energy of a helix without twist, at any slope; not
// published. Thompson et al. 2012, Proc. R. Soc. A 468, 1591, treat large slopes.
func (c Column) CollapseLoad() q.Force {
	return q.Force(collapse * c.rigidity() / (c.clearance * c.clearance))
}

// LoadAtRadius returns the push at which a cable in a duct is bent to a radius. With
// the least bend radius allowed it is the push that over-bends the cable, with the
// radius at which the cable kinks it is the fold limit.
//
//	F = 2EI/(r·R)·√(1 − r/R)   for R > 1.5·r
//	F = 4/(3√3)·EI/r²          otherwise, see CollapseLoad
//
// radius (R) and the radial clearance r are in m, EI is the bending stiffness in N·m².
// For r much smaller than R it is the 2EI/(r·R) of a small slope. It holds for a
// straight, elastic cable without friction. The push is highest at the drive, and that
// is where to compare it, not at the plug.
//
// LoadAtRadius returns an error for a radius out of range.
//
// Source: derived here from the energy of a helix without twist, F·r²/EI = 2·sin²α·cos α
// and 1/R = sin²α/r at a slope α; not published.
func (c Column) LoadAtRadius(radius q.Length) (q.Force, error) {
	if err := cable.RadiusRange.Check(radius); err != nil {
		return 0, err
	}
	ei, r, bend := c.rigidity(), c.clearance, float64(radius)
	if bend <= 1.5*r {
		return c.CollapseLoad(), nil
	}
	return q.Force(2 * ei / (r * bend) * math.Sqrt(1-r/bend)), nil
}

// CanDoubleBack reports whether two legs of the cable have room side by side. In a
// narrower duct the cable cannot fold back on itself, whatever the push: it kinks,
// stalls or slips.
//
//	ID ≥ 2·OD
//
// od (OD) and id (ID) are the cable's outer and the duct's inner diameter in m.
//
// Source: geometry.
func CanDoubleBack(od, id q.Length) bool { return id >= 2*od*(1-1e-12) }

// RoomForThree reports whether three legs of the cable have room, as when the tip
// stays at the plug and the cable behind it folds to a Z.
//
//	ID ≥ (1 + 2/√3)·OD
//
// The symbols are those of [CanDoubleBack].
//
// Source: geometry, three touching circles in a circle.
func RoomForThree(od, id q.Length) bool { return id >= threeLegs*od }
