package practice

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Notice stands on everything that practice shows or keeps.
const Notice = "Practice: a simulated rig. It qualifies nobody to run a machine."

// Review says how a lesson went.
type Review struct {
	Lesson, Title string
	Seed          uint64
	Passed        bool
	Missing       []string // why it was not passed
	Score         int      // 0 to 100

	Attempts   int
	CableUsed  q.Length // truly spoilt, whatever was written down
	Right      int
	Wrong      []Verdict
	Unsafe     []Unsafe
	Misjudged  []Misjudged
	Overlooked []TroubleKind
	Setting    q.Maybe[session.Setting] // accepted
	FoldChance q.Maybe[float64]         // of it, by the hidden truth
	FoldsFrom  q.Maybe[float64]         // the push control reading in m/s from which most cables like this one fold
	TooHard    bool                     // it is above the policy's gap under that, and above what the rule would install
	GoalMissed bool
	Shown      session.Rig // whose gauges the settings are shown in

	Engine  Engine // what the rule does on the same rig; nothing on a run
	Run     *RunReview
	Teaches string
}

// Engine is a trial by package session's rule on the same rig with the same luck,
// every push read right and every trouble found when it can be.
type Engine struct {
	Attempts   int
	CableUsed  q.Length
	Setting    q.Maybe[session.Setting]
	FoldChance q.Maybe[float64]
	Refusal    string
}

// Review judges what was done on the bench. record is the trial as the trainee wrote
// it.
func (b *Bench) Review(record session.Trial) (Review, error) {
	b.close()
	r := Review{Lesson: b.lesson.ID, Title: b.lesson.Title, Seed: b.seed, Attempts: len(b.pushes),
		Unsafe: slices.Clone(b.unsafe), Misjudged: b.Misjudged(), Shown: record.Rig, Teaches: b.lesson.Teaches}
	for _, p := range b.pushes {
		r.CableUsed += p.Truth.CableUsed
	}
	for _, v := range b.verdicts {
		if v.Right {
			r.Right++
		} else {
			r.Wrong = append(r.Wrong, v)
		}
	}
	for _, t := range b.rig.Troubles {
		if len(b.pushes) >= t.From && !b.found[t.Kind] {
			r.Overlooked = append(r.Overlooked, t.Kind)
		}
	}
	ended, err := b.ending(&r, record)
	if err != nil {
		return r, err
	}
	if r.Engine, err = engine(b.lesson, b.seed); err != nil {
		return r, err
	}
	if err := b.tooHard(&r); err != nil {
		return r, err
	}
	wrong, goal := b.missing(r, ended)
	r.Missing, r.GoalMissed = append(wrong, goal...), len(goal) > 0
	r.Passed = len(r.Missing) == 0
	r.Score = score(r.count())
	return r, nil
}

// ending reads how the trial ended, and weighs an accepted setting.
func (b *Bench) ending(r *Review, record session.Trial) (Ends, error) {
	for _, a := range record.Answers() {
		if a.Item != session.ItemSetting || a.State != session.SettingAccepted {
			continue
		}
		s, err := record.Rig.ReadSetting(a.Value)
		if err != nil {
			return Anyhow, err
		}
		chance, err := b.rig.foldChance(s, len(b.pushes)+1)
		if err != nil {
			return Anyhow, err
		}
		r.Setting, r.FoldChance = q.Known(s), q.Known(chance)
		return WithSetting, nil
	}
	if record.Closed() {
		return Refused, nil
	}
	return Anyhow, nil
}

// tooHard weighs the accepted setting against what truly folds. Nobody is blamed for the
// rule's own bad luck: what it would install on the same rig is not too hard.
func (b *Bench) tooHard(r *Review) error {
	s, ok := r.Setting.Get()
	if !ok {
		return nil
	}
	from, err := b.rig.foldsFrom(s.Grip, len(b.pushes)+1)
	if err != nil {
		return err
	}
	r.FoldsFrom = from
	fold, folds := from.Get()
	rule, _ := r.Engine.Setting.Get()
	r.TooHard = folds && s.Speed.Value > b.lesson.Job.Policy.Gap*fold*(1+1e-9) && s.Speed.Value > rule.Speed.Value*(1+1e-9)
	return nil
}

// engine plays the rule on the rig of a seed.
func engine(l Lesson, seed uint64) (Engine, error) {
	b, err := NewBench(l, seed)
	if err != nil {
		return Engine{}, err
	}
	for _, t := range b.active() {
		b.found[t.Kind] = true // its checks find what is there from the start
	}
	var e Engine
	trial := l.Job
	for {
		n := len(b.pushes) + 1
		if l.Rig.WarmPerPush != 0 {
			trial.Conditions.CableTemperature = q.Known(b.rig.temperature(n))
		}
		next := session.Decide(trial)
		s, _ := session.SettingOf(next)
		switch next := next.(type) {
		case session.Install:
			chance, err := b.rig.foldChance(s, n)
			e.Setting, e.FoldChance = q.Known(s), q.Known(chance)
			return e, err
		case session.Refuse:
			e.Refusal = next.Reason
			return e, nil
		}
		p, err := b.Push(s)
		if err != nil {
			return e, err
		}
		a := Honest(p)
		a.Mark = session.Mark{Seq: n}
		a.CableTemperature = trial.Conditions.CableTemperature
		if _, err := b.Read(a, nil); err != nil {
			return e, err
		}
		trial.Entries = append(trial.Entries, a)
		e.Attempts++
		e.CableUsed += p.Truth.CableUsed
	}
}

// Honest is what a crew writes down of a push that it read right.
func Honest(p *Push) session.Attempt {
	t := p.Truth
	return session.Attempt{
		Setting: p.Setting, Outcome: t.Outcome, VoidReason: t.Reason,
		BeltsTurning: q.Known(t.BeltsTurning), LineMoved: q.Known(t.LineMoved),
		StallReading: t.StallReading, JacketDamage: t.JacketMarked,
		CableUsed: t.CableUsed, FreshEnd: t.CableUsed == usedByFold,
	}
}

// foldChance is the chance that a hit of a head that stops dead folds this cable at a
// setting, with the belts holding and nothing else wrong.
//
//	p = Φ(ln(F/F₀)/σ)
//
// F is the highest push of the hit, F₀ the fold limit, both in N, σ the spread of ln F₀
// from push to push. Source: derived here.
func (r Rig) foldChance(at session.Setting, number int) (float64, error) {
	peak, limit, err := r.hit(at, number)
	if err != nil {
		return 0, err
	}
	if r.FoldSpread == 0 || peak == 0 {
		if peak >= limit {
			return 1, nil
		}
		return 0, nil
	}
	z := math.Log(peak/limit) / r.FoldSpread
	return math.Round(1e4*math.Erfc(-z/math.Sqrt2)/2) / 1e4, nil
}

// hit is the highest push of a head that stops dead at a setting, with the belts holding
// and nothing else wrong, and the fold limit then, both in N.
func (r Rig) hit(at session.Setting, number int) (peak, limit float64, err error) {
	m, w, err := r.prepare(at, number, nil)
	if err != nil {
		return 0, 0, err
	}
	limit = m.fold
	m.fold, m.hold = math.Inf(1), math.Inf(1)
	p := &Push{Number: number, Setting: at, allowance: r.allowance()}
	return p.run(m, w), limit, nil
}

// foldsFrom is the push control reading in m/s from which half the cables like this one
// fold, to a thousandth of itself; unknown where no reading up to 10 m/s folds them.
func (r Rig) foldsFrom(grip q.Pressure, number int) (q.Maybe[float64], error) {
	folds := func(speed float64) (bool, error) {
		peak, limit, err := r.hit(session.Setting{Grip: grip, Speed: q.Reading{Value: speed, Unit: "m/s"}}, number)
		return peak >= limit, err
	}
	low, high := 0.0, 10.0
	if any, err := folds(high); err != nil || !any {
		return q.Maybe[float64]{}, err
	}
	for high-low > high/1000 {
		middle := (low + high) / 2
		yes, err := folds(middle)
		if err != nil {
			return q.Maybe[float64]{}, err
		}
		if yes {
			high = middle
		} else {
			low = middle
		}
	}
	return q.Known(rounded(high)), nil
}

// Lines are the review in words.
func (r Review) Lines() []string {
	passed := "passed"
	if !r.Passed {
		passed = "not passed"
	}
	lines := []string{Notice, fmt.Sprintf("%s: %s. Score %d of 100.", r.Title, passed, r.Score)}
	lines = append(append(lines, r.Missing...), r.costLines()...)
	if r.Run != nil {
		return append(append(lines, r.runLines()...), r.Teaches)
	}
	you := r.course(r.Attempts, r.CableUsed, r.Setting, r.FoldChance)
	rule := r.course(r.Engine.Attempts, r.Engine.CableUsed, r.Engine.Setting, r.Engine.FoldChance)
	if rule == you {
		rule = "the same."
	}
	lines = append(lines, "You: "+you, "The program's rule on the same rig: "+rule,
		fmt.Sprintf("Readings right: %d of %d.", r.Right, r.Right+len(r.Wrong)))
	for _, v := range r.Wrong {
		lines = append(lines, fmt.Sprintf("  Push %d: %s %s", v.Push, v.Why, strings.Join(v.Truth.GaveAway, " ")))
	}
	for _, k := range r.Overlooked {
		lines = append(lines, fmt.Sprintf("  Overlooked: %s. %s", k, rows[k].seen))
	}
	lines = append(append(lines, r.checkLines()...), r.unsafeLines()...)
	return append(lines, r.Teaches)
}

// checkLines tell what there was to see at each check that was misjudged.
func (r Review) checkLines() []string {
	var lines []string
	for _, m := range r.Misjudged {
		if m.Alarm || !m.Check.Killer { // else among the unsafe acts
			lines = append(lines, fmt.Sprintf("  Before push %d: %s", m.Push, m))
		}
	}
	return lines
}

// unsafeLines tells each unsafe act once, with the pushes it came before.
func (r Review) unsafeLines() []string {
	var acts []string
	before := map[string][]string{}
	for _, u := range r.Unsafe {
		if before[u.What] == nil {
			acts = append(acts, u.What)
		}
		before[u.What] = append(before[u.What], fmt.Sprint(u.Push))
	}
	for i, act := range acts {
		acts[i] = fmt.Sprintf("  ! Before push %s: %s", strings.Join(before[act], ", "), act)
	}
	return acts
}

// course is how a trial went: pushes, cable, and what it came to.
func (r Review) course(pushes int, used q.Length, setting q.Maybe[session.Setting], chance q.Maybe[float64]) string {
	came := "No setting."
	if at, ok := setting.Get(); ok {
		came = fmt.Sprintf("Setting %s, where %s would fold.", r.Shown.Show(at), outOf(chance.Or(0)))
	}
	return fmt.Sprintf("%d pushes, %s of cable. %s", pushes, ShowLength(used, r.Shown), came)
}

// ShowLength shows a length of cable in the unit that goes with a rig's gauges, to a
// whole one, or a tenth below ten.
func ShowLength(l q.Length, rig session.Rig) string {
	unit := "m"
	if strings.HasPrefix(rig.PushUnit, "ft") {
		unit = "ft"
	}
	x, parts := q.In(l, unit), 1.0
	if x < 10 {
		parts = 10
	}
	return q.Text(q.From[q.Length](math.Round(x*parts)/parts, unit), unit)
}
