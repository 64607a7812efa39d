package cable

import (
	"cmp"
	"math"

	q "brinkmark/session/quantity"
)

// modulusTable is polyethylene's modulus at a temperature over that at 73.4 °F.
//
// Source: Plastics Pipe Institute, Handbook of Polyethylene Pipe, 2nd ed., ch. 3,
// temperature compensating multipliers. All values are from memory; they are for
// pipe polyethylene, and a jacket of softer polyethylene differs.
var modulusTable = []struct{ fahrenheit, multiplier float64 }{
	{-20, 2.54}, {-10, 2.36}, {0, 2.18}, {10, 2.00}, {20, 1.81}, {30, 1.65},
	{40, 1.49}, {50, 1.32}, {60, 1.18}, {73.4, 1.00}, {80, 0.93}, {90, 0.82},
	{100, 0.73}, {110, 0.64}, {120, 0.58}, {130, 0.50}, {140, 0.43},
}

// tableRange is where modulusTable holds: −20 °F to 140 °F.
var tableRange = Range[q.Temperature]{Of: "temperature", Unit: "°F", Low: (-20.0 - 32) / 1.8, High: 60}

// Multiplier returns polyethylene's modulus at a temperature over its modulus at
// 73.4 °F (23 °C), linear between the points of a table:
//
//	M(T) = M₁ + (M₂ − M₁)·(T − T₁)/(T₂ − T₁)
//
// M₁, M₂ are the table's multipliers at the points T₁ ≤ T ≤ T₂ around T. It holds
// from −20 °F to 140 °F, and better for ratios over a few degrees than far from them.
//
// Multiplier returns an error outside the table: nothing is extrapolated.
//
// Source: Plastics Pipe Institute, Handbook of Polyethylene Pipe, 2nd ed., ch. 3
// (the chapter exists; the values are from memory).
func Multiplier(t q.Temperature) (float64, error) {
	if err := tableRange.Check(t); err != nil {
		return 0, err
	}
	fahrenheit := q.In(t, "°F")
	last := len(modulusTable) - 1
	i := 1
	for i < last && fahrenheit > modulusTable[i].fahrenheit {
		i++
	}
	a, b := modulusTable[i-1], modulusTable[i]
	along := (fahrenheit - a.fahrenheit) / (b.fahrenheit - a.fahrenheit)
	along = math.Min(math.Max(along, 0), 1) // 140 °F is not quite 140 after rounding
	return a.multiplier + along*(b.multiplier-a.multiplier), nil
}

// StiffnessAt carries a bending stiffness from the temperature it was measured at
// to another.
//
//	EI(T) = EI·[(1 − f) + f·M(T)/M(T₀)]
//
// ei (EI) is the bending stiffness at temperature at (T₀), share (f) the part of it
// at T₀ that polyethylene gives, to (T) the temperature wanted, M the [Multiplier].
// The rest of the cable is taken not to change. A droop measured today is surer
// than any stiffness carried.
//
// StiffnessAt returns ei unchanged when the temperatures are the same or share is
// 0, and needs no table then. It returns an error for a share outside 0 to 1, a
// stiffness out of range, or a temperature outside the table.
//
// Source: derived here; M from the table of [Multiplier].
func StiffnessAt(ei q.Stiffness, share float64, at, to q.Temperature) (q.Stiffness, error) {
	if err := cmp.Or(StiffnessRange.Check(ei), checkShare(share)); err != nil {
		return 0, err
	}
	if at == to || share == 0 {
		return ei, nil
	}
	from, err := Multiplier(at)
	if err != nil {
		return 0, err
	}
	wanted, err := Multiplier(to)
	if err != nil {
		return 0, err
	}
	return q.Stiffness(float64(ei) * (1 - share + share*wanted/from)), nil
}
