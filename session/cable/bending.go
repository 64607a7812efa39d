package cable

import (
	"cmp"
	"fmt"

	q "brinkmark/session/quantity"
)

var (
	loadRange = Range[q.Force]{"force", "N", 1e-3, 1e5}
	spanRange = Range[q.Length]{"length", "m", 0.01, 20}
	gapRange  = Range[q.Length]{"gap between the plates", "mm", 1e-3, 5}
)

// straightest is the deflection, in lengths, up to which small-deflection formulas hold.
const straightest = 0.1

// ThreePoint returns the bending stiffness from a cable on two supports, pushed down
// in the middle.
//
//	EI = F·X³/(48·y)
//
// force (F) is in N, span (X) between the supports and deflection (y) in m. It holds
// for a span of many diameters and a deflection up to a tenth of the span.
//
// ThreePoint returns an error for a larger deflection or figures out of range.
//
// Source: beam theory; IEC 60794-1-21 method E17, first variant (its text is from memory).
func ThreePoint(force q.Force, span, deflection q.Length) (q.Stiffness, error) {
	return fromDeflection(force, span, deflection, 48)
}

// Cantilever returns the bending stiffness from a cable clamped at one end, pushed
// at the other.
//
//	EI = F·L³/(3·y)
//
// force (F) is in N, length (L) and deflection (y) in m. It holds for a length of
// many diameters and a deflection up to a tenth of the length.
//
// Cantilever returns an error for a larger deflection or figures out of range.
//
// Source: beam theory; IEC 60794-1-21 method E17, second variant (its text is from memory).
func Cantilever(force q.Force, length, deflection q.Length) (q.Stiffness, error) {
	return fromDeflection(force, length, deflection, 3)
}

func fromDeflection(force q.Force, length, deflection q.Length, factor float64) (q.Stiffness, error) {
	err := cmp.Or(loadRange.Check(force), spanRange.Check(length))
	if err != nil {
		return 0, err
	}
	allowed := Range[q.Length]{"deflection", "mm", 1e-4, straightest * length}
	if err := allowed.Check(deflection); err != nil {
		return 0, fmt.Errorf("%w, a tenth of the length", err)
	}
	l := float64(length)
	return checked(float64(force) * l * l * l / (factor * float64(deflection)))
}

// uBend is 2/(∫√sin θ dθ)² from 0 to π: the integral is 2.396280469.
const uBend = 0.34830140

// UBend returns the bending stiffness from a cable bent to a U between two plates.
//
//	EI = 0.3483·F·D²,  D = gap − OD
//
// force (F) presses the plates together in N; gap is between the plates and od (OD)
// the outer diameter, both in m, so that D is from axis to axis. It is exact for a
// cable that stays elastic; at the apex the bend radius is 0.4173·D.
//
// UBend returns an error for a gap that is not wider than the cable or figures out
// of range.
//
// Source: IEC 60794-1-21 method E17, third variant (its text and constant from
// memory); the constant is derived here from the elastica.
func UBend(force q.Force, gap, od q.Length) (q.Stiffness, error) {
	if err := cmp.Or(loadRange.Check(force), DiameterRange.Check(od), gapRange.Check(gap)); err != nil {
		return 0, err
	}
	wider := Range[q.Length]{"gap between the plates", "mm", 2 * od, gapRange.High}
	if err := wider.Check(gap); err != nil {
		return 0, fmt.Errorf("%w, at least two outer diameters", err)
	}
	d := float64(gap - od)
	return checked(uBend * float64(force) * d * d)
}

func checked(ei float64) (q.Stiffness, error) {
	if err := StiffnessRange.Check(q.Stiffness(ei)); err != nil {
		return 0, err
	}
	return q.Stiffness(ei), nil
}
