package session

import (
	"fmt"
	"math"
	"slices"

	q "brinkmark/session/quantity"
)

// rule is the decision rule, one row a thought, first answer wins.
var rule = []struct {
	name   string
	answer func(*facts) Next
}{
	{"short check", shortCheck},
	{"jacket marked at the lowest grip pressure", noGripLeft},
	{"push does not follow the push control", notFollowing},
	{"first push", firstPush},
	{"enough for the run", enough},
	{"proved", proved},
	{"three folds", tooManyFolds},
	{"too many pushes", tooManyPushes},
	{"cable budget", budget},
	{"fold with no stall below", foldFirst},
	{"nothing left under the gap", noneLeft},
	{"slip", afterSlip},
	{"slip at every speed", slipsEverywhere},
	{"climb", climb},
	{"new grip pressure", newGrip},
	{"repeat", repeat},
}

func noGripLeft(f *facts) Next {
	if len(f.grips) > 0 {
		return nil
	}
	if f.damageCap {
		return Refuse{EndLimit, "the jacket was marked at the lowest grip pressure this ladder has: no setting. Check belts, alignment and the cable's crush limit before another trial."}
	}
	return Refuse{EndLimit, "the limits leave no grip pressure to set: check the rig's, the cable's and your own limit."}
}

func firstPush(f *facts) Next {
	if len(f.pushes) > 0 {
		return nil
	}
	if f.topStall > 0 {
		return f.afterEarlier()
	}
	if !f.machine.fold.Known() && !f.machine.slip.Known() {
		grip := f.lowest(f.reachable(), f.firstSpeed(), f.policy.SlipPushing)
		return f.try(grip, f.firstSpeed(), "Start at the bottom of the ladder: nothing is known yet.")
	}
	speed, grip := f.firstSpeed(), f.grips[0]
	if f.machine.slip.Known() || len(f.before) > 0 {
		grip = f.lowest(f.grips, speed, f.policy.SlipPushing)
	}
	return f.try(grip, speed, fmt.Sprintf(
		"Start here by the data sheet and the rig card: about %s would fold.", inHundred(f.post.foldChance(speed))))
}

// afterEarlier begins where the earlier trial stood, moved to today.
func (f *facts) afterEarlier() Next {
	if refusal := noneLeft(f); refusal != nil {
		return refusal
	}
	next := repeat(f)
	if try, ok := next.(Try); ok {
		try.Reason = fmt.Sprintf("Begin where the earlier trial leaves off: about %s would fold here.", inHundred(f.post.foldChance(try.Setting.Speed.Value)))
		return try
	}
	return next
}

// top is the highest speed the climb goes to.
func (f *facts) top() float64 {
	top := f.speed.down(f.speed.limit)
	if plan, ok := f.trial.Plan.Speed.Get(); ok && f.trial.Kind == Enough {
		top = min(top, max(f.speed.down(plan.Value*f.policy.EnoughAbove), f.speed.down(plan.Value)+f.speed.division))
	}
	return top
}

// notFollowing watches the stall readings: the same push at two speeds means that
// a relief valve sets the push, and a margin by speed would be worth nothing.
func notFollowing(f *facts) Next {
	for _, pair := range f.readingPairs() {
		low, high := pair[0], pair[1]
		a, b := low.StallReading.Or(q.Reading{}), high.StallReading.Or(q.Reading{})
		step := high.Setting.Speed.Value/low.Setting.Speed.Value - 1
		if change := b.Value/a.Value - 1; change < f.policy.ReliefSame && change < f.policy.ReliefShare*step {
			return f.reliefRefusal(low, high, change)
		}
	}
	return nil
}

// readingPairs are the stalls, softer one first, whose stall readings can be
// compared: in one unit, and at speeds far enough apart.
func (f *facts) readingPairs() [][2]Attempt {
	var pairs [][2]Attempt
	for _, low := range f.pushes {
		for _, high := range f.pushes {
			a, known1 := low.StallReading.Get()
			b, known2 := high.StallReading.Get()
			if known1 && known2 && low.Outcome == Stall && high.Outcome == Stall && a.Unit == b.Unit && a.Value > 0 &&
				high.Setting.Speed.Value >= low.Setting.Speed.Value*f.policy.ReliefStep {
				pairs = append(pairs, [2]Attempt{low, high})
			}
		}
	}
	return pairs
}

func (f *facts) reliefRefusal(low, high Attempt, change float64) Next {
	slow, fast := f.show(low.Setting.Speed.Value), f.show(high.Setting.Speed.Value)
	if change < -f.policy.ReliefFall {
		return Refuse{0, fmt.Sprintf("the stall reading fell from %s to %s, so these readings do not rise with push: no advice. Check the gauge and which way is harder.", slow, fast)}
	}
	return Refuse{EndLimit, fmt.Sprintf("the stall reading is the same at %s and %s: a relief valve sets the push, and a lower %s would not lower it. Have a qualified person set the relief lower, then start a new trial with the relief as push control.", slow, fast, f.trial.Rig.Control())}
}

// ended says what ended the climb, 0 while it goes on.
func (f *facts) ended() End {
	switch {
	case f.lowestFold > 0:
		return EndFold
	case f.topStall == 0:
		return 0
	case f.topStall >= f.top()*(1-ties):
		if f.trial.Kind == Enough && f.reachedPlan() {
			return EndEnough
		}
		return EndLimit
	case f.nextRung == 0:
		return EndLimit
	case f.early:
		return EndEarly
	}
	return 0
}

// reachedPlan reports whether the climb's top is the plan's and not a limit's.
func (f *facts) reachedPlan() bool {
	wanted := f.trial.Plan.Speed.Or(q.Reading{}).Value * f.policy.EnoughAbove
	return f.top() > wanted-f.speed.division*(1-ties)
}

func climb(f *facts) Next {
	if f.ended() != 0 {
		return nil
	}
	speed := f.nextRung
	return f.try(f.grip(speed, f.policy.SlipPushing), speed, fmt.Sprintf(
		"It stalled at %s, so one rung up. About %s would fold here.", f.showWorth(f.topStall), inHundred(f.post.foldChance(speed))))
}

// afterSlip raises grip pressure before anything else, and lowers speed only when
// no grip pressure is left.
func afterSlip(f *facts) Next {
	last := f.shots[len(f.shots)-1]
	if last.outcome != Slip {
		return nil
	}
	speed := min(f.speed.down(last.speed), f.allowed())
	for _, p := range f.reachable() {
		if p > last.grip*(1+ties) && speed > 0 {
			p = max(p, f.grip(speed, f.policy.SlipPushing))
			return f.try(p, speed, "The belts slipped: one more rung of grip pressure, same "+f.trial.Rig.Control()+".")
		}
	}
	if speed = min(f.speed.below(last.speed, f.smallestRung()), f.allowed()); speed <= 0 || last.grip > f.grips[len(f.grips)-1]*(1+ties) {
		return nil
	}
	return f.try(last.grip, speed,
		"The belts slipped at the highest grip pressure allowed: one rung less "+f.trial.Rig.Control()+".")
}

func slipsEverywhere(f *facts) Next {
	if f.topStall > 0 || f.lowestFold > 0 {
		return nil
	}
	return Refuse{EndLimit, fmt.Sprintf("the belts slip at the highest grip pressure allowed even at the lowest %s: no setting. Clean and dry belts and cable, check belt type and wear, then start again.", f.trial.Rig.Control())}
}

// foldFirst steps down from half the speed of a fold that has no stall below it.
func foldFirst(f *facts) Next {
	if f.folds == 0 || f.topStall > 0 || f.shots[len(f.shots)-1].outcome == Slip {
		return nil
	}
	speed := f.speed.down(f.shots[f.firstFold].worth() * f.policy.FirstFoldDrop)
	if f.lowestFold <= speed*(1+ties) {
		speed = f.speed.down(f.lowestFold - f.speed.division)
	}
	speed = min(speed, f.allowed())
	if speed < f.speed.division*(1-ties) {
		return nil
	}
	return f.try(f.grip(speed, f.policy.SlipPushing), speed, fmt.Sprintf(
		"It folded at %s and never stalled: start again well below.", f.showWorth(f.lowestFold)))
}

func noneLeft(f *facts) Next {
	if f.lowestFold == 0 || f.candidate > 0 {
		return nil
	}
	return Refuse{EndFold, fmt.Sprintf(
		"it folded at %s and no %s on the dial is far enough under that: no setting. A finer division, a smaller duct or a stiffer cable could change that.", f.showWorth(f.lowestFold), f.trial.Rig.Control())}
}

func tooManyFolds(f *facts) Next {
	if f.folds < f.policy.MaxFolds {
		return nil
	}
	return Refuse{EndFold, fmt.Sprintf(
		"%d folds and no setting proved. Lowest fold %s%s. Look at cable, stub and lead-in piece before spending more.", f.folds, f.showWorth(f.lowestFold), f.heldBelow())}
}

func (f *facts) heldBelow() string {
	if f.topStall == 0 {
		return ", nothing held"
	}
	return ", highest stall " + f.showWorth(f.topStall)
}

// proofPushes counts the pushes since the climb last got anywhere.
func (f *facts) proofPushes() int {
	switch {
	case len(f.before) > 0:
		return len(f.shots)
	case f.firstFold >= 0:
		return len(f.shots) - 1 - f.firstFold
	case f.firstTop >= 0:
		return len(f.shots) - 1 - f.firstTop
	}
	return len(f.shots)
}

func tooManyPushes(f *facts) Next {
	if len(f.shots) < f.policy.MaxPushes && (f.ended() == 0 || f.proofPushes() < f.policy.MaxProof) {
		return nil
	}
	return Refuse{f.ended(), fmt.Sprintf(
		"%d pushes and no setting stood its repeats%s. Something changes between pushes: check supply, belts, stub and plug, then start again.", len(f.shots), f.heldBelow())}
}

func budget(f *facts) Next {
	most, ok := f.trial.Limits.CableBudget.Get()
	if !ok || f.trial.CableUsed() < most {
		return nil
	}
	known := "nothing held yet"
	if f.topStall > 0 {
		known = "highest stall " + f.showWorth(f.topStall)
	}
	if f.folds > 0 {
		known += ", lowest fold " + f.showWorth(f.lowestFold)
	}
	return Refuse{EndBudget, fmt.Sprintf("the cable budget is spent before a setting was proved: %s. Allow more cable to go on.", known)}
}

// proved ends the trial when enough stalls stand at or above the candidate and the
// grip pressure to install with has held once.
func proved(f *facts) Next {
	end := f.ended()
	if end == 0 || (f.trial.Kind == Enough && f.lowestFold == 0) {
		return nil
	}
	c := f.yielded()
	if c == 0 || f.stallsFrom(c) < f.repeats() {
		return nil
	}
	grip := f.installGrip(c)
	if !f.holds(grip, c) {
		return nil
	}
	return Install{f.setting(grip, c), end, fmt.Sprintf(
		"%d stalls stand at or above %s.", f.stallsFrom(c), f.show(c))}
}

// yielded is the candidate, or a little less where enough stalls already stand: the
// speed of the last of the hardest ones needed.
func (f *facts) yielded() float64 {
	c, needed := f.provable(), f.repeats()
	var held []float64
	for _, s := range f.shots {
		if s.outcome == Stall {
			held = append(held, s.worth())
		}
	}
	if c == 0 || len(held) < needed {
		return c
	}
	slices.Sort(held)
	if v := f.speed.down(held[len(held)-needed]); v < c && v >= c*(1-f.policy.Yield)*(1-ties) {
		return v
	}
	return c
}

// installGrip is the grip pressure to install with at a speed.
func (f *facts) installGrip(speed float64) float64 {
	grip := f.heldGrip(f.grip(speed, f.policy.SlipInstalling), speed)
	if plan, ok := f.trial.Plan.Grip.Get(); ok && f.trial.Kind == Enough {
		reach := f.reachable()
		for _, p := range reach {
			if p >= float64(plan)*(1-ties) {
				return max(grip, p)
			}
		}
	}
	return grip
}

// heldGrip is a grip pressure, or the rung above it where that one has held and this
// one was not tried: a rung more than needed costs less than another push.
func (f *facts) heldGrip(grip, speed float64) float64 {
	if !f.policy.HeldGrip || f.holds(grip, speed) {
		return grip
	}
	for _, p := range f.grips {
		if p > grip*(1+ties) {
			if f.holds(p, speed) {
				return p
			}
			break
		}
	}
	return grip
}

// newGrip asks for one stall at the grip pressure to install with, once the
// repeats stand and it has not held there.
func newGrip(f *facts) Next {
	c := f.yielded()
	if c == 0 || f.stallsFrom(c) < f.repeats() {
		return nil
	}
	grip := f.installGrip(c)
	if f.holds(grip, c) {
		return nil
	}
	return f.try(grip, c, fmt.Sprintf("The %s stands. One stall at %s, the grip pressure to install with.", f.trial.Rig.Control(), f.showGrip(grip)))
}

// repeat pushes as hard as the proof allows: never above the gap, never more than
// one rung above what has stalled.
func repeat(f *facts) Next {
	c := f.provable()
	most := min(f.allowed(), f.speed.rung(f.topStall, f.largestRung()))
	if f.lowestFold == 0 {
		most = min(most, f.speed.down(f.topStall))
	}
	speed := max(f.highest(most, f.foldsAtMost(f.policy.ConfirmChance)), min(c, most))
	if f.trial.Kind == Enough && f.lowestFold == 0 {
		speed = most
	}
	if speed <= 0 { // nothing is sure enough yet: the lowest setting is the next best to repeat
		speed = min(most, f.speed.division)
	}
	if speed <= 0 {
		return Refuse{f.ended(), fmt.Sprintf("even the lowest %s on the dial is not sure enough%s: no setting.", f.trial.Rig.Control(), f.heldBelow())}
	}
	from, needed := max(c, f.speed.division), f.repeats()
	if f.trial.Kind == Enough && f.lowestFold == 0 {
		from, needed = most, f.policy.Repeats
	}
	grip := f.grip(speed, f.policy.SlipPushing)
	if f.policy.HeldGrip && c > 0 {
		grip = max(grip, f.installGrip(c))
	}
	return f.try(grip, speed, fmt.Sprintf(
		"Repeat: %d of %d stalls stand at or above %s.", f.stallsFrom(from), needed, f.show(from)))
}

// inHundred writes a chance as the crew counts: never nothing, never a certainty.
func inHundred(chance float64) string {
	n := math.Round(chance * 100)
	return fmt.Sprintf("%.0f in 100", min(max(n, 1), 99))
}
