package ui

import (
	"fmt"

	"brinkmark/session"
)

// Why explains a decision: what the pushes prove, what is assumed, what is not known.
func Why(t session.Trial, o session.Outlook) []string {
	var lines []string
	say := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	switch next := o.Next.(type) {
	case session.Install:
		say("%s", next.Reason)
		say("%d of %d pushes at this speed or harder held. On their own they prove only: fewer than %.0f in 100 would fold (exact, 95 %%).",
			o.Held, o.Pushed, 100*session.RepeatsAlone(o.Held, o.Pushed))
	case session.Try:
		say("%s", next.Reason)
	case session.Refuse:
		say("%s", next.Reason)
	}
	if mean, ok := o.FoldChance.Get(); ok {
		say("Best estimate: %.0f folds in 100 hits with the belts holding; very likely under %.0f. It rests on the usual spread from push to push.",
			max(100*mean, 1), max(100*o.FoldChanceHigh.Or(mean), 1))
	}
	if varied, ok := o.FoldChanceVaried.Get(); ok {
		say("If this cable scatters twice the usual: %.0f in 100.", max(100*varied, 1))
	}
	if slip, ok := o.SlipChance.Get(); ok {
		say("Chance that the belts slip there: about %.0f in 100.", max(100*slip, 1))
	}
	if r, ok := o.FoldSpeed.Get(); ok {
		say("The cable folds somewhere between %s and %s, most likely near %s.", t.Rig.ShowSpeed(r.Low.Value), t.Rig.ShowSpeed(r.High.Value), t.Rig.ShowSpeed(r.Mid.Value))
	}
	say("One hit is meant. In a run with more hits the chances add up.")
	for _, w := range o.Warnings {
		say("! %s.", capital(w))
	}
	return lines
}
