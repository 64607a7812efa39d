package profiles

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Exception is one thing about a record that keeps a supervisor from trusting it.
type Exception struct {
	Kind   ExceptionKind
	Detail string // what exactly, "" when the kind says it all
}

// ExceptionKind is what is the matter, the worst first.
type ExceptionKind int

// The kinds, in the order in which they are shown.
const (
	Unreadable ExceptionKind = iota + 1
	EditedSinceSealed
	EditedSinceReview
	OtherCopy
	FoldInRun
	DamageInRun
	AboveFold
	AboveAdvice
	NotCarried
	HurtElsewhere
	Damage
	CheckDidNotHold
	NoBracket
	FewStalls
	Withdrawal
	Expiry
	Question
	KillerOpen
	CheckSkipped
	CheckWrong
	MissingField
	ImpossibleTime
	OverrideInRun
	HurtTakenBack
	Contradiction
	Disagrees
	LowerAccepted
	OddReview
	WrongName
	NotSealed
)

// exceptionKinds name the kinds for programs, and say them to people.
var exceptionKinds = []struct{ name, says string }{
	{},
	{"unreadable", "cannot be read"},
	{"edited", "edited after it was sealed"},
	{"edited since review", "not the file that was reviewed"},
	{"other copy", "an exchange brought a different file of this id"},
	{"fold in run", "the cable folded in a run with it"},
	{"damage in run", "the jacket was marked in a run with it"},
	{"above fold", "setting at or above a speed that folded"},
	{"above advice", "setting harder than was advised"},
	{"not carried", "hands out nothing"},
	{"hurt elsewhere", "hands out nothing"},
	{"jacket damage", "jacket damage at or below this grip pressure"},
	{"check failed", "a short check of it did not hold"},
	{"no bracket", "never folded, never slipped: margin unknown"},
	{"few stalls", "too few stalls at the setting or harder"},
	{"withdrawn", "withdrawn"},
	{"expired", "past the expiry a supervisor set"},
	{"queried", "a supervisor has asked about it"},
	{"killer open", "safety check never answered right"},
	{"check skipped", "check skipped"},
	{"check wrong", "check left in a wrong state"},
	{"missing", "not written down"},
	{"times", "times that cannot be"},
	{"override in run", "pushed harder than allowed in a run with it"},
	{"fold taken back", "a fold or a marked jacket was written in a run with it, and taken back"},
	{"contradiction", "outcome against what was seen"},
	{"disagrees", "another trial of this cable, duct and rig disagrees"},
	{"lower accepted", "another setting accepted than advised"},
	{"odd review", "a review of it was edited, or written by hand"},
	{"wrong name", "file name and id are not the same"},
	{"not sealed", "written by hand or by an older version, without a seal"},
}

// String is the kind's name for programs.
func (k ExceptionKind) String() string { return exceptionKinds[k].name }

// Says is what people read of a kind.
func (k ExceptionKind) Says() string { return exceptionKinds[k].says }

// Says is what the supervisor reads.
func (e Exception) Says() string {
	if e.Detail == "" {
		return e.Kind.Says()
	}
	return e.Kind.Says() + ": " + e.Detail
}

// endsPromise are the exceptions of a record that hands out nothing.
var endsPromise = []ExceptionKind{Unreadable, EditedSinceSealed, FoldInRun, DamageInRun, AboveFold, AboveAdvice, NotCarried, HurtElsewhere, Damage, CheckDidNotHold, Withdrawal, Expiry}

// HandsOutNothing reports whether what is known against a record keeps its setting from being
// installed with.
func (p *Listed) HandsOutNothing() bool { return p.tooOld || len(p.ends()) > 0 }

// endedByDecision reports whether supervisors' decisions alone do.
func (p *Listed) endedByDecision() bool {
	return !slices.ContainsFunc(p.ends(), func(e Exception) bool { return e.Kind != Withdrawal && e.Kind != Expiry })
}

// ends are the exceptions for which a record hands out nothing.
func (p *Listed) ends() []Exception {
	looked := slices.ContainsFunc(p.Actions, func(a Judged) bool {
		return a.Action == Accept && a.Sealed && a.Sum != "" && a.Sum == p.row.sumText()
	})
	return slices.DeleteFunc(slices.Clone(p.Exceptions), func(e Exception) bool {
		switch e.Kind {
		case EditedSinceReview:
			return looked
		case ImpossibleTime: // some are only hard to believe, which its file tells
			if looked {
				return true
			}
			s, err := readCandidate(p.store, p.row.name())
			return err == nil && s.odd == ""
		}
		return !slices.Contains(endsPromise, e.Kind)
	})
}

// Exceptions are kept in the index as one text.
const fieldMark, listMark = "\x1f", "\x1e"

var unmarked = strings.NewReplacer(fieldMark, "", listMark, "")

func packExceptions(list []Exception) string {
	var parts []string
	for _, e := range list {
		parts = append(parts, e.Kind.String()+fieldMark+unmarked.Replace(e.Detail))
	}
	return strings.Join(parts, listMark)
}

func unpackExceptions(text string) []Exception {
	if text == "" {
		return nil
	}
	var list []Exception
	for part := range strings.SplitSeq(text, listMark) {
		name, detail, _ := strings.Cut(part, fieldMark)
		if i := slices.IndexFunc(exceptionKinds, func(k struct{ name, says string }) bool { return k.name == name }); i > 0 {
			list = append(list, Exception{ExceptionKind(i), detail})
		}
	}
	return list
}

// recordExceptions are what a profile shows by itself.
func recordExceptions(r *Record, t session.Trial, sealed bool) []Exception {
	var list []Exception
	say := func(when bool, k ExceptionKind, detail string) {
		if when {
			list = append(list, Exception{k, detail})
		}
	}
	list = append(list, settingExceptions(r, t)...)
	proof := t.Proof(session.Setting{Grip: r.Setting.Grip.value.Or(0), Speed: r.Setting.Speed.value.Or(q.Reading{})})
	say(len(proof.Flaws) > 0, NotCarried, strings.Join(proof.Flaws, "; "))
	list = append(list, checkExceptions(t)...)
	missing := missingFields(r, t)
	say(len(missing) > 0, MissingField, strings.Join(missing, ", "))
	if odd := oddTimes(r, t); odd != "" {
		say(true, ImpossibleTime, odd)
	}
	for i, a := range t.Attempts() {
		c := a.Contradicts()
		say(c != "", Contradiction, fmt.Sprintf("push %d %s", i+1, c))
	}
	say(!sealed, NotSealed, "")
	return list
}

// settingExceptions compare the setting with the pushes it rests on.
func settingExceptions(r *Record, t session.Trial) []Exception {
	grip, speed := r.Setting.Grip.value.Or(0), r.Setting.Speed.value.Or(q.Reading{})
	var list []Exception
	lowestFold, stalls, bracket := math.Inf(1), 0, false
	for i, a := range t.Attempts() {
		switch {
		case a.Outcome == session.Fold:
			bracket, lowestFold = true, min(lowestFold, a.Setting.Speed.Value)
		case a.Outcome == session.Slip:
			bracket = true
		case a.Outcome == session.Stall && a.Setting.Speed.Value >= speed.Value*(1-rounding):
			stalls++
		}
		if a.JacketDamage && a.Setting.Grip <= grip*(1+rounding) {
			list = append(list, Exception{Damage, fmt.Sprintf("push %d at %s", i+1, t.Rig.Named(a.Setting))})
		}
	}
	if speed.Value >= lowestFold*(1-rounding) {
		list = append(list, Exception{AboveFold, fmt.Sprintf("%s, and %s folded", t.Rig.ShowSpeed(speed.Value), t.Rig.ShowSpeed(lowestFold))})
	}
	advisedGrip, advisedSpeed := r.Setting.AdvisedGrip.value.Or(grip), r.Setting.AdvisedSpeed.value.Or(speed)
	detail := fmt.Sprintf("%s, %s; advised %s, %s", r.Setting.Grip.text, r.Setting.Speed.text, r.Setting.AdvisedGrip.text, r.Setting.AdvisedSpeed.text)
	switch {
	case grip > advisedGrip*(1+rounding) || speed.Value > advisedSpeed.Value*(1+rounding):
		list = append(list, Exception{AboveAdvice, detail})
	case differs(r.Setting):
		list = append(list, Exception{LowerAccepted, detail})
	}
	if !bracket && t.Kind != session.ShortCheck {
		list = append(list, Exception{NoBracket, ""})
	}
	if stalls < t.Policy.Repeats && t.Kind != session.ShortCheck {
		list = append(list, Exception{FewStalls, fmt.Sprintf("%d of %d", stalls, t.Policy.Repeats)})
	}
	return list
}

// checkExceptions go through the checks before the pushes and before the run. Those that
// an earlier trial of the day had settled leave no answer here; a killer before the
// pushes always does. A record is held to the checks of its own table.
func checkExceptions(t session.Trial) []Exception {
	last := map[string]session.Answer{}
	for _, a := range t.Answers() {
		last[a.Item] = a
	}
	var open, wrong []string
	var skipped []string
	checks, err := session.ChecksOf(t.CheckTable)
	if err != nil { // a record of another version was not read
		return nil
	}
	for _, c := range checks {
		a, answered := last[c.ID]
		asked := strings.TrimSuffix(c.Ask, "?") // named here, not asked
		switch {
		case answered && a.SkipReason != "":
			skipped = append(skipped, asked+" ("+a.SkipReason+")")
		case answered && !c.Right(a.State, a.Value):
			wrong = append(wrong, asked+" ("+a.State+a.Value+")")
		case !answered && c.Killer && c.Always():
			open = append(open, asked)
		}
	}
	var list []Exception
	for _, e := range []struct {
		kind ExceptionKind
		asks []string
	}{{KillerOpen, open}, {CheckSkipped, skipped}, {CheckWrong, wrong}} {
		if len(e.asks) > 0 {
			list = append(list, Exception{e.kind, strings.Join(e.asks, "; ")})
		}
	}
	return list
}

// missingFields are what is not written down and without which nobody can say later what was tried.
//
// Source: common practice, no source.
func missingFields(r *Record, t session.Trial) []string {
	now, _, err := r.current()
	if err != nil {
		now = *r
	}
	var missing []string
	for _, f := range []struct{ name, value string }{
		{"operator", now.People.Operator}, {"watcher", now.People.Watcher},
		{"reel", now.Cable.Reel}, {"print legend", now.Cable.PrintLegend},
		{"cable diameter", now.Cable.OuterDiameter.text}, {"bore of the duct", now.Duct.InnerDiameter.text},
		{"lining", now.Duct.Lining.String()}, {"air temperature", now.Conditions.AirTemperature.text},
		{"rig", now.Rig.Name}, {"belts", now.Rig.Belts}, {"lead-in piece", now.Rig.LeadIn.text},
		{"gauge ids", strings.Join(now.Rig.GaugeIDs, " ")}, {"supply", now.Rig.Supply},
	} {
		if strings.TrimSpace(f.value) == "" {
			missing = append(missing, f.name)
		}
	}
	if len(t.Attempts()) == 0 {
		missing = append(missing, "pushes")
	}
	return missing
}

// entriesText names entries, neighbours from the first to the last: "entries 4, 31 to 38".
func entriesText(numbers []int) string {
	var parts []string
	for from := 0; from < len(numbers); {
		to := from
		for to+1 < len(numbers) && numbers[to+1] == numbers[to]+1 {
			to++
		}
		part := strconv.Itoa(numbers[from])
		if to > from {
			part += fmt.Sprintf(" to %d", numbers[to])
		}
		parts = append(parts, part)
		from = to + 1
	}
	if len(numbers) == 1 {
		return "entry " + parts[0]
	}
	return "entries " + strings.Join(parts, ", ")
}
