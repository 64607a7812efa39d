package session

import (
	"math"

	q "brinkmark/session/quantity"
)

// facts is what the rule reads off a record: the dials, what the pushes showed,
// and the posterior. It is made anew for every decision.
type facts struct {
	trial  Trial
	policy Policy
	speed  dial
	grips  []float64 // the rungs of grip pressure, lowest first, under every cap
	start  Setting
	pushes []Attempt
	shots  []shot    // the same pushes at today's cable temperature
	before []earlier // what earlier trials of the day showed, oldest first

	lowestFold  float64 // lowest folded speed, 0 when none folded
	firstFold   int     // index of the first fold, -1
	topStall    float64 // highest stalled speed, 0 when none stalled
	firstTop    int     // index of the first stall at topStall; -1 when that was an earlier trial's
	slipCeiling float64 // lowest speed that slipped at the highest grip pressure, 0 when none did
	damageCap   bool    // jacket damage lowered the highest grip pressure
	varied      bool    // a fold came at or below a stalled speed
	folds       int     // today's

	machine   machine
	post      posterior
	early     bool    // the next rung was too likely to fold to be worth it
	candidate float64 // the speed the rule would install at now, 0 when there is none
	nextRung  float64 // the next speed of the climb, 0 when there is none
}

func newFacts(t Trial) *facts {
	f := &facts{trial: t, policy: t.Policy, speed: t.speedDial(), pushes: t.pushes(), firstFold: -1}
	f.policy.ImpactShare = t.impactShare()
	start, step := t.Start()
	f.start = start
	for _, a := range f.pushes {
		f.shots = append(f.shots, t.shot(a))
	}
	f.before = t.earlierTrials()
	f.grips = f.gripRungs(float64(start.Grip), float64(step))
	f.read()
	f.machine = t.machine()
	f.post = f.posterior(1)
	f.early = f.likelyNext()
	if len(f.grips) > 0 {
		f.candidate, f.nextRung = f.findCandidate(), f.findNextRung()
	}
	return f
}

// gripRungs are the rungs from the start up to the highest grip pressure allowed:
// every limit, and one rung below any that marked the jacket.
func (f *facts) gripRungs(start, step float64) []float64 {
	g := f.trial.gripDial()
	top := g.down(g.limit)
	for _, a := range f.trial.Attempts() { // a mark counts even where the push proves nothing
		if a.JacketDamage {
			f.damageCap = true
			top = min(top, g.down(float64(a.Setting.Grip)-step))
		}
	}
	if top < g.division*(1-ties) {
		return nil
	}
	if start > top {
		return []float64{top}
	}
	var rungs []float64
	for i := 0; ; i++ {
		p := g.up(start + float64(i)*step)
		if p >= top*(1-ties) {
			return append(rungs, top)
		}
		rungs = append(rungs, p)
	}
}

// shot brings a push to today's cable temperature. The fold speed follows a share
// of the change of polyethylene stiffness; without both temperatures, or outside
// the table, nothing is moved.
func (t Trial) shot(a Attempt) shot {
	s := shot{grip: float64(a.Setting.Grip), speed: a.Setting.Speed.Value, outcome: a.Outcome}
	now, ok1 := t.Conditions.CableTemperature.Get()
	then, ok2 := a.CableTemperature.Get()
	if ratio, ok := stiffnessRatio(now, then); ok && ok1 && ok2 && now != then {
		s.shift = -t.Policy.ForcePerShift * math.Log(ratio)
	}
	return s
}

// worth is the speed a push stands for today: a push on a stiffer, colder cable
// stands for a lower one, a push on a warmer cable for no more than it was.
func (s shot) worth() float64 { return s.speed * math.Exp(-max(s.shift, 0)) }

func (f *facts) read() {
	top := 0.0
	if len(f.grips) > 0 {
		top = f.grips[len(f.grips)-1]
	}
	for _, e := range f.before {
		for _, s := range e.shots {
			f.see(s, top)
		}
		f.varied = f.varied || repeatsBadly(e.shots)
	}
	f.firstTop = -1
	for i, s := range f.shots {
		best := f.topStall
		f.see(s, top)
		switch {
		case s.outcome == Fold:
			f.folds++
			if f.firstFold < 0 {
				f.firstFold = i
			}
		case f.topStall > best:
			f.firstTop = i
		}
	}
	f.varied = f.varied || repeatsBadly(f.shots)
}

// see takes in what a push, today's or an earlier trial's, says of the limits.
func (f *facts) see(s shot, topGrip float64) {
	v := s.worth()
	switch s.outcome {
	case Fold:
		if f.lowestFold == 0 || v < f.lowestFold {
			f.lowestFold = v
		}
	case Stall:
		if v > f.topStall*(1+ties) {
			f.topStall = v
		}
	case Slip:
		if s.grip >= topGrip*(1-ties) && (f.slipCeiling == 0 || s.speed < f.slipCeiling) {
			f.slipCeiling = s.speed
		}
	}
}

// repeatsBadly reports whether a fold came at or below a speed that had stalled.
func repeatsBadly(shots []shot) bool {
	fold, stall := math.Inf(1), 0.0
	for _, s := range shots {
		switch s.outcome {
		case Fold:
			fold = min(fold, s.worth())
		case Stall:
			stall = max(stall, s.worth())
		}
	}
	return fold <= stall*(1+ties)
}

// posterior weighs the truths by all pushes, with the assumed repeat spread times
// the given factor.
func (f *facts) posterior(spreadFactor float64) posterior {
	return f.posteriorOf(spreadFactor, f.shots)
}

func (f *facts) posteriorOf(spreadFactor float64, shots []shot) posterior {
	pol := f.policy
	spreads := make([]float64, len(pol.Spreads))
	pr := prior{spread: make([]float64, len(pol.Spreads))}
	for i, s := range pol.Spreads {
		z := math.Log(s/pol.SpreadMedian) / pol.SpreadSD
		spreads[i], pr.spread[i] = s*spreadFactor, -z*z/2
	}
	g := f.ranges()
	g.spread = spreads
	pr.fold = f.machine.fold.Or(belief{}).logs(g.lnFold, pol.MachineDoubt) // flat when nothing is known
	pr.slip = f.machine.slip.Or(f.trial.usualSlip()).logs(g.lnSlip, pol.MachineDoubt)
	p := newWeights(g, pr, pol)
	for _, e := range f.before {
		p.weigh(e.shots)
		scale(p.weight)
		p.blur(e.doubt)
	}
	p.weigh(shots)
	p.sum()
	return p
}

// allShots are the earlier trials' pushes and today's.
func (f *facts) allShots() []shot {
	var all []shot
	for _, e := range f.before {
		all = append(all, e.shots...)
	}
	return append(all, f.shots...)
}

// ranges spans the truths worth considering: fold speeds from under the ladder to
// well past the limit, so that a truncated end never looks like a fold, and slip
// ratios from "slips at once even at the highest grip pressure" to "never slips".
func (f *facts) ranges() grid {
	lowest := f.start.Speed.Value
	if f.lowestFold > 0 {
		lowest = min(lowest, f.lowestFold)
	}
	g := f.trial.gripDial()
	grip := min(float64(f.start.Grip), g.limit)
	slowest := f.start.Speed.Value // a slip below it opens the range further down
	for _, s := range f.allShots() {
		if s.outcome == Slip {
			slowest = min(slowest, f.policy.FoldRangeBelow*s.speed)
		}
	}
	foldLow, foldHigh := f.machine.fold.Or(belief{}).span(f.policy.FoldRangeBelow*lowest, f.policy.FoldRangeAbove*f.speed.limit)
	slipLow, slipHigh := f.machine.slip.Or(belief{}).span(slowest/g.limit, f.speed.limit/grip)
	return grid{
		lnFold: even(foldLow, foldHigh, f.policy.FoldSpacing),
		lnSlip: even(slipLow, slipHigh, f.policy.SlipSpread),
	}
}

// even returns logarithms from ln lo to ln hi, evenly and no wider than spacing.
func even(lo, hi, spacing float64) []float64 {
	const fewest, most = 24, 120
	span := math.Log(hi / lo)
	n := min(max(int(math.Ceil(span/spacing))+1, fewest), most)
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Log(lo) + span*float64(i)/float64(n-1)
	}
	return out
}

// allowed is the highest speed the rule may dial at all: the limit, the gap under
// the lowest fold after rounding, under any slip at the highest grip pressure.
func (f *facts) allowed() float64 {
	most := f.speed.down(f.speed.limit)
	if f.lowestFold > 0 {
		most = min(most, f.speed.down(f.policy.Gap*f.lowestFold))
	}
	if f.slipCeiling > 0 {
		most = min(most, f.speed.below(f.slipCeiling, f.smallestRung()))
	}
	return most
}

func (f *facts) smallestRung() float64 { return f.policy.Rungs[len(f.policy.Rungs)-1] }
func (f *facts) largestRung() float64  { return f.policy.Rungs[0] }

// highest returns the highest dial position up to most at which ok holds, 0 when
// there is none. What is asked only gets worse with speed, so halving finds it.
func (f *facts) highest(most float64, ok func(speed float64) bool) float64 {
	lo, hi := 0, int(math.Round(most/f.speed.division))
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if ok(float64(mid) * f.speed.division) {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	return float64(lo) * f.speed.division
}

func (f *facts) foldsAtMost(chance float64) func(float64) bool {
	return func(speed float64) bool { return f.post.foldChance(speed) <= chance }
}

// findCandidate returns the highest speed that is sure enough: fold chance, gap,
// and slip chance at the highest grip pressure.
func (f *facts) findCandidate() float64 {
	most := f.allowed()
	if plan, ok := f.trial.Plan.Speed.Get(); ok && f.trial.Kind == Enough {
		most = min(most, f.speed.down(plan.Value))
	}
	c := f.highest(most, f.foldsAtMost(f.policy.InstallChance))
	top := f.grips[len(f.grips)-1]
	held := f.highest(c, func(speed float64) bool {
		return f.post.slipChance(top, speed) <= f.policy.SlipInstalling
	})
	if held > 0 {
		return held
	}
	return c // the belts may slip everywhere: said as a warning
}

// findNextRung returns the next speed of the climb: the largest rung whose fold chance is
// small enough, else the smallest. It is 0 when the belts could not hold there.
func (f *facts) findNextRung() float64 {
	most := min(f.top(), f.allowed())
	speed := min(f.speed.rung(f.topStall, f.smallestRung()), most)
	for _, ratio := range f.policy.Rungs {
		if v := min(f.speed.rung(f.topStall, ratio), most); f.post.foldChance(v) <= f.policy.ClimbChance {
			speed = v
			break
		}
	}
	if f.topStall == 0 || speed <= f.topStall*(1+ties) || f.post.slipChance(f.grips[len(f.grips)-1], speed) > f.policy.Ungrippable {
		return 0
	}
	return speed
}

// provable is the candidate as far as pushes can prove it: without a fold nothing
// above the highest stall is pushed at, so nothing above it is installed with.
func (f *facts) provable() float64 {
	if f.lowestFold == 0 && f.topStall > 0 {
		return min(f.candidate, f.speed.down(f.topStall))
	}
	return f.candidate
}

// stallsFrom counts the stalls at or above a speed, whatever the grip pressure.
func (f *facts) stallsFrom(speed float64) int {
	n := 0
	for _, s := range f.shots {
		if s.outcome == Stall && s.worth() >= speed*(1-ties) {
			n++
		}
	}
	return n
}

// repeats is how many stalls must stand at or above the install setting.
func (f *facts) repeats() int {
	if f.varied {
		return f.policy.RepeatsVaried
	}
	return f.policy.Repeats
}

// grip returns the lowest rung whose slip chance at this speed is at most chance,
// never more than one rung above the highest tried; the highest such rung when none is.
func (f *facts) grip(speed, chance float64) float64 {
	return f.lowest(f.reachable(), speed, chance)
}

// lowest returns the lowest of these rungs whose slip chance at a speed is at most
// chance; the highest when none is.
func (f *facts) lowest(rungs []float64, speed, chance float64) float64 {
	for _, p := range rungs {
		if f.post.slipChance(p, speed) <= chance {
			return p
		}
	}
	return rungs[len(rungs)-1]
}

// reachable are the rungs up to one above the highest tried.
func (f *facts) reachable() []float64 {
	tried := 0.0
	for _, s := range f.allShots() {
		tried = max(tried, s.grip)
	}
	for i, p := range f.grips {
		if p > tried*(1+ties) {
			return f.grips[:i+1]
		}
	}
	return f.grips
}

// holds reports whether a setting to install with has held: at its speed or above with its grip
// pressure or less, or by the older rules at its grip pressure, whatever the speed.
func (f *facts) holds(grip, speed float64) bool {
	if !f.policy.HeldTogether {
		return f.stalledAt(grip)
	}
	for _, s := range f.shots {
		if s.outcome == Stall && s.grip <= grip*(1+ties) && s.worth() >= speed*(1-ties) {
			return true
		}
	}
	return false
}

// stalledAt reports whether a push at this grip pressure stalled.
func (f *facts) stalledAt(grip float64) bool {
	for _, s := range f.shots {
		if s.outcome == Stall && math.Abs(s.grip-grip) <= grip*ties {
			return true
		}
	}
	return false
}

func (f *facts) setting(grip, speed float64) Setting {
	return Setting{q.Pressure(grip), f.trial.Rig.Reading(speed)}
}
