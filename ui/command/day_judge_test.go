package command

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// judge holds a promise against the log. It says every way in which it is too much.
func (l *ledger) judge(p promise) []finding {
	var found []finding
	of := l.proofs[p.id]
	say := func(key, format string, args ...any) {
		text := fmt.Sprintf("%s at tablet %d, %s: profile %s promises %s", p.exit, p.tablet+1, p.now.Format("01-02 15:04"), tail(p.id), p.set)
		if !math.IsNaN(p.at) {
			text += fmt.Sprintf(" for a cable of %.1f °F", p.at)
		}
		if of != nil && of.state[p.tablet] == byHand {
			key = "by hand: " + key
		}
		found = append(found, finding{key + " (" + p.exit + ")", text + "; " + fmt.Sprintf(format, args...)})
	}
	if of == nil {
		say("I2 nobody has tried it", "no trial of it was ever made")
		return found
	}
	if l.inOrder(p, of, say) {
		return found // it hands out nothing, whatever it says
	}
	l.underFolds(p, of, say)
	l.stalled(p, of, say)
	l.band(p, of, say)
	l.expiry(p, of, say)
	l.limited(p, of, say)
	l.spokenAgainst(p, of, say)
	if p.holds && (p.asks && p.reel == "" || of.reel == "") {
		say("I5 covered though no reel was asked", "reel of the trial %q, of the job %q", of.reel, p.reel)
	}
	return found
}

type saying func(key, format string, args ...any)

func tail(id string) string { return id[max(0, len(id)-6):] }

// knows reports whether a tablet has heard of a record.
func (l *ledger) knows(tablet int, id string) bool { return l.known[tablet][id] }

// underFolds: no more than 0.90 of every fold of that cable, duct and rig that is known here.
func (l *ledger) underFolds(p promise, of *proof, say saying) {
	today := p.at
	if math.IsNaN(today) {
		today = of.coldest(p.set)
	}
	check := func(where, id string, speed, at float64) {
		if l.warmerThanPromised(p, of, at) {
			if !strictly {
				return
			}
			where += " on a warmer cable than it is promised for"
		}
		if most := underFold * worth(speed, at, today); p.set.speed > most*(1+near) {
			say("I1 above 0.90 of a fold in "+where, "at most %.4g: folded at %.4g, %.1f °F, in %s", most, speed, at, tail(id))
		}
	}
	for _, id := range l.sortedProofs() {
		other := l.proofs[id]
		if other.key != of.key || id != p.id && !l.knows(p.tablet, id) {
			continue
		}
		where := "another trial"
		if id == p.id {
			where = "its own trial"
		}
		for _, a := range other.pushes {
			if a.outcome == "fold" {
				check(where, id, a.speed, a.at)
			}
		}
	}
	for _, h := range l.sortedHurts() {
		if h.folded && h.key == of.key && l.knows(p.tablet, h.run) {
			check("a run", h.run, h.speed, h.at)
		}
	}
}

// strictly counts a fold on a cable warmer than the profile is promised for as well: at no
// more than it was. Without, the profile's own stalls on the colder cable say more.
var strictly = number("BRINKMARK_STRICT", 0) > 0

// warmerThanPromised reports whether something happened on a cable warmer than a promise
// reaches by its own words and by the rules.
func (l *ledger) warmerThanPromised(p promise, of *proof, at float64) bool {
	top := math.Inf(-1)
	const whole = 1.8 // °F: a band is cut to whole degrees of either thermometer
	for _, t := range []float64{p.at, p.top, l.allowedUpTo(p, of) - whole} {
		if !math.IsNaN(t) {
			top = max(top, t)
		}
	}
	return !math.IsNaN(at) && at > top+0.05
}

// stalled: as many stalls as are asked for at or above it, one of them at no more than its
// grip pressure, and none that marked the jacket at or below that pressure.
func (l *ledger) stalled(p promise, of *proof, say saying) {
	above, gripped := 0, false
	for _, a := range of.pushes {
		if a.outcome == "stall" && a.speed >= p.set.speed*(1-near) {
			above++
			gripped = gripped || a.grip <= p.set.grip*(1+near)
		}
		if a.marked && a.outcome != "void" && p.set.grip >= a.grip*(1-near) {
			say("I2 a push marked the jacket at its grip pressure", "marked at %.4g psi", a.grip)
		}
	}
	if above < stallsNeeded {
		say("I2 too few stalls", "%d stalls at or above it, %d asked for", above, stallsNeeded)
	} else if !gripped {
		say("I2 no stall at its grip pressure", "none of %d stalls at or under %.4g psi", above, p.set.grip)
	}
}

// pushesFor are the stalls a promise rests on.
func (of *proof) pushesFor(set dial) (at []float64) {
	for _, a := range of.pushes {
		if a.outcome == "stall" && a.speed >= set.speed*(1-near) {
			at = append(at, a.at)
		}
	}
	return at
}

func (of *proof) coldest(set dial) float64 {
	if at := of.pushesFor(set); len(at) > 0 {
		return slices.Min(at)
	}
	return math.NaN()
}

// allowedUpTo is the warmest cable the rules allow from the stalls a promise rests on.
func (l *ledger) allowedUpTo(p promise, of *proof) float64 {
	most := math.Inf(-1)
	for at, links := of, 0; at != nil && links < 8; at, links = l.proofs[at.of], links+1 {
		for _, t := range at.pushesFor(p.set) {
			most = max(most, l.rules[p.tablet].warmest(t))
		}
		if at.kind != "short check" {
			break
		}
	}
	return most
}

// band: no warmer than the rules allow from the temperature in force at its stalls, or at
// those of the trial a short check rests on.
func (l *ledger) band(p promise, of *proof, say saying) {
	if math.IsNaN(p.top) || p.lower {
		return
	}
	most := l.allowedUpTo(p, of)
	if !math.IsInf(most, -1) && p.top > most+degreeSlack {
		say("I3 band too warm", "said to hold up to %.1f °F, its stalls allow %.1f °F", p.top, most)
	}
}

// until is when a setting needs its next check at the latest.
func (l *ledger) until(tablet int, of *proof) time.Time {
	r := l.rules[tablet]
	root := of
	for links := 0; root.kind == "short check" && l.proofs[root.of] != nil && links < 8; links++ {
		root = l.proofs[root.of]
	}
	y, m, d := of.accepted.Date()
	until := time.Date(y, m, d+1, 0, 0, 0, 0, of.accepted.Location())
	for _, end := range []time.Time{
		of.accepted.Add(hours(r.shift)), of.accepted.Add(hours(24 * r.checkDays)), root.accepted.Add(hours(24 * r.testDays)),
	} {
		if end.Before(until) {
			until = end
		}
	}
	return until
}

func hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }

func (l *ledger) expiry(p promise, of *proof, say saying) {
	if of.accepted.IsZero() {
		return
	}
	until := l.until(p.tablet, of)
	if p.holds && !p.now.Before(until) {
		say("I4 covered though a check is due", "due at %s", until.Format("01-02 15:04"))
	}
	if !p.until.IsZero() && p.until.After(until.Add(time.Minute)) {
		say("I4 expiry too late", "said to hold until %s, at most %s", p.until.Format("01-02 15:04"), until.Format("01-02 15:04"))
	}
}

// limited: never above a limit of rig, crew, plan or cable, of the trial or of today.
func (l *ledger) limited(p promise, of *proof, say saying) {
	for _, most := range []dial{of.most, p.most} {
		if most.grip > 0 && p.set.grip > most.grip*(1+near) {
			say("I7 grip pressure above a limit", "limit %.4g psi", most.grip)
		}
		if most.speed > 0 && p.set.speed > most.speed*(1+near) {
			say("I7 push control above a limit", "limit %.4g", most.speed)
		}
	}
}

// spokenAgainst: a fold or marked jacket in a run ends every profile at or above it, and
// what a supervisor ended is ended.
func (l *ledger) spokenAgainst(p promise, of *proof, say saying) {
	for _, h := range l.sortedHurts() {
		own := h.of == p.id
		if h.key != of.key || !l.knows(p.tablet, h.run) || !of.saved || !own && !strictly && l.warmerThanPromised(p, of, h.at) {
			continue
		}
		set := of.set // the whole profile is ended
		if !own && l.warmerThanPromised(promise{tablet: p.tablet, set: of.set, at: math.NaN(), top: math.NaN()}, of, h.at) {
			set = p.set // only what is promised at that temperature
		}
		switch {
		case h.folded && set.speed >= h.speed*(1-near):
			say("I6 a run folded at or below its setting"+sister(own), "its setting %s; run %s folded at %s, %.1f °F", of.set, tail(h.run), h.dial, h.at)
		case h.marked && set.grip >= h.grip*(1-near):
			say("I6 a run marked the jacket at or below its grip pressure"+sister(own), "its setting %s; run %s at %s, %.1f °F", of.set, tail(h.run), h.dial, h.at)
		}
	}
	for _, d := range l.said {
		ended := d.action == "withdraw" || d.action == "expire" && !p.now.Before(d.on)
		if d.profile == p.id && ended && l.knows(p.tablet, d.id) {
			say("I6 offered though a supervisor ended it: "+d.action, "by decision %s", d.id)
		}
	}
}

func sister(own bool) string {
	if own {
		return ", made with it"
	}
	return ", made with a sister"
}

// inOrder: what was sealed and is not as it was hands out nothing.
func (l *ledger) inOrder(p promise, of *proof, say saying) (edited bool) {
	switch of.state[p.tablet] {
	case broken:
		say("edited: seal broken", "a line was changed under its seal")
	case sealsOff:
		say("edited: seals taken off", "it was sealed once, and is not any more")
	default:
		return false
	}
	return true
}

func (l *ledger) sortedProofs() []string {
	ids := make([]string, 0, len(l.proofs))
	for id := range l.proofs {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

func (l *ledger) sortedHurts() []*hurt {
	var all []*hurt
	for _, h := range l.hurts {
		all = append(all, h)
	}
	slices.SortFunc(all, func(a, b *hurt) int { return strings.Compare(a.run, b.run) })
	return all
}

// answer is what one exit says of one profile at its own temperature, to be compared.
type answer struct {
	exit  string
	set   dial
	top   float64 // NaN: not said
	until time.Time
	none  bool   // hands out nothing
	why   string // for nothing
}

// agree: for one record, job, time and set of rules all exits say the same.
func agree(id string, all []answer) []finding {
	var found []finding
	say := func(key string, a, b answer, format string, args ...any) {
		found = append(found, finding{fmt.Sprintf("I4 %s: %s against %s", key, a.exit, b.exit), fmt.Sprintf("profile %s: ", tail(id)) + fmt.Sprintf(format, args...)})
	}
	for i, a := range all {
		for _, b := range all[i+1:] {
			if a.none || b.none {
				if a.none != b.none {
					say("one hands out what the other does not", a, b, "%s hands out nothing: %v, %s: %v; %s%s", a.exit, a.none, b.exit, b.none, a.why, b.why)
				}
				continue
			}
			if math.Abs(a.set.grip-b.set.grip) > near*a.set.grip || math.Abs(a.set.speed-b.set.speed) > near*a.set.speed {
				say("other settings", a, b, "%s says %s, %s says %s", a.exit, a.set, b.exit, b.set)
			}
			if math.Abs(a.top-b.top) > degreeSlack {
				say("other bands", a, b, "%s says up to %.1f °F, %s says %.1f °F", a.exit, a.top, b.exit, b.top)
			}
			if !a.until.IsZero() && !b.until.IsZero() && a.until.Sub(b.until).Abs() > time.Minute {
				say("other expiries", a, b, "%s says until %s, %s says %s", a.exit, a.until.Format("01-02 15:04"), b.exit, b.until.Format("01-02 15:04"))
			}
		}
	}
	return found
}

// verdictOn is what covers says of one profile: 0 covered, 1 short check, 2 retest.
type verdictOn struct {
	effect int
	set    dial
	some   bool
	top    float64 // of the one that covers; NaN
}

// widened: after a tighter rule, one more finding or one word less of the job, nothing that
// was said before is said more freely.
func widened(why string, before, after map[string]verdictOn) []finding {
	var found []finding
	ids := make([]string, 0, len(after))
	for id := range after {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	for _, id := range ids {
		a := after[id]
		b, was := before[id]
		switch {
		case !was:
		case a.effect < b.effect:
			found = append(found, finding{"I5 freer after " + why, fmt.Sprintf("profile %s: effect %d before, %d after", tail(id), b.effect, a.effect)})
		case a.some && b.some && (a.set.speed > b.set.speed*(1+near) || a.set.grip > b.set.grip*(1+near)):
			found = append(found, finding{"I5 higher after " + why, fmt.Sprintf("profile %s: %s before, %s after", tail(id), b.set, a.set)})
		case a.top > b.top+degreeSlack:
			found = append(found, finding{"I5 warmer after " + why, fmt.Sprintf("profile %s: up to %.1f °F before, %.1f °F after", tail(id), b.top, a.top)})
		}
	}
	return found
}

// freed: what is left out of a job never makes covered of retest or short check.
func freed(key string, whole, without map[string]verdictOn) []finding {
	var found []finding
	for id, a := range without {
		if b, was := whole[id]; was && b.effect > 0 && a.effect == 0 {
			found = append(found, finding{"I5 covered once " + key + " is left out", fmt.Sprintf("profile %s: effect %d with it, %d without", tail(id), b.effect, a.effect)})
		}
	}
	return found
}
