package session

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"brinkmark/session/push"
	q "brinkmark/session/quantity"
)

// machine is what the cable's mechanics and the rig card say, before the first
// push, of where this cable folds and these belts slip, in the gauges' own terms.
type machine struct {
	fold     q.Maybe[belief] // speed that folds the cable with the belts holding
	measured bool            // it rests on a measured kink radius
	slip     q.Maybe[belief] // speed per grip pressure (per Pa) at which the belts slip
}

// belief is a median and the standard deviation of its logarithm.
type belief struct{ median, sd float64 }

// thrust is the drive's stall thrust as a line of the push control: offset + slope·s.
type thrust struct{ offset, slope float64 }

// machine returns what can be told; what the job does not say stays unknown.
//
//	fold: s = (B/(1+κ) − o)/t    slip: r = g/t
//
// B is the fold limit of [Expect] in N, t and o the thrust per push control reading
// and its offset, g the traction per grip pressure, κ the impact share. A slip ratio
// is one number only while neither line has an offset.
//
// The spread is the mechanics' own, from the fold limit's low to its middle, and a
// tenth for the thrust. Source: derived here; the spreads are assumptions.
func (t Trial) machine() machine {
	var m machine
	line, ok := t.thrust()
	if !ok {
		return m
	}
	if g, known := t.Rig.TractionPerGrip.Get(); known && g > 0 && line.offset == 0 && t.Rig.TractionOffset.Or(0) == 0 {
		m.slip = q.Known(belief{float64(g) / line.slope, t.Policy.SlipPriorSD})
	}
	expected, err := Expect(t)
	if err != nil {
		return m
	}
	limit, known := expected.FoldLimit.Get()
	if !known || limit.Low <= 0 {
		return m
	}
	speed := (float64(limit.Mid)/(1+t.impactShare()) - line.offset) / line.slope
	mechanics := math.Log(float64(limit.Mid/limit.Low)) / quantile95
	m.measured = limit.High.Known()
	if speed > 0 {
		m.fold = q.Known(belief{speed, math.Hypot(mechanics, t.Policy.ThrustPriorSD)})
	}
	return m
}

// usualSlip is what is believed of the belts before anything is known of them: a rig
// is built so that its highest grip pressure holds about its highest push. Source:
// common practice, no source; the spread is wide for that reason.
func (t Trial) usualSlip() belief {
	if t.Policy.UsualSlipSD == 0 {
		return belief{}
	}
	return belief{t.Rig.SpeedLimit.Or(q.Reading{}).Value / float64(t.Rig.GripLimit.Or(0)), t.Policy.UsualSlipSD}
}

// impactShare is the impact over the stall thrust at the same speed: the policy's, or
// what the first wave on a straight cable can give at most, where cable and rig card
// tell that and it is less.
func (t Trial) impactShare() float64 {
	share := t.Policy.ImpactShare
	line, ok := t.thrust()
	axial, ok1 := t.Cable.AxialStiffness.Get()
	mass, ok2 := t.Cable.Mass.Get()
	if !ok || !ok1 || !ok2 || t.Rig.readingUnit() != "m/s" {
		return share
	}
	wave, err := push.Impact(1, axial, mass)
	if err != nil {
		return share
	}
	return min(share, float64(wave)/line.slope)
}

// quantile95 is the 95 % quantile of the standard normal distribution.
const quantile95 = 1.6448536269514722

func (t Trial) thrust() (thrust, bool) {
	per, ok := t.Rig.ThrustPerSpeed.Get()
	if !ok || per.Value <= 0 || per.Unit != t.Rig.readingUnit() {
		return thrust{}, false
	}
	return thrust{float64(t.Rig.ThrustOffset.Or(0)), per.Value}, true
}

// ForceRange is the 5, 50 and 95 % values of a force.
type ForceRange struct{ Low, Mid, High q.Force }

// foldForce is the fold speed's range as force, when the rig card tells the thrust.
func (f *facts) foldForce() q.Maybe[ForceRange] {
	line, ok := f.trial.thrust()
	if !ok {
		return q.Maybe[ForceRange]{}
	}
	force := func(u float64) q.Force {
		return q.Force((1 + f.policy.ImpactShare) * max(line.offset+line.slope*f.post.foldSpeed(u), 0))
	}
	return q.Known(ForceRange{force(0.05), force(0.5), force(0.95)})
}

// logs returns the log weight of a belief at each point of an even grid; flat when
// there is none. A share of the weight, doubt, is spread evenly: were it not, a fold
// far below what the mechanics allows would be taken for a misreading. Where the grid
// cuts the belief's ends off, that share is a little more than doubt.
func (b belief) logs(ln []float64, doubt float64) []float64 {
	out := make([]float64, len(ln))
	if b.sd == 0 || len(ln) < 2 {
		return out
	}
	density := (ln[1] - ln[0]) / (b.sd * math.Sqrt(2*math.Pi))
	for i, v := range ln {
		z := (v - math.Log(b.median)) / b.sd
		out[i] = math.Log((1-doubt)*density*math.Exp(-z*z/2) + doubt/float64(len(ln)))
	}
	return out
}

// span widens a range so that a belief is not cut off at two standard deviations.
func (b belief) span(lo, hi float64) (float64, float64) {
	if b.sd == 0 {
		return lo, hi
	}
	return min(lo, b.median*math.Exp(-2*b.sd)), max(hi, b.median*math.Exp(2*b.sd))
}

// firstSpeed is where the climb starts: the top of the ladder's first rung, or with a
// belief about the fold speed the highest speed that is sure enough by it, but no
// more than a few rungs higher, and none on a guessed kink radius: the mechanics of a
// kink are too young to skip the ladder on their word.
func (f *facts) firstSpeed() float64 {
	start := min(f.start.Speed.Value, f.top(), max(f.allowed(), f.speed.division))
	if !f.machine.fold.Known() || !f.machine.measured {
		return start
	}
	most := start
	for range f.policy.StartRungs {
		most = f.speed.rung(most, f.largestRung())
	}
	sure := f.speed.down(f.machine.fold.Or(belief{}).sure(f.policy))
	return max(min(sure, most, f.top(), f.allowed()), f.speed.division)
}

// sure is the speed at which the fold chance is the policy's start chance by the
// belief alone, at the usual repeat spread.
//
//	s = median · exp(Φ⁻¹(p)·√(sd² + σ²))
//
// Source: derived here, the sum of two normal errors.
func (b belief) sure(pol Policy) float64 {
	return b.median * math.Exp(distuv.UnitNormal.Quantile(pol.StartChance)*math.Hypot(b.sd, pol.SpreadMedian))
}

// likelyNext reports whether, with a belief about the fold speed, the smallest rung
// above the highest stall was already too likely to fold when that stall was made:
// the fold would teach less than it costs. Later stalls do not reopen the climb.
func (f *facts) likelyNext() bool {
	if !f.machine.fold.Known() || f.lowestFold > 0 || f.topStall == 0 {
		return false
	}
	if f.firstTop < 0 { // the highest stall was an earlier trial's, and so the end of its climb
		return newFacts(*f.trial.Before).early
	}
	then := f.posteriorOf(1, f.shots[:f.firstTop+1])
	return then.foldChance(min(f.speed.rung(f.topStall, f.smallestRung()), f.top())) > f.policy.EarlyChance
}
