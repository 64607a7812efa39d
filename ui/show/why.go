package show

import (
	"fmt"

	"brinkmark/session"
	"brinkmark/ui/words"
)

// Why explains a decision: what the pushes prove, what is assumed, what is not known.
func Why(t session.Trial, o session.Outlook) []string {
	w := why{trial: t, outlook: o}
	switch next := o.Next.(type) {
	case session.Install:
		w.say("%s", next.Reason)
		w.proved()
		w.chances()
		w.oneMore(next.Setting)
		w.gripPressure(next.Setting)
		w.runSpeed(next.Setting)
	case session.Try:
		w.say("%s", next.Reason)
		w.chances()
	case session.Refuse:
		w.say("%s", next.Reason)
		w.chances()
	}
	w.say("One hit is meant. In a run with more hits the chances add up.")
	for _, text := range o.Warnings {
		w.say("! %s.", words.Capital(text))
	}
	return w.lines
}

// why gathers the reasons.
type why struct {
	trial   session.Trial
	outlook session.Outlook
	lines   []string
}

func (w *why) say(format string, args ...any) {
	w.lines = append(w.lines, fmt.Sprintf(format, args...))
}

// percent is a chance as the crew counts: never nothing.
func percent(chance float64) float64 { return max(100*chance, 1) }

func (w *why) proved() {
	held, pushed := w.outlook.Held, w.outlook.Pushed
	w.say("%d of %d pushes at this setting or harder held. On their own they prove only: fewer than %.0f in 100 would fold (exact, 95 %%).",
		held, pushed, 100*session.RepeatsAlone(held, pushed))
}

func (w *why) chances() {
	o, rig := w.outlook, w.trial.Rig
	if mean, ok := o.FoldChance.Get(); ok {
		w.say("Best estimate: %.0f folds in 100 hits with the belts holding; very likely under %.0f. It rests on the usual spread from push to push.",
			percent(mean), percent(o.FoldChanceHigh.Or(mean)))
	}
	if varied, ok := o.FoldChanceVaried.Get(); ok {
		w.say("If this cable scatters twice the usual: %.0f in 100.", percent(varied))
	}
	if slip, ok := o.SlipChance.Get(); ok {
		w.say("Chance that the belts slip there: about %.0f in 100.", percent(slip))
	}
	if r, ok := o.FoldSpeed.Get(); ok {
		w.say("The cable folds somewhere between %s and %s, most likely near %s.", rig.ShowSpeed(r.Low.Value), rig.ShowSpeed(r.High.Value), rig.ShowSpeed(r.Mid.Value))
	}
}

// oneMore says whether another push would be worth its cable.
func (w *why) oneMore(s session.Setting) {
	then, ok := w.outlook.OneMore.Get()
	if !ok {
		return
	}
	rig := w.trial.Rig
	change := fmt.Sprintf("leave the estimate at %.0f in 100", percent(then.FoldChance))
	if now := w.outlook.FoldChance.Or(then.FoldChance); fmt.Sprintf("%.0f", percent(now)) != fmt.Sprintf("%.0f", percent(then.FoldChance)) {
		change = fmt.Sprintf("bring the estimate to %.0f in 100", percent(then.FoldChance))
	}
	if then.Speed.Value > s.Speed.Value*1.001 {
		w.say("One more stall here would %s, and could raise the setting to %s.", change, rig.ShowSpeed(then.Speed.Value))
		return
	}
	w.say("One more stall here would %s and not raise the setting.", change)
}

func (w *why) gripPressure(s session.Setting) {
	limit, by := w.trial.GripLimit()
	w.say("Grip pressure %s; the highest here is %s, set by %s. The jacket is judged by eye after every slip and at the end.",
		w.trial.Rig.ShowGrip(s.Grip), w.trial.Rig.ShowGrip(limit), by)
}

// runSpeed says what the trial's speed has to do with the run's: the impact grows with
// the speed of the head, and was tried at the trial's only.
func (w *why) runSpeed(s session.Setting) {
	if s.Speed.Unit == "m/s" {
		w.say("The hit grows with the speed of the head: nothing above %s was proved, with or without less grip pressure.", w.trial.Rig.ShowSpeed(s.Speed.Value))
		return
	}
	w.say("This push control is not the head's speed, and the hit grows with that: run no faster than the head came in the trial.")
}
