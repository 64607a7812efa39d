package practice

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"brinkmark/session"
)

// Pass is what a lesson is passed by. Unsafe acts always fail it.
type Pass struct {
	Ends      Ends // how the trial must end
	MustRead  []session.Outcome
	MustFind  []TroubleKind
	MustMark  bool // a marked jacket must be seen and written down
	MostWrong int  // wrong readings
	// MostRisk is the greatest fold chance of the accepted setting when the head stops
	// dead, or what the rule's own setting on this rig has if that is more; 0 for any.
	MostRisk float64
}

// freePass is what free practice is passed by.
func freePass(policy session.Policy) Pass {
	return Pass{MostWrong: 1, MostRisk: 2 * policy.InstallChance}
}

// Mistakes beside a misreading that a trial may have and still be passed. A choice of ours.
const mostAlarms, mostPassedOver = 2, 1

// steady and slowed are the parts of its speed above which nothing is wrong with a
// run, and below which it must have been stopped. A choice of ours.
const steady, slowed = 0.9, 0.6

// Ends is how a trial ends.
type Ends int

// The ends; Anyhow is the zero value.
const (
	Anyhow Ends = iota
	WithSetting
	Refused
)

var endsNames = []string{"anyhow", "setting", "refusal"}

func (e Ends) String() string { return endsNames[e] }

// MarshalText writes the name.
func (e Ends) MarshalText() ([]byte, error) { return []byte(e.String()), nil }

// UnmarshalText reads a name.
func (e *Ends) UnmarshalText(text []byte) error {
	i := slices.Index(endsNames, string(text))
	if i < 0 {
		return fmt.Errorf("%.60q is no end of a trial; use %s", text, strings.Join(endsNames, ", "))
	}
	*e = Ends(i)
	return nil
}

// reasons collects why a lesson is not passed.
type reasons []string

func (m *reasons) need(ok bool, format string, args ...any) {
	if !ok {
		*m = append(*m, fmt.Sprintf(format, args...))
	}
}

// missing is what keeps a trial from being passed: what was done wrong, then what of the
// goal was missed.
func (b *Bench) missing(r Review, ended Ends) (wrong, goal []string) {
	pass, made := b.lesson.Pass, r.count()
	var m reasons
	m.need(made[foldMissed] == 0, "A fold was read as something else. One is enough to fail.")
	m.need(len(r.Unsafe) == 0, "Unsafe acts: %d. One is enough to fail.", len(r.Unsafe))
	m.need(len(r.Wrong) <= pass.MostWrong, "Wrong readings: %d, and at most %d may be.", len(r.Wrong), pass.MostWrong)
	over := made[passedOver] - len(r.Overlooked)
	m.need(over <= mostPassedOver, "Checks called right that were not: %d, and at most %d may be.", over, mostPassedOver)
	m.need(made[falseAlarm] <= mostAlarms, "Checks called wrong that were right: %d, and at most %d may be.", made[falseAlarm], mostAlarms)
	return m, b.goal(r, ended)
}

// goal is what of the lesson's goal was missed.
func (b *Bench) goal(r Review, ended Ends) []string {
	pass := b.lesson.Pass
	var m reasons
	switch {
	case ended == Anyhow:
		m.need(false, "The trial was not ended.")
	case pass.Ends == WithSetting:
		m.need(ended == WithSetting, "It had to end with an install setting.")
	case pass.Ends == Refused:
		m.need(ended == Refused, "It had to end without a setting: this rig has none to give.")
	}
	for _, o := range pass.MustRead {
		m.need(slices.ContainsFunc(b.verdicts, func(v Verdict) bool { return v.Right && v.Read == o }), "No %s was met and read right.", o)
	}
	for _, k := range pass.MustFind {
		m.need(b.found[k], "Not found: %s. %s", k, rows[k].seen)
	}
	m.need(!pass.MustMark || slices.ContainsFunc(b.verdicts, func(v Verdict) bool { return v.Right && v.Truth.JacketMarked }),
		"No marked jacket was met and written down.")
	if r.TooHard {
		s, _ := r.Setting.Get()
		step := r.Shown.SpeedStep()
		m.need(false, "The setting is above %.2g of what folds this cable here: %s, and it folds from about %s on.", b.lesson.Job.Policy.Gap,
			r.Shown.ShowSpeed(s.Speed.Value), r.Shown.ShowSpeed(math.Round(r.FoldsFrom.Or(0)/step)*step))
	}
	if chance, ok := r.FoldChance.Get(); ok && pass.MostRisk > 0 {
		most := max(pass.MostRisk, r.Engine.FoldChance.Or(0)) // nobody fails by the rule's own bad luck
		m.need(chance <= most, "At the accepted setting %s would fold; at most %s may.", outOf(chance), outOf(most))
	}
	return m
}

// missing is what keeps a run from being passed.
func (r RunReview) missing() []string {
	var m reasons
	m.need(r.Ended, "The run was not ended.")
	m.need(!r.Folded, "The cable folded in the duct: all of it is scrap.")
	m.need(r.Overrides == 0, "The push control went above the install setting.")
	m.need(!r.Early, "It was stopped with nothing wrong.")
	m.need(!r.Late, "The run went on although the cable had slowed below %.0f %% of its speed.", 100*slowed)
	return m
}

// outOf says a chance in words.
func outOf(chance float64) string {
	if chance < 0.001 {
		return "fewer than 1 in 1000"
	}
	return fmt.Sprintf("%.3g in 100", 100*chance)
}
