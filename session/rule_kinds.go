package session

import (
	"fmt"

	q "brinkmark/session/quantity"
)

// enough ends an enough trial after its stalls at the top of its short climb.
func enough(f *facts) Next {
	if f.trial.Kind != Enough || f.lowestFold > 0 || f.ended() == 0 {
		return nil
	}
	c := f.provable()
	if n := f.stallsFrom(min(f.top(), f.topStall)); n < f.policy.Repeats || c == 0 || !f.holds(f.installGrip(c), c) {
		return nil
	}
	return Install{f.setting(f.installGrip(c), c), f.ended(), fmt.Sprintf(
		"%d stalls at %s. What is left above was not measured.", f.policy.Repeats, f.showWorth(f.topStall))}
}

// shortCheck makes the pushes of a short check. What a push showed comes before what
// the limits allow.
func shortCheck(f *facts) Next {
	if f.trial.Kind != ShortCheck {
		return nil
	}
	known := Setting{f.trial.Plan.Grip.Or(0), f.trial.Plan.Speed.Or(q.Reading{})}
	speed := f.trial.checkSpeed(known.Speed.Value)
	stalls := 0
	for _, a := range f.pushes {
		switch {
		case a.Outcome != Stall:
			return Refuse{0, fmt.Sprintf("a %s at %s: the setting does not hold today. A full trial is due.", a.Outcome, f.trial.Rig.Named(a.Setting))}
		case a.JacketDamage:
			return Refuse{0, fmt.Sprintf("the jacket was marked at %s: the setting does not hold today. A full trial is due.", f.trial.Rig.ShowGrip(a.Setting.Grip))}
		case a.Setting.Speed.Value >= speed*(1-ties):
			stalls++
		}
	}
	if speed > f.speed.limit*(1+ties) || len(f.grips) == 0 || float64(known.Grip) > f.grips[len(f.grips)-1]*(1+ties) {
		return Refuse{EndLimit, fmt.Sprintf("today's limits leave no room for a push at a tenth above %s: a full trial is due.", f.trial.Rig.Named(known))}
	}
	if stalls >= f.policy.Repeats {
		return Install{known, 0, fmt.Sprintf("%d of %d pushes at %s held.", stalls, stalls, f.show(speed))}
	}
	if refusal := budget(f); refusal != nil {
		return refusal
	}
	return f.try(float64(known.Grip), speed, fmt.Sprintf("Short check: %d of %d pushes at a tenth above %s.", stalls, f.policy.Repeats, f.trial.Rig.Named(known)))
}
