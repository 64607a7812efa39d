package profiles

import (
	"fmt"
	"strings"
	"time"

	"brinkmark/session"
)

// How fast a crew cannot be, and how far a clock may be put right. Source: derived here; a
// push alone takes a run-up, two seconds at the plug, and backing off.
const (
	fastestPush   = 9 * time.Second // ten, in times to the second
	manyChecks    = 15
	fastestChecks = 20 * time.Second
	clockSlack    = time.Minute
)

// impossibleTimes says which times of a record cannot be, so that nobody can tell what was
// tried and when; "" when none. A clock may go back by slack. Of a record without times
// nothing can be said.
func impossibleTimes(r *Record, t session.Trial, slack time.Duration) string {
	var odd []string
	var earlier []int // the numbers of entries
	latest := r.Started
	for _, e := range t.Entries {
		at := e.When()
		if at.IsZero() {
			continue
		}
		if at.Before(latest.Add(-slack)) {
			earlier = append(earlier, e.Number())
		}
		if at.After(latest) {
			latest = at
		}
	}
	if len(earlier) > 0 {
		odd = append(odd, entriesText(earlier)+" earlier than the entry before")
	}
	if quick, quickest := quickPushes(t); len(quick) > 0 {
		odd = append(odd, fmt.Sprintf("pushes as close as %.0f s: %s", quickest.Seconds(), entriesText(quick)))
	}
	if a := r.Setting.Accepted; !a.IsZero() && a.Before(r.Started.Truncate(time.Second).Add(-slack)) {
		odd = append(odd, "accepted before it was begun")
	} else if !a.IsZero() && a.Before(lastPush(t).Truncate(time.Second).Add(-slack)) {
		odd = append(odd, "accepted before the last push")
	}
	return strings.Join(odd, "; ")
}

func lastPush(t session.Trial) time.Time {
	var last time.Time
	for _, a := range t.Attempts() {
		last = a.At
	}
	return last
}

// quickPushes are the pushes that stand and came sooner after the one before than anybody can
// make them.
func quickPushes(t session.Trial) (numbers []int, quickest time.Duration) {
	quickest = fastestPush
	last := time.Time{}
	for _, a := range t.Attempts() {
		if gap := a.At.Sub(last); !last.IsZero() && !a.At.IsZero() && gap >= 0 && gap < fastestPush {
			numbers, quickest = append(numbers, a.Seq), min(quickest, gap)
		}
		last = a.At
	}
	return numbers, quickest
}

// oddTimes are the times of a record that a supervisor should know of: those that cannot be,
// and checks answered faster than anybody can look.
func oddTimes(r *Record, t session.Trial) string {
	odd := impossibleTimes(r, t, 0)
	var checks []time.Time
	for _, a := range t.Answers() {
		if _, ok := session.CheckByID(a.Item); ok && !a.At.IsZero() {
			checks = append(checks, a.At)
		}
	}
	if n := len(checks); n >= manyChecks && checks[manyChecks-1].Sub(checks[0]) < fastestChecks {
		quick := fmt.Sprintf("%d checks in %.0f s", manyChecks, checks[manyChecks-1].Sub(checks[0]).Seconds())
		odd = strings.Trim(odd+"; "+quick, "; ")
	}
	return odd
}
