package run

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// fit finds the coefficient of friction that the push gauge shows.
//
//	yᵢ = F(sᵢ, vᵢ, pᵢ; µ) + eᵢ,  least Q(µ) = Σ nᵢ·(yᵢ − F(sᵢ, vᵢ, pᵢ; µ))²
//
// yᵢ is the mean of nᵢ readings, as force in N, over a part of the route, F the push of the
// drive by [reach.Course.Drive] at the mean head sᵢ, speed vᵢ and air pressure pᵢ. The errors
// eᵢ are taken as normal, of variance s²/nᵢ, s² = Q/(k − 1) over the k parts, and no less
// than the Δ²/12 of a gauge of division Δ.
//
// Doubt. With Jᵢ = ∂F/∂µ the variance of µ is s²·a/Σ nᵢJᵢ², linear about the fit, a the number by
// which errors that go on from one part to the next make them worth fewer: (1+ρ)/(1−ρ), ρ
// their correlation from one to the next where it is above 0. A gauge may also stand off by
// the same all along, by half a division: that shifts µ by (Δ/2)·Σ nᵢJᵢ/Σ nᵢJᵢ², and
// counts as even within that. The range is that of 90 of 100 by Student's t.
//
// What else is wrong with the plan, such as mass or air, is taken for friction: the
// coefficient is one that goes with this plan, for this run. Friction of the seal that was
// not measured makes it higher, and the new reach shorter.
//
// Source: nonlinear least squares in one parameter, linearised, as in Draper and Smith, Applied
// Regression Analysis, ch. 24, and Bates and Watts, Nonlinear Regression Analysis, ch. 2; errors that go on:
// Bayley and Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184; rounding: Sheppard's Δ²/12. From memory.
func (m *Model) fit(bins []seen) (Friction, bool) {
	at, ok := m.descend(bins)
	if !ok {
		return Friction{}, false
	}
	x := float64(at)
	for range 12 { // Gauss and Newton, on cubics through four nodes
		down, up := 0.0, 0.0
		for _, b := range bins {
			f, slope := m.between(b.at, x)
			down += b.readings * slope * (b.push - f)
			up += b.readings * slope * slope
		}
		if !(up > 0) {
			return Friction{}, false
		}
		step := min(max(down/up, -0.5), 0.5)
		x = min(max(x+step, 1), nodesFriction-2)
		if math.Abs(step) < 1e-6 {
			break
		}
	}
	if x <= 1 || x >= nodesFriction-2 || math.Abs(x-float64(at)) > 2 {
		return Friction{}, false
	}
	return m.doubt(bins, x)
}

// descend returns the node of friction with the least sum of squares, going down from the
// plan's.
func (m *Model) descend(bins []seen) (int, bool) {
	at := min(max(int(math.Round(nodeOf(m.plan.Reach.Or(Worked{}).Job.Friction))), 1), nodesFriction-2)
	best := m.squares(bins, at)
	for at > 1 && math.IsInf(best, 1) { // the plan's friction would have locked the cable
		at--
		best = m.squares(bins, at)
	}
	for _, step := range []int{-1, 1} {
		for at+step >= 1 && at+step <= nodesFriction-2 {
			next := m.squares(bins, at+step)
			if !(next < best) {
				break
			}
			at, best = at+step, next
		}
	}
	return at, !math.IsInf(best, 1) && !math.IsNaN(best)
}

func (m *Model) squares(bins []seen, friction int) float64 {
	sum := 0.0
	for _, b := range bins {
		miss := b.push - m.drive(b.at, friction)
		sum += b.readings * miss * miss
	}
	return sum
}

// between is the push of the drive between nodes, and its slope per node: the cubic through
// the four about it. Where the upper ones lock, the line through the two below serves.
func (m *Model) between(at reach.Moment, x float64) (push, slope float64) {
	i := min(max(int(x), 1), nodesFriction-3)
	t := x - float64(i)
	a, b, c, d := m.drive(at, i-1), m.drive(at, i), m.drive(at, i+1), m.drive(at, i+2)
	if math.IsInf(c, 0) || math.IsInf(d, 0) {
		return b + t*(b-a), b - a
	}
	// Lagrange's cubic on −1, 0, 1, 2
	c1, c2, c3 := -a/3-b/2+c-d/6, (a-2*b+c)/2, (d-a)/6+(b-c)/2
	return b + t*(c1+t*(c2+t*c3)), c1 + t*(2*c2+3*t*c3)
}

// A range wider than this part of the friction says no more than any table of materials; and
// errors that go on more than this leave fewer than one part in nineteen.
//
// Source: choices made here.
const (
	widestFit  = 0.75
	mostGoesOn = 0.9
)

// doubt is how well a coefficient is known, x its place among the nodes.
func (m *Model) doubt(bins []seen, x float64) (Friction, bool) {
	mid := frictionAt(0) * math.Pow(ratioFriction, x)
	perNode := mid * math.Log(ratioFriction)
	gauge := m.plan.Gauge.Or(PushGauge{}).division()
	var sum, weight, lean, chain, readings, before float64
	for i, b := range bins {
		f, slope := m.between(b.at, x)
		slope /= perNode
		miss := math.Sqrt(b.readings) * (b.push - f)
		sum += miss * miss
		weight += b.readings * slope * slope
		lean += b.readings * slope
		readings += b.readings
		if i > 0 {
			chain += miss * before
		}
		before = miss
	}
	k := float64(len(bins))
	variance := math.Max(sum/(k-1), gauge*gauge/12)
	goesOn := 0.0
	if sum > 0 {
		goesOn = min(max(chain/sum, 0), mostGoesOn)
	}
	chance := variance / weight * (1 + goesOn) / (1 - goesOn)
	off := gauge / math.Sqrt(12) * lean / weight
	student := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: k - 1}.Quantile(0.95)
	half := math.Hypot(student*math.Sqrt(chance), distuv.UnitNormal.Quantile(0.95)*off)
	if math.IsNaN(half) || half > widestFit*mid {
		return Friction{}, false
	}
	f := Friction{
		Kind: Fitted, Mid: q.Known(mid), Low: q.Known(max(mid-half, leastFriction)), High: q.Known(mid + half),
		Spread: q.Force(math.Sqrt(variance)), Readings: int(readings),
	}
	f.Says = fmt.Sprintf("Friction %.3g, between %.3g and %.3g in 90 of 100 cases, by %d readings of the push gauge.", mid, f.Low.Or(0), f.High.Or(0), f.Readings)
	if m.plan.Gauge.Or(PushGauge{}).Seal == 0 {
		f.Says += " The seal's own friction was not measured and counts as the cable's."
	}
	return f, true
}
