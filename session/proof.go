package session

import (
	"fmt"
	"math"
	"slices"

	q "brinkmark/session/quantity"
)

// Proof is what a trial's own pushes carry of a setting, whatever is written of it.
type Proof struct {
	// From is the cable temperature it was proved at: the one in force at as many of the
	// stalls at or above the setting as its policy asks, and never warmer than the one in
	// force now.
	From  q.Maybe[q.Temperature]
	Flaws []string // why they do not carry it
}

// Proof judges a setting by the pushes that stand. What the rule itself would advise is for
// [Trial.Advises] to say, which takes as long as a decision.
func (t Trial) Proof(s Setting) Proof {
	p := Proof{From: t.Conditions.CableTemperature}
	if err := t.Advisable(); err != nil {
		p.Flaws = []string{"its job is not whole: " + err.Error()}
		return p
	}
	p.Flaws = t.OverLimits(s)
	var stalls []Attempt
	lowest, clean := math.Inf(1), false
	wanted := t.provingSpeed(s)
	for _, a := range t.Attempts() {
		if a.JacketDamage && a.Setting.Grip <= s.Grip*(1+slack) {
			p.Flaws = append(p.Flaws, fmt.Sprintf("the jacket was marked at %s", t.Rig.ShowGrip(a.Setting.Grip)))
		}
		v := t.shot(a).worth()
		switch {
		case t.Kind == ShortCheck && (a.Outcome == Fold || a.Outcome == Slip):
			p.Flaws = append(p.Flaws, fmt.Sprintf("its check ended in a %s at %s", a.Outcome, t.Rig.Show(a.Setting)))
		case a.Outcome == Fold:
			lowest = min(lowest, v)
		case a.Outcome == Stall && v >= wanted*(1-slack):
			stalls = append(stalls, a)
			clean = clean || a.Setting.Grip <= s.Grip*(1+slack)
		}
	}
	if s.Speed.Value > t.Policy.Gap*lowest*(1+slack) {
		p.Flaws = append(p.Flaws, fmt.Sprintf("%s is not a tenth below %s, which folded", t.Rig.ShowSpeed(s.Speed.Value), t.Rig.ShowSpeed(lowest)))
	}
	need := t.repeatsAsked()
	switch {
	case len(stalls) < need:
		p.Flaws = append(p.Flaws, fmt.Sprintf("%d of %d stalls stand at %s or harder", len(stalls), need, t.Rig.ShowSpeed(wanted)))
	case !clean:
		p.Flaws = append(p.Flaws, fmt.Sprintf("it never stalled at %s or harder with %s or less", t.Rig.ShowSpeed(wanted), t.Rig.ShowGrip(s.Grip)))
	default:
		p.From = t.provedAt(stalls, need)
	}
	return p
}

// provingSpeed is the speed at or above which stalls prove a setting: its own, and a tenth
// more in a short check.
func (t Trial) provingSpeed(s Setting) float64 {
	if t.Kind != ShortCheck {
		return s.Speed.Value
	}
	return t.checkSpeed(s.Speed.Value)
}

// checkSpeed is the speed of a short check's pushes: a tenth above, one division at least.
func (t Trial) checkSpeed(known float64) float64 {
	d := dial{t.speedDial().division, math.Inf(1)}
	return max(d.down(known*t.Policy.CheckAbove), d.down(known)+d.division)
}

// repeatsAsked is how many stalls the policy wants at or above a setting.
func (t Trial) repeatsAsked() int {
	var shots []shot
	for _, a := range t.pushes() {
		shots = append(shots, t.shot(a))
	}
	if t.Kind != ShortCheck && repeatsBadly(shots) {
		return t.Policy.RepeatsVaried
	}
	return t.Policy.Repeats
}

// provedAt is the temperature that as many of the stalls as are needed had, or a warmer one.
func (t Trial) provedAt(stalls []Attempt, need int) q.Maybe[q.Temperature] {
	now, known := t.Conditions.CableTemperature.Get()
	if !known {
		return t.Conditions.CableTemperature
	}
	var at []q.Temperature
	for _, a := range stalls {
		at = append(at, a.CableTemperature.Or(now))
	}
	slices.Sort(at)
	return q.Known(min(now, at[len(at)-need]))
}

// OverLimits says which limit of rig, cable, crew or, but in a full trial, of its plan a
// setting passes.
func (t Trial) OverLimits(s Setting) []string {
	var said []string
	over := func(when bool, format string, args ...any) {
		if when {
			said = append(said, fmt.Sprintf(format, args...))
		}
	}
	if limit := t.speedDial().limit; limit > 0 {
		over(s.Speed.Value > limit*(1+slack), "%s is above the limit of rig or crew, %s", t.Rig.ShowSpeed(s.Speed.Value), t.Rig.ShowSpeed(limit))
	}
	if limit := t.gripDial().limit; limit > 0 {
		over(float64(s.Grip) > limit*(1+slack), "%s is above the limit of rig, cable or crew, %s", t.Rig.ShowGrip(s.Grip), t.Rig.ShowGrip(q.Pressure(limit)))
	}
	if t.Kind == Full {
		return said
	}
	plan, grip := t.Plan.Speed.Or(q.Reading{}), t.Plan.Grip.Or(0)
	over(s.Speed.Value > plan.Value*(1+slack), "%s is above what this trial set out to prove, %s", t.Rig.ShowSpeed(s.Speed.Value), t.Rig.ShowSpeed(plan.Value))
	over(t.Kind == ShortCheck && s.Grip > grip*(1+slack), "%s is above the setting that was checked, %s", t.Rig.ShowGrip(s.Grip), t.Rig.ShowGrip(grip))
	return said
}

// Advises says why the rule, by the pushes and under the record's own policy, does not advise
// a setting; "" where it does.
func (t Trial) Advises(s Setting) string {
	install, ok := Decide(t).(Install)
	switch {
	case !ok:
		return "its pushes do not end in a setting"
	case s.Speed.Value > install.Setting.Speed.Value*(1+slack) || s.Grip > install.Setting.Grip*(1+slack):
		return fmt.Sprintf("its pushes lead to %s, and it says %s", t.Rig.Show(install.Setting), t.Rig.Show(s))
	}
	return ""
}
