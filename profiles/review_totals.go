package profiles

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// Week is what one crew did with one rig in one week.
type Week struct {
	Monday    time.Time // of the ISO week, by the record's own clock
	Crew, Rig string
	Trials    int
	Pushes    int
	Cable     float64 // m used up
	Overrides int     // settings accepted other than advised
	Skipped   int     // checks left out
}

// OverridesPerTrial is the mean.
func (w Week) OverridesPerTrial() float64 { return float64(w.Overrides) / float64(w.Trials) }

// SkippedPerTrial is the mean.
func (w Week) SkippedPerTrial() float64 { return float64(w.Skipped) / float64(w.Trials) }

// Weeks sums all trials. See [Review.WeeksOf].
func (v Review) Weeks() []Week { return v.WeeksOf(Filter{}) }

// WeeksOf sums the trials that fit, with and without a profile, by week, crew and rig:
// the newest first. A crew is its operator. What cannot be read or has no start is in
// none. Only the filter's texts and times count: a trial has neither state nor
// exceptions.
//
// Source of the weeks: ISO 8601.
func (v Review) WeeksOf(f Filter) []Week {
	f.ExceptionsOnly, f.Stands = false, ""
	fit := newFitting(f)
	type key struct {
		monday    time.Time
		crew, rig string
	}
	sums := map[key]*Week{}
	add := func(r *row, overrides, skipped int) {
		started := when(r.started)
		var p Listed
		if p.fill(nil, r); started.IsZero() || !fit.fits(&p) {
			return
		}
		k := key{monday(started), fold(r.operator), fold(r.rig)}
		if sums[k] == nil {
			sums[k] = &Week{Monday: k.monday, Crew: r.operator, Rig: r.rig}
		}
		w := sums[k]
		w.Trials, w.Pushes, w.Cable = w.Trials+1, w.Pushes+r.pushes, w.Cable+r.cableUsed
		w.Overrides, w.Skipped = w.Overrides+overrides, w.Skipped+skipped
	}
	counted := make(map[string]bool, len(v.trials))
	for _, r := range v.trials {
		counted[r.id] = counted[r.id] || r.problem == nil
	}
	byProfile := make(map[string]*row, len(v.Profiles)) // what was accepted stands in the profile alone
	for _, p := range v.Profiles {
		if counted[p.ID] {
			byProfile[p.ID] = p.row
		} else if p.row.problem == nil {
			add(p.row, p.row.overrides, p.row.skipped)
		}
	}
	for _, r := range v.trials {
		if p := byProfile[r.id]; r.problem == nil && p != nil {
			add(r, p.overrides, max(r.skipped, p.skipped))
		} else if r.problem == nil {
			add(r, 0, r.skipped)
		}
	}
	weeks := make([]Week, 0, len(sums))
	for _, w := range sums {
		weeks = append(weeks, *w)
	}
	slices.SortFunc(weeks, func(a, b Week) int {
		return cmp.Or(b.Monday.Compare(a.Monday), strings.Compare(a.Crew, b.Crew), strings.Compare(a.Rig, b.Rig))
	})
	return weeks
}

// monday is the first day of a time's week. Days of all zones are one day.
func monday(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d-(int(t.Weekday())+6)%7, 0, 0, 0, 0, time.UTC)
}

// Trend is the setting against temperature of one cable and duct, the coldest first.
// Rigs cannot be compared by their readings; tell them apart.
func (v Review) Trend(cableMake, cableType, ductSize string) []*Listed {
	want := [...]name{newName(cableMake), newName(cableType), newName(ductSize)}
	same := [3]map[string]bool{{}, {}, {}}
	is := func(i int, text string) bool {
		known, seen := same[i][text]
		if !seen {
			known = want[i].same(newName(text))
			same[i][text] = known
		}
		return known
	}
	var list []*Listed
	for _, p := range v.Profiles {
		if p.row.known && is(0, p.Make) && is(1, p.Type) && is(2, p.Size) {
			list = append(list, p)
		}
	}
	slices.SortStableFunc(list, func(a, b *Listed) int { return cmp.Compare(a.row.celsius, b.row.celsius) })
	return list
}
