package session

import (
	"fmt"
	"math"

	q "brinkmark/session/quantity"
)

// Outlook is everything a screen says of a trial: what is next, how sure it is,
// and what should give the crew pause. It is computed once per entry.
type Outlook struct {
	Next Next
	Row  string // the row of the rule that decided

	Attempts  int // voids left out
	CableUsed q.Length

	// FoldSpeed is where the cable folds, known after the first push.
	FoldSpeed q.Maybe[Range]
	// FoldForce is the same as force; unknown without a thrust on the rig card.
	FoldForce q.Maybe[ForceRange]
	// Of the setting in Next, per hit with the belts holding; unknown on a refusal,
	// before the first push, and on a short check whose profile's trial is not known.
	FoldChance, FoldChanceHigh, FoldChanceVaried, SlipChance q.Maybe[float64]

	// FoldAt are the lowest speeds at which as many in 100 as in [FoldLevels] would fold,
	// belts holding (m/s, or the push control's own unit); unknown past the rig's limit,
	// and before the first push.
	FoldAt [len(FoldLevels)]q.Maybe[float64]
	// OneMore is what one more stall at an install setting would change.
	OneMore q.Maybe[OneMore]

	LowestFold, TopStall q.Maybe[q.Reading]
	foldShown            string
	Held, Pushed         int // of the pushes at or above the setting and below any fold

	Warnings []string
}

// FoldLevels are the chances at which a map changes its shade.
var FoldLevels = [...]float64{0.03, 0.10, 0.50}

// OneMore is what the weighing would say after one more stall at the setting.
type OneMore struct {
	FoldChance float64   // there
	Speed      q.Reading // the rule would install with then
}

// Range is a low, likely and high value: 5, 50 and 95 % of the weight.
type Range struct{ Low, Mid, High q.Reading }

// View looks at a trial that is [Trial.Advisable].
func View(t Trial) Outlook {
	f := newFacts(t)
	next, row := decide(f)
	o := Outlook{Next: next, Row: row, Attempts: len(f.pushes), CableUsed: t.CableUsed()}
	if f.lowestFold > 0 {
		o.LowestFold, o.foldShown = q.Known(t.Rig.Reading(f.lowestFold)), f.showWorth(f.lowestFold)
	}
	if f.topStall > 0 {
		o.TopStall = q.Known(t.Rig.Reading(f.topStall))
	}
	if len(f.pushes)+len(f.before) > 0 && (t.Kind != ShortCheck || len(f.before) > 0) {
		o.FoldSpeed = q.Known(Range{
			t.Rig.Reading(f.post.foldSpeed(0.05)), t.Rig.Reading(f.post.foldSpeed(0.5)), t.Rig.Reading(f.post.foldSpeed(0.95))})
	}
	if o.FoldSpeed.Known() {
		o.FoldForce = f.foldForce()
		o.FoldAt = f.foldAt()
	}
	if s, ok := SettingOf(next); ok {
		o.Held, o.Pushed = f.held(s)
		if o.FoldSpeed.Known() {
			o.chances(f, s)
		}
	}
	o.Warnings = f.warnings(next, o)
	return o
}

// SettingOf returns the setting a decision names, if it names one.
func SettingOf(n Next) (Setting, bool) {
	switch n := n.(type) {
	case Try:
		return n.Setting, true
	case Install:
		return n.Setting, true
	case Refuse:
		return Setting{}, false
	}
	panic("session: unknown decision")
}

// boundWeight is the weight under the bound that is shown.
const boundWeight = 0.90

func (o *Outlook) chances(f *facts, s Setting) {
	o.FoldChance = q.Known(f.post.foldChance(s.Speed.Value))
	o.FoldChanceHigh = q.Known(f.post.foldChanceBound(s.Speed.Value, boundWeight))
	o.SlipChance = q.Known(f.post.slipChance(float64(s.Grip), s.Speed.Value))
	if _, installing := o.Next.(Install); installing {
		o.OneMore = q.Known(f.oneMore(s))
		varied := f.posterior(2)
		o.FoldChanceVaried = q.Known(varied.foldChance(s.Speed.Value))
	}
}

// foldAt finds where each level of the fold chance is reached, to a thousandth.
func (f *facts) foldAt() [len(FoldLevels)]q.Maybe[float64] {
	var at [len(FoldLevels)]q.Maybe[float64]
	for i, level := range FoldLevels {
		lo, hi := math.Exp(f.post.grid.lnFold[0])/2, f.speed.limit
		if f.post.foldChance(hi) < level {
			break
		}
		for hi > lo*1.001 {
			if mid := math.Sqrt(lo * hi); f.post.foldChance(mid) < level {
				lo = mid
			} else {
				hi = mid
			}
		}
		at[i] = q.Known(hi)
	}
	return at
}

// oneMore supposes one more stall at a setting.
func (f *facts) oneMore(s Setting) OneMore {
	then := *f
	then.shots = append(append([]shot{}, f.shots...), shot{grip: float64(s.Grip), speed: s.Speed.Value, outcome: Stall})
	then.post = then.posterior(1)
	then.candidate = then.findCandidate()
	return OneMore{then.post.foldChance(s.Speed.Value), then.trial.Rig.Reading(max(then.provable(), s.Speed.Value))}
}

// held counts, of the pushes at or above a setting's speed and below any fold
// there, those that stalled; slips prove nothing and are left out.
func (f *facts) held(s Setting) (held, pushed int) {
	for _, p := range f.shots {
		harder := f.lowestFold > 0 && p.worth() >= f.lowestFold*(1-ties) && s.Speed.Value < f.lowestFold
		if p.outcome == Slip || harder || p.worth() < s.Speed.Value*(1-ties) {
			continue
		}
		pushed++
		if p.outcome == Stall {
			held++
		}
	}
	return held, pushed
}

// Lines are what the foreman reads of what is promised: the setting, its risk, what it holds
// for. Only an [Install] has them.
func (o Outlook) Lines(t Trial, p Promise) []string {
	if _, ok := o.Next.(Install); !ok {
		return nil
	}
	return []string{o.settingLine(t, p.Setting), o.riskLine(t), scopeLine(t, p)}
}

func (o Outlook) settingLine(t Trial, s Setting) string {
	line := fmt.Sprintf("Run at %s. Held %d of %d there or harder; ", t.Rig.Named(s), o.Held, o.Pushed)
	if fold, ok := o.LowestFold.Get(); ok {
		below := 100 * (1 - s.Speed.Value/fold.Value)
		return line + fmt.Sprintf("lowest fold %s, so %.0f %% below it.", o.foldShown, math.Floor(below+ties))
	}
	return line + "no fold seen; margin unknown."
}

func (o Outlook) riskLine(t Trial) string {
	alone := fmt.Sprintf("%d pushes prove little.", o.Pushed)
	mean, ok := o.FoldChance.Get()
	if !ok {
		return "If the head stops dead: " + alone + " They say only that the old setting held a tenth harder today."
	}
	line := fmt.Sprintf("If the head stops dead: about %s would fold, could be %s", inHundred(mean), hundredths(o.FoldChanceHigh.Or(mean)))
	if varied, ok := o.FoldChanceVaried.Get(); ok {
		line += fmt.Sprintf(", or %s if this cable varies", hundredths(max(varied, o.FoldChanceHigh.Or(mean))))
	}
	return line + ". " + alone
}

func scopeLine(t Trial, p Promise) string {
	return fmt.Sprintf("Only this cable, duct size and rig, cable and air up to %s. Not proved: kinks, anything above this %s.",
		WholeDegrees(p.UpTo, t.Conditions.Unit), t.Rig.Control())
}

func hundredths(chance float64) string {
	return fmt.Sprintf("%.0f", min(max(math.Round(chance*100), 1), 99))
}

// WholeDegrees rounds a temperature down: a band must not grow in print.
func WholeDegrees(t q.Temperature, unit string) string {
	if unit == "" {
		unit = "°C"
	}
	return fmt.Sprintf("%.0f %s", math.Floor(q.In(t, unit)+ties), unit)
}
