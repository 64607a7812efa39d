package cable

import (
	"fmt"
	"math"

	q "brinkmark/session/quantity"
)

// A Range is the values a figure may have, both ends included.
type Range[T q.Scalar] struct {
	Of        string // the figure, as an error names it
	Unit      string // in which an error gives the numbers
	Low, High T
}

// Check returns an error that names the figure, the value and the range if v is
// outside it or no number. Rounding in a conversion of units never puts a value out.
func (r Range[T]) Check(v T) error {
	x, low, high := float64(v), float64(r.Low), float64(r.High)
	const rounding = 1e-12
	if x >= low-rounding*math.Abs(low) && x <= high+rounding*math.Abs(high) {
		return nil
	}
	value := fmt.Sprint(x) // NaN, infinite or too large to convert
	if math.Abs(x) < 1e100 {
		value = q.Text(v, r.Unit)
	}
	return fmt.Errorf("%s: %s: must be from %s to %s", r.Of, value, q.Text(r.Low, r.Unit), q.Text(r.High, r.Unit))
}

// The figures of a cable that several formulas take. The ranges are far wider than
// any cable; they catch a slip of units, and keep every result finite.
var (
	DiameterRange  = Range[q.Length]{"outer diameter", "mm", 0.5e-3, 0.2}
	MassRange      = Range[q.LinearDensity]{"mass", "kg/km", 0.1e-3, 50}
	StiffnessRange = Range[q.Stiffness]{"bending stiffness", "N·m²", 1e-6, 1e6}
	RadiusRange    = Range[q.Length]{"bend radius", "mm", 0.25e-3, 100}
)

func checkShare(share float64) error {
	if !(share >= 0 && share <= 1) {
		return fmt.Errorf("polyethylene share: %v: must be from 0 to 1", share)
	}
	return nil
}
