package practice

import (
	"fmt"
	"math"
	"slices"

	"brinkmark/session"
)

// mistake is a kind of thing that costs points.
type mistake int

// The mistakes, the gravest first.
const (
	foldMissed mistake = iota
	falseProof
	markMissed
	gaugeMisread
	otherMisread
	unsafeAct
	setTooHard
	goalMissed
	passedOver
	falseAlarm
	cableSpoilt
	nothingRead
	runFolded
	runLate
	runEarly
	runHarder
	mistakes // how many there are
)

// scoring is what each mistake costs of a hundred points, the score that cannot be
// exceeded once it was made, and why. Costs add up, and the lowest ceiling counts, so a
// mistake more never raises a score.
//
// Source: a choice of ours, by how much harm each would do on a real rig.
var scoring = [mistakes]struct {
	costs, most int
	what, why   string
}{
	foldMissed:   {60, 15, "a fold read as something else", "The next push goes harder into a cable that has folded, and its setting may be installed with."},
	falseProof:   {20, 70, "a stall that was none", "It proves a setting that was never proved."},
	markMissed:   {15, 75, "a marked jacket not written down", "Grip pressure climbs on, into the jacket."},
	gaugeMisread: {10, 90, "a gauge misread", "A relief valve hides behind a wrong reading."},
	otherMisread: {10, 90, "another wrong reading", "It costs cable, time and a better setting, and hurts nobody."},
	unsafeAct:    {25, 40, "an unsafe act", "It could have cost a hand or a life. No setting is worth that."},
	setTooHard:   {30, 45, "a setting too near the fold", "A fold in the run is the whole length of cable."},
	goalMissed:   {30, 60, "the goal missed", "The lesson asked for it."},
	passedOver:   {10, 90, "something wrong passed over", "What is wrong at the set-up speaks in every push."},
	falseAlarm:   {3, 95, "something called wrong that was right", "Who cries out too often is not heard when it counts."},
	cableSpoilt:  {5, 100, "the cable of a fold more than the rule needs", "The route needs it."},
	nothingRead:  {90, 10, "no push made and read", "Nothing was found out."},
	runFolded:    {60, 15, "a fold in the run", "All of the cable in the duct is scrap."},
	runLate:      {30, 60, "letting it run on though it had slowed", "What slows a cable can stop it dead."},
	runEarly:     {15, 85, "stopping with nothing wrong", "A cable that stands starts harder."},
	runHarder:    {25, 60, "a turn above the install setting", "What is above it was not proved."},
}

// readRight is what stays to those who read every push right, whatever else went wrong:
// more than the most that is left to a fold misread.
const readRight = 20

// of is the mistake in a wrong reading.
func (v Verdict) of() mistake {
	t := v.Truth
	looks := v.Read == t.Outcome || t.Either && v.Read == t.Looks
	folded := t.Outcome == session.Fold || t.CableUsed >= usedByFold
	switch {
	case folded && !looks && v.Read != session.Fold && (t.Outcome == session.Fold || v.Read != session.Void):
		return foldMissed
	case !looks && v.Read == session.Stall:
		return falseProof
	case looks && t.JacketMarked && !v.Marked:
		return markMissed
	case looks && v.Marked == t.JacketMarked:
		return gaugeMisread
	}
	return otherMisread
}

// count is how often each mistake was made.
func (r Review) count() (n [mistakes]int) {
	for _, v := range r.Wrong {
		n[v.of()]++
	}
	n[unsafeAct] = len(r.Unsafe)
	n[passedOver] = len(r.Overlooked)
	for _, m := range r.Misjudged {
		switch {
		case m.Alarm:
			n[falseAlarm]++
		case slices.ContainsFunc(r.Overlooked, func(k TroubleKind) bool { return k.Check() == m.Check.ID }): // counted there
		case !m.Check.Killer: // an unsafe act already
			n[passedOver]++
		}
	}
	over := float64(r.CableUsed-r.Engine.CableUsed) / float64(usedByFold)
	n[cableSpoilt] = int(math.Round(math.Max(over, 0)))
	if r.Run != nil {
		r.Run.count(&n)
		return n
	}
	if r.TooHard {
		n[setTooHard] = 1
	}
	if r.GoalMissed {
		n[goalMissed] = 1
	}
	if r.Right+len(r.Wrong) == 0 {
		n[nothingRead] = 1
	}
	return n
}

func (r RunReview) count(n *[mistakes]int) {
	n[cableSpoilt] = 0
	n[runHarder] = r.Overrides
	for m, made := range map[mistake]bool{runFolded: r.Folded, runLate: r.Late, runEarly: r.Early} {
		if made {
			n[m] = 1
		}
	}
}

// score is 100 less what the mistakes cost, under the lowest of their ceilings.
func score(n [mistakes]int) int {
	points, most, least := 100, 100, readRight
	for m, times := range n {
		if times > 0 {
			points -= scoring[m].costs * times
			most = min(most, scoring[m].most)
		}
		if times > 0 && (slices.Contains(misreadings, mistake(m)) || m >= int(nothingRead)) {
			least = 0
		}
	}
	return min(max(points, least), most)
}

// misreadings are the mistakes in reading a push.
var misreadings = []mistake{foldMissed, falseProof, markMissed, gaugeMisread, otherMisread}

// costLines say what each mistake cost and why.
func (r Review) costLines() []string {
	var lines []string
	for m, times := range r.count() {
		if times == 0 {
			continue
		}
		s := scoring[m]
		line := fmt.Sprintf("  %d points off for %s", times*s.costs, s.what)
		if times > 1 {
			line += fmt.Sprintf(", %d times", times)
		}
		if s.most < 100 {
			line += fmt.Sprintf("; %d is the most then", s.most)
		}
		lines = append(lines, line+". "+s.why)
	}
	return lines
}
