package push

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Line is the straight line nearest to pairs of a dial and a pull. The pairs are
// counted in the order given, from 0.
type Line struct {
	Slope     float64 // pull gained per unit of the dial, N
	Offset    q.Force // pull of the line where the dial reads 0; may be negative
	Spread    q.Force // standard deviation of the pulls about the line
	Residuals []q.Force
	OutOfLine int   // the pair that does not belong to the line of the others, -1 when none
	Falls     []int // pairs that pull less than a pair at a lower dial
	Warnings  []string
}

// ThrustPair is a pull against a scale, with the cable held, at a push control reading.
type ThrustPair struct {
	Reading q.Reading
	Pull    q.Force
}

// Thrust is how a rig's push follows its push control.
type Thrust struct {
	PerReading q.ForcePerReading
	Line
}

// TractionPair is the pull at which the belts slipped at a grip pressure.
type TractionPair struct {
	Grip q.Pressure
	Pull q.Force
}

// Traction is how the pull at which belts slip follows the grip pressure.
type Traction struct {
	PerGrip q.ForcePerPressure
	Line
}

const leastPairs = 3

var pullRange = cable.Range[q.Force]{Of: "pull", Unit: "N", Low: 0, High: 1e5}

// FitThrust returns the least-squares line through pulls at push control readings.
//
//	T = t·s + T₀, with least Σ(Tᵢ − t·sᵢ − T₀)²
//
// s is the reading, t the slope, T₀ the offset in N. It holds between the readings
// taken; a pull that falls while the reading rises, and a pair out of line, are warned of.
//
// A pair is out of line when its residual, over the spread of the line through the
// others, passes the 5 % bound of Student's t, shared among all pairs. It takes four
// pairs to tell.
//
// FitThrust returns an error for fewer than three pairs, readings in different units
// or all alike, figures out of range, and a pull that does not rise with the reading.
//
// Source: least squares; for the test, Cook & Weisberg 1982, Residuals and Influence
// in Regression (from memory).
func FitThrust(pairs []ThrustPair) (Thrust, error) {
	if err := enough(len(pairs)); err != nil {
		return Thrust{}, err
	}
	dial, pulls := make([]float64, len(pairs)), make([]float64, len(pairs))
	unit := pairs[0].Reading.Unit
	for i, p := range pairs {
		x := p.Reading.Value
		if p.Reading.Unit != unit {
			return Thrust{}, fmt.Errorf("pair %d: reading in %q: must be in %q as in the first pair", i+1, p.Reading.Unit, unit)
		}
		if !(x >= 0 && x <= 1e9) {
			return Thrust{}, fmt.Errorf("pair %d: reading: %v: must be from 0 to 1e9", i+1, x)
		}
		if err := pullRange.Check(p.Pull); err != nil {
			return Thrust{}, fmt.Errorf("pair %d: %w", i+1, err)
		}
		dial[i], pulls[i] = x, float64(p.Pull)
	}
	line, err := fitRising(dial, pulls, "reading")
	return Thrust{q.ForcePerReading{Value: line.Slope, Unit: unit}, line}, err
}

var gripRange = cable.Range[q.Pressure]{Of: "grip pressure", Unit: "kPa", Low: 0, High: 1e8}

// FitTraction returns the least-squares line through pulls at which the belts slipped.
//
//	G = g·p + G₀, with least Σ(Gᵢ − g·pᵢ − G₀)²
//
// p is the grip pressure in Pa, g the slope in N/Pa, G₀ the offset in N. The rest is as
// for [FitThrust].
//
// FitTraction returns the errors of [FitThrust].
//
// Source: that of [FitThrust].
func FitTraction(pairs []TractionPair) (Traction, error) {
	if err := enough(len(pairs)); err != nil {
		return Traction{}, err
	}
	dial, pulls := make([]float64, len(pairs)), make([]float64, len(pairs))
	for i, p := range pairs {
		if err := cmp.Or(gripRange.Check(p.Grip), pullRange.Check(p.Pull)); err != nil {
			return Traction{}, fmt.Errorf("pair %d: %w", i+1, err)
		}
		dial[i], pulls[i] = float64(p.Grip), float64(p.Pull)
	}
	line, err := fitRising(dial, pulls, "grip pressure")
	return Traction{q.ForcePerPressure(line.Slope), line}, err
}

func enough(pairs int) error {
	if pairs < leastPairs {
		return fmt.Errorf("pairs: %d: a line needs at least %d", pairs, leastPairs)
	}
	return nil
}

func fitRising(dial, pulls []float64, of string) (Line, error) {
	line, err := fit(dial, pulls)
	if err != nil {
		return Line{}, fmt.Errorf("%s: %w", of, err)
	}
	if !(line.Slope > 0) {
		return Line{}, fmt.Errorf("pull: does not rise with the %s: no line can be used", of)
	}
	for _, i := range line.Falls {
		line.Warnings = append(line.Warnings, fmt.Sprintf("pair %d pulls less than a pair at a lower %s: measure it again", i+1, of))
	}
	if i := line.OutOfLine; i >= 0 {
		line.Warnings = append(line.Warnings, fmt.Sprintf("pair %d is out of line with the others: measure it again", i+1))
	}
	return line, nil
}

// fit is the line through at least three pairs.
func fit(x, y []float64) (Line, error) {
	if slices.Max(x)-slices.Min(x) <= 1e-9*math.Max(1, slices.Max(x)) {
		return Line{}, errors.New("is the same in all pairs: take pairs over the whole range")
	}
	offset, slope := stat.LinearRegression(x, y, nil, false)
	rounding := 1e-9 * slices.Max(y)
	offset = rounded(offset, rounding)
	line := Line{Slope: slope, Offset: q.Force(offset), Residuals: make([]q.Force, len(x))}
	sum := 0.0
	for i := range x {
		e := rounded(y[i]-slope*x[i]-offset, rounding)
		line.Residuals[i] = q.Force(e)
		sum += e * e
	}
	line.Spread = q.Force(math.Sqrt(sum / float64(len(x)-2)))
	line.OutOfLine = outOfLine(x, line.Residuals, sum, rounding)
	line.Falls = falls(x, y)
	return line, nil
}

// rounded is a force, or nothing where it is no more than the arithmetic leaves of nothing.
func rounded(force, rounding float64) float64 {
	if math.Abs(force) <= rounding {
		return 0
	}
	return force
}

// outOfLine returns the pair whose studentised residual is largest, if it passes the
// bound. Residuals smaller than rounding are none.
//
//	tᵢ = eᵢ/(s₍ᵢ₎·√(1 − hᵢ)),  hᵢ = 1/n + (xᵢ − x̄)²/Σ(x − x̄)²
func outOfLine(x []float64, residuals []q.Force, sum, rounding float64) int {
	n := float64(len(x))
	if n <= leastPairs {
		return -1
	}
	mean, variance := stat.MeanVariance(x, nil)
	bound := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 3}.Quantile(1 - 0.05/(2*n))
	worst, at := bound, -1
	for i, r := range residuals {
		e, free := float64(r), 1-1/n-(x[i]-mean)*(x[i]-mean)/((n-1)*variance)
		if math.Abs(e) <= rounding || free < 1e-9 { // a pair alone at its end always fits
			continue
		}
		others := math.Max((sum-e*e/free)/(n-3), rounding*rounding)
		if t := math.Abs(e) / math.Sqrt(others*free); t > worst {
			worst, at = t, i
		}
	}
	return at
}

// falls returns the pairs below the highest pull at any lower x, in the order of x.
func falls(x, y []float64) []int {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(x[a], x[b]), cmp.Compare(a, b)) })
	var fallen []int
	highest, pending := math.Inf(-1), math.Inf(-1)
	for k, i := range order {
		if k > 0 && x[i] > x[order[k-1]] {
			highest = math.Max(highest, pending)
		}
		if y[i] < highest {
			fallen = append(fallen, i)
		}
		pending = math.Max(pending, y[i])
	}
	return fallen
}

// ThrustAt returns the push of a rig at a push control reading.
//
//	T = max(0, t·s + T₀)
//
// per (t) and offset (T₀) are those of [FitThrust], at (s) is the reading.
//
// ThrustAt returns an error when per and at have different units or the push is
// beyond any drive.
//
// Source: that of [FitThrust].
func ThrustAt(per q.ForcePerReading, offset q.Force, at q.Reading) (q.Force, error) {
	if per.Unit != at.Unit {
		return 0, fmt.Errorf("push control reading in %q: must be in %q as the rig's figure is", at.Unit, per.Unit)
	}
	return onLine(per.Value*at.Value + float64(offset))
}

// TractionAt returns the push at which a rig's belts slip at a grip pressure.
//
//	G = max(0, g·p + G₀)
//
// per (g) and offset (G₀) are those of [FitTraction], grip (p) is the grip pressure in Pa.
//
// TractionAt returns an error when the push is beyond any drive.
//
// Source: that of [FitTraction].
func TractionAt(per q.ForcePerPressure, offset q.Force, grip q.Pressure) (q.Force, error) {
	return onLine(float64(per)*float64(grip) + float64(offset))
}

func onLine(push float64) (q.Force, error) {
	return givable(q.Force(math.Max(push, 0)))
}
