package profiles

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Standing is where a profile stands with the supervisors.
type Standing string

// The standings.
const (
	StandsNew       Standing = "new"
	StandsAccepted  Standing = "accepted"
	StandsQueried   Standing = "queried"
	StandsExpired   Standing = "expired"
	StandsWithdrawn Standing = "withdrawn"
)

// standing is what a profile's actions, in order, come to at a time. Where two supervisors have
// decided apart, the stricter holds: a question is over when somebody has accepted the profile
// who knew of it.
func standing(list []Judged, now time.Time) Standing {
	stands := StandsNew
	for i, a := range list {
		switch {
		case a.Action == Withdraw:
			return StandsWithdrawn
		case a.Action == Expire && !now.Before(a.Expires):
			stands = StandsExpired
		case stands == StandsExpired:
		case a.Action == Query && isOpen(list, i):
			stands = StandsQueried
		case a.Action == Accept && a.Sealed && stands != StandsQueried:
			stands = StandsAccepted
		}
	}
	return stands
}

// isOpen reports whether the question at a place of a profile's actions still is one.
func isOpen(list []Judged, place int) bool {
	for i, a := range list {
		if a.Action == Accept && a.Sealed && a.knew(list[place], i > place) {
			return false
		}
	}
	return true
}

// knew reports whether who accepted had seen another action: it is named, or stands before it
// in the same review, or is their own of an earlier time.
func (a Judged) knew(other Judged, later bool) bool {
	own := strings.TrimSpace(a.By) != "" && SameName(a.By, other.By) || a.review != "" && a.review == other.review
	return later && own || slices.Contains(a.Seen, other.ref())
}

// ref names an action among those of all reviews.
func (a Judged) ref() string { return fmt.Sprintf("%s:%d", a.review, a.Seq) }

// Says is who decided, when, and with what note.
func (a Judged) Says() string {
	said := a.By + ", " + a.At.Format(time.DateOnly)
	if a.Note == "" {
		return said
	}
	return said + ": " + a.Note
}

// forGood says what stands against accepting a profile that nobody can lift; nil when nothing
// does.
func forGood(id string, list []Judged, now time.Time) error {
	for _, a := range list {
		if a.Action == Withdraw {
			return fmt.Errorf("not written: profile %s is withdrawn (%s)\n  nobody can take that back: make a new trial", id, a.Says())
		}
	}
	for _, a := range list {
		if a.Action == Expire && !now.Before(a.Expires) {
			return fmt.Errorf("not written: profile %s expired on %s (%s)\n  nobody can lift that: make a new trial", id, a.Expires.Format(time.DateOnly), a.Says())
		}
	}
	return nil
}

// OpenQuestions are what supervisors have asked about a profile that is not settled.
func (l *Library) OpenQuestions(id string) ([]Judged, error) {
	list, err := l.judgedOf(id)
	if err != nil {
		return nil, err
	}
	var open []Judged
	for i, a := range list {
		if a.Action == Query && isOpen(list, i) {
			open = append(open, a)
		}
	}
	return open, nil
}

// apart are the acceptances by others that did not know of the question at a place, in words.
func apart(list []Judged, place int) string {
	var said []string
	for i, a := range list {
		if a.Action == Accept && a.Sealed && i > place && !a.knew(list[place], true) {
			said = append(said, fmt.Sprintf("%s accepted it on %s and had not seen this", a.By, a.At.Format(time.DateOnly)))
		}
	}
	if said == nil {
		return ""
	}
	return " (" + strings.Join(said, "; ") + ")"
}

// OwnTrial is what somebody did in a profile's own trial, "" when nothing.
func (p *Listed) OwnTrial(who string) string {
	for _, role := range [][2]string{{"operator", p.Operator}, {"watcher", p.Watcher}} {
		if strings.TrimSpace(who) != "" && SameName(who, role[1]) {
			return role[0]
		}
	}
	return ""
}

// Expires is the earliest expiry that a supervisor set, zero when none did.
func (p *Listed) Expires() time.Time {
	var first time.Time
	for _, a := range p.Actions {
		if a.Action == Expire && (first.IsZero() || a.Expires.Before(first)) {
			first = a.Expires
		}
	}
	return first
}
