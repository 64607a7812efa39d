package session

import (
	"fmt"
	"math"

	q "brinkmark/session/quantity"
)

// warnings are what the crew and a supervisor must know beside the advice.
func (f *facts) warnings(next Next, o Outlook) []string {
	var w []string
	add := func(when bool, format string, args ...any) {
		if when {
			w = append(w, fmt.Sprintf(format, args...))
		}
	}
	install, installing := next.(Install)
	control := f.trial.Rig.Control()
	add(f.trial.Earlier != "" && f.trial.Before == nil, "the earlier trial is not weighed: it cannot be read, or no table carries its temperature to today's")
	add(len(f.before) > 0, "an earlier trial of this cable is weighed too%s", f.moveText())
	add(f.varied, "this cable does not repeat well: it folded at or below a %s it had stalled at", control)
	for _, a := range f.pushes {
		text := a.Contradicts()
		add(text != "", "attempt %d is %s", a.Seq, text)
		add(a.JacketDamage, "the jacket was marked at %s: grip pressure stays under that", f.trial.Rig.ShowGrip(a.Setting.Grip))
	}
	add(f.moved(), "some pushes were made at another cable temperature and are moved to today's by polyethylene's stiffness: an estimate")
	add(f.outside(), "the cable temperature is outside the stiffness table: pushes at other temperatures are taken as they are")
	add(f.disagrees(), "the pushes disagree with the data sheet and the rig card: the pushes count; check stiffness, kink radius and the pull test")
	add(len(f.trial.steepLadder()) > 0, "the ladder goes up in larger rungs or from a higher start than usual, and nobody said why")
	if installing {
		add(install.EndedOn == EndLimit, "no fold seen: the climb ended on a limit, so the margin to a fold is unknown")
		add(install.EndedOn == EndEarly, "no fold seen: the climb ended where the data sheet and the rig card make a fold likely, so the margin rests on them")
		add(install.EndedOn == EndEnough, "no fold seen: the climb ended at what the run needs, and what is left above was not measured")
		add(!f.readings(), "no stall readings: should a relief valve set the push, a lower %s is no margin", control)
		add(f.readings() && len(f.readingPairs()) == 0, "the stall readings are too close together to tell whether a relief valve sets the push; if it does, a lower %s is no margin", control)
		f.planWarnings(install, add)
		slip, ok := o.SlipChance.Get()
		add(ok && slip > f.policy.SlipInstalling, "the belts may slip at this setting: about %s", inHundred(slip))
	}
	add(!f.trial.Rig.TractionPerGrip.Known() || !f.trial.Rig.ThrustPerSpeed.Known(),
		"no pull test of the rig: push is known as readings only")
	return w
}

// moveText says how the earlier trial was brought to today.
func (f *facts) moveText() string {
	if len(f.before) == 0 || f.before[len(f.before)-1].doubt.slip == 0 {
		return ""
	}
	return fmt.Sprintf(", moved from %s to %s and trusted less for it", f.trial.Before.CableTemperatureText(), f.trial.CableTemperatureText())
}

func (f *facts) planWarnings(install Install, add func(bool, string, ...any)) {
	if f.trial.Kind != Enough {
		return
	}
	plan := f.trial.Plan.Speed.Or(q.Reading{})
	add(install.Setting.Speed.Value < f.speed.down(plan.Value)*(1-ties),
		"this is less than the run needs: %s was planned", f.trial.Rig.ShowSpeed(plan.Value))
	add(f.lowestFold == 0 && !f.reachedPlan(),
		"a limit stopped the climb short of a quarter above the plan")
}

// readings reports whether any stall reading was written down.
func (f *facts) readings() bool {
	for _, a := range f.pushes {
		if a.StallReading.Known() {
			return true
		}
	}
	return false
}

// disagrees reports whether the fold speed found, once the cable folded, is further
// from what was believed than one cable in twenty would be.
func (f *facts) disagrees() bool {
	b, known := f.machine.fold.Get()
	return known && f.lowestFold > 0 && math.Abs(math.Log(f.post.foldSpeed(0.5)/b.median)) > 1.96*b.sd
}

// moved reports whether any push stands for another speed today than it was made at.
func (f *facts) moved() bool {
	for _, s := range f.shots {
		if s.shift != 0 {
			return true
		}
	}
	return false
}

// outside reports whether a push at another temperature could not be moved.
func (f *facts) outside() bool {
	now, ok := f.trial.Conditions.CableTemperature.Get()
	for i, a := range f.pushes {
		then, known := a.CableTemperature.Get()
		if ok && known && then != now && f.shots[i].shift == 0 {
			return true
		}
	}
	return false
}
