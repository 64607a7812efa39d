package profiles

import (
	"slices"
	"time"

	"brinkmark/session"
)

// failed reports whether any push of a short check was no stall, or marked the jacket.
func failed(t session.Trial) bool {
	return slices.ContainsFunc(t.Attempts(), func(a session.Attempt) bool {
		return a.JacketDamage || a.Outcome == session.Fold || a.Outcome == session.Slip
	})
}

// Find tells what was found of a profile, and so of every short check that rests on it.
func (c *Candidates) Find(id string, f Finding) {
	if c.findings[id] == nil {
		c.findings[id] = map[Finding]bool{}
	}
	c.findings[id][f] = true
	c.settled = false
}

// settle follows every profile back to the trial it rests on.
func (c *Candidates) settle() {
	if c.settled {
		return
	}
	byID := make(map[string]*side, len(c.all))
	for _, s := range c.all {
		byID[s.id] = s
	}
	for _, s := range c.all { // a check that failed ends the setting, also where it was first proved
		if !c.findings[s.id][CheckFailed] {
			continue
		}
		for at, links := byID[s.record.Of], 0; at != nil && links < len(c.all); links++ {
			c.Find(at.id, CheckFailed)
			at = byID[at.record.Of]
		}
	}
	for _, s := range c.all {
		s.root, s.findings = time.Time{}, map[Finding]bool{}
		c.know(s)
		s.claimed = nil
		c.proveRange(s, byID)
		s.tooOther = c.tooOther(byID[s.record.Of], s)
		seen := map[*side]bool{}
		for at := s; at != nil && !seen[at]; at = byID[at.record.Of] {
			seen[at] = true
			for f := range c.findings[at.id] {
				s.findings[f] = true
			}
			if at.trial.Kind != session.ShortCheck {
				s.root = at.proved
				break
			}
			for f := range c.findings[at.record.Of] { // also of one that is not here
				s.findings[f] = true
			}
		}
	}
	c.settled = true
}

// proveRange finds the temperatures at which a short check's setting held: its own and,
// as long as nothing but temperature and time differs, those of what it rests on.
func (c *Candidates) proveRange(s *side, byID map[string]*side) {
	s.coldest, s.hottest = s.from, s.from
	set := s.setting()
	for at, links := s, 0; at.trial.Kind == session.ShortCheck && links < len(c.all); links++ {
		next := byID[at.record.Of]
		if next == nil || !(&compared{next, at, &c.limits, at.proved}).alikeButTemperature() {
			return
		}
		if held := next.setting(); held.Speed.Value < set.Speed.Value*(1-rounding) || held.Grip < set.Grip*(1-rounding) {
			return
		}
		s.coldest, s.hottest, at = min(s.coldest, next.from), max(s.hottest, next.from), next
	}
}

// tooOther says why a short check could not take a setting over from the profile it is of: what it
// was made with, as measured on the day, is so much another that a full trial alone would do. How
// warm it was its own stalls tell.
func (c *Candidates) tooOther(of, check *side) (why []string) {
	if of == nil || check.trial.Kind != session.ShortCheck {
		return nil
	}
	with := &compared{of, check, &c.limits, check.proved}
	for i := range coverRules {
		f := &coverRules[i]
		if slices.Contains(notOfTheSetup, f.key) {
			continue
		}
		if row := f.decides(with); row != nil && row.effect == Retest {
			why = append(why, otherSetup+f.text(of)+" there, "+f.text(check)+" here. "+row.why)
		}
	}
	return why
}

const otherSetup = "its short check is of another set-up than the profile it names: "

// notOfTheSetup are the fields of the rules that are not about what a trial is made with.
var notOfTheSetup = []string{"conditions.cable_temperature", "setting.accepted", "findings", "times", "seal", "plan.speed", "limits.speed"}

// alikeButTemperature reports whether no rule but those of temperature, time and later
// findings asks for anything.
func (c *compared) alikeButTemperature() bool {
	for i := range coverRules {
		if slices.Contains(notOfTheSetup, coverRules[i].key) {
			continue
		}
		if row := coverRules[i].decides(c); row != nil && row.effect > Covered {
			return false
		}
	}
	return true
}
