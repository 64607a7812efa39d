package run

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// Alert is one thing to be minded, why, and what to do.
type Alert struct {
	Kind     Kind
	When     When
	Says, Do string
}

// When is how soon to act, the soonest first.
type When int

// The times.
const (
	Now When = iota + 1
	Watch
)

var whenNames = []string{"", "now", "watch"}

func (w When) String() string { return whenNames[w] }

// Kind is what an alert is about, the gravest first.
type Kind int

// The kinds.
const (
	FoldSeen Kind = iota + 1
	JacketSeen
	AboveRating
	AirHot
	AboveSafe
	NoSetting // too warm for any
	TooFast   // for the belts, or for any drive
	AboveSetting
	NearlyStopped
	AirSags
	SettingTooHigh // for the temperature now
	RadioLost
	WrongMark
	AirWarm
	SlowsEarly
	ColderThanTried
	StaleTemperature
	BeltsSlip
	AfterRestart
	WontReach
)

var kindNames = []string{
	"", "fold", "jacket marked", "air above rating", "air hot", "push above trial", "no setting", "too fast", "above setting", "nearly stopped", "air sags",
	"too high for the warmth", "radio lost", "mark", "air warm", "slows early", "colder", "stale temperature", "belts slip", "after a restart", "will not reach",
}

func (k Kind) String() string { return kindNames[k] }

// facts are what alerts are made from.
type facts struct {
	*course
	progress progress
	stage    Stage
	at       time.Time
}

// alertRows are all alerts, each with what it watches.
var alertRows = []func(*facts) []Alert{
	(*facts).hurtNow, (*facts).radio, (*facts).rating, (*facts).airWarmth, (*facts).push, (*facts).warmthNow, (*facts).override,
	(*facts).racing, (*facts).slowing, (*facts).sag, (*facts).mark, (*facts).stale, (*facts).slip, (*facts).restarted,
}

// alerts are what is to be minded now, the soonest and gravest first. Before the start, and
// after the end, there is nothing to act on.
func (f *facts) alerts() []Alert {
	var list []Alert
	if f.stage != AirStage && !f.underWay() {
		return nil
	}
	for _, row := range alertRows {
		list = append(list, row(f)...)
	}
	slices.SortStableFunc(list, func(a, b Alert) int { return cmp.Or(cmp.Compare(a.When, b.When), cmp.Compare(a.Kind, b.Kind)) })
	return list
}

func (f *facts) underWay() bool { return f.stage == RunStage || f.stage == StopStage }

func (f *facts) pressure(p q.Pressure) string { return q.Text(p, f.plan.pressureUnit()) }

// makeSafe are the steps of [session.MakeSafe] as one sentence.
func makeSafe() string {
	_, steps := session.MakeSafe()
	for i, s := range steps {
		if s = strings.TrimSuffix(s, "."); i > 0 {
			s = strings.ToLower(s[:1]) + s[1:]
		}
		steps[i] = s
	}
	return strings.Join(steps, ", ") + "."
}

// FoldDo is what to do after a fold in a run.
//
// Source: common practice, no source.
func FoldDo() string {
	return makeSafe() + " Only then a hand near it. Never air, a rod or force on a fold. " +
		"What folded is scrap; how it is drawn back, the supervisor and the makers' instructions decide. A new trial is due before any further push."
}

// JacketDo is what to do after a marked jacket in a run.
//
// Source: common practice, no source.
func JacketDo() string {
	return makeSafe() + " Only then a hand near it. Never again the grip pressure that marked it. Whether this cable stays in, the supervisor decides. A new trial is due before any further push."
}

// hurtNow tells of a fold or a marked jacket until the run ends, the graver first.
func (f *facts) hurtNow() []Alert {
	folded, damaged := f.hurt()
	switch {
	case !f.underWay():
	case folded:
		return []Alert{{FoldSeen, Now, "The cable folded.", FoldDo()}}
	case damaged:
		return []Alert{{JacketSeen, Now, "The jacket is marked.", JacketDo()}}
	}
	return nil
}

// stoppedHurt reports whether it stands, hurt: nothing is pushed any more, and how to set what pushes is
// nothing to tell.
func (f *facts) stoppedHurt() bool { return f.stage == StopStage && len(f.hurts) > 0 }

func (f *facts) standsFor(reason string) bool {
	n := len(f.stops)
	return n > 0 && f.stage == StopStage && sameWords(f.stops[n-1].Reason, reason)
}

// RadioLostDo is what to do when nobody hears the far end.
//
// Source: common practice, no source.
const RadioLostDo = "Stop the drive, shut the air at its source, vent. Nothing moves until the far end answers."

func (f *facts) radio() []Alert {
	if f.standsFor(StopRadio) {
		return []Alert{{RadioLost, Now, "Radio lost.", RadioLostDo}}
	}
	return nil
}

// rating compares the air with the weakest part of its way.
func (f *facts) rating() []Alert {
	air, known := f.now.Air.Get()
	low, found := f.plan.Ratings.Lowest()
	if !known || !found || air <= low.Pressure*(1+rounding) || !f.underWay() {
		return nil
	}
	return []Alert{{AboveRating, Now, fmt.Sprintf("Air at %s is above what the %s bears, %s.", f.pressure(air), low.Of, f.pressure(low.Pressure)),
		"Bring the pressure down at the compressor."}}
}

// airWarmth watches the air at the duct's mouth.
//
// Source: common practice, no source: 40 °C wanted, 60 °C never exceeded.
func (f *facts) airWarmth() []Alert {
	air, known := f.now.Inlet.Get()
	switch {
	case !known || !f.underWay():
	case air > reach.HotAir:
		return []Alert{{AirHot, Now, fmt.Sprintf("Air of %s softens duct and cable.", f.plan.temperature(f.now.Inlet)),
			fmt.Sprintf("Stop, shut the air, vent. Never above %s: cool it first.", f.plan.temperature(q.Known[q.Temperature](reach.HotAir)))}}
	case air > reach.WarmAir:
		return []Alert{{AirWarm, Watch, fmt.Sprintf("Air of %s is warm.", f.plan.temperature(f.now.Inlet)),
			fmt.Sprintf("Cool it to %s or less: shade, cooler, smaller flow.", f.plan.temperature(q.Known[q.Temperature](reach.WarmAir)))}}
	}
	return nil
}

// push compares the push gauge with the push of the trial's setting.
func (f *facts) push() []Alert {
	worked, known1 := f.plan.Reach.Get()
	push, known2 := f.now.Push.Get()
	if !known1 || !known2 || push <= worked.Job.Push.Safe*(1+rounding) || worked.Job.Push.Safe <= 0 {
		return nil
	}
	unit := cmp.Or(f.plan.Units.Force, "N")
	return []Alert{{AboveSafe, Now, fmt.Sprintf("The gauge shows %s, more than the trial's push, %s.", reach.ForceText(push, unit), reach.ForceText(worked.Job.Push.Safe, unit)),
		"Stop and find out why: nobody has tried this push."}}
}

// warmthNow compares the setting in force with what the temperature now allows.
func (f *facts) warmthNow() []Alert {
	most, warmth := f.allowed()
	is, whole := f.now.Setting()
	warmest := warmer(f.now.Cable, f.now.Inlet)
	text := f.plan.temperature(warmest)
	allowed := most.Or(session.Setting{})
	switch {
	case f.stoppedHurt():
	case warmth == Ended:
		return []Alert{{NoSetting, Now, endedSays(f.plan.Ended), f.tooWarmDo()}}
	case warmth == TooCold:
		return []Alert{{NoSetting, Now, fmt.Sprintf("Cable and air at %s are colder than a short check could carry the setting.", text), f.tooWarmDo()}}
	case warmth == TooWarm:
		return []Alert{{NoSetting, Now, fmt.Sprintf("Cable or air at %s is warmer than any setting of this profile covers.", text), f.tooWarmDo()}}
	case warmth == Warmer && whole && f.plan.above(is, allowed):
		return []Alert{{SettingTooHigh, Now, fmt.Sprintf("Cable or air at %s is warmer than %s covers.", text, f.plan.Rig.Named(is)),
			fmt.Sprintf("Drop to %s now. Stay there or below, %s.", f.plan.Rig.Named(Lower(is, allowed)), f.untilChecked())}}
	case warmth == Warmer:
		return []Alert{{SettingTooHigh, Watch, fmt.Sprintf("Cable or air at %s is warmer than the profile's own setting covers.", text),
			fmt.Sprintf("Stay at %s or below, %s.", f.plan.Rig.Named(allowed), f.untilChecked())}}
	case warmth == Held && whole && f.plan.above(is, allowed):
		return []Alert{{SettingTooHigh, Now, "It was warmer in this run, and no check can be made with the cable in the duct.",
			fmt.Sprintf("Drop to %s now. Stay there or below, %s.", f.plan.Rig.Named(Lower(is, allowed)), f.untilChecked())}}
	case warmth == Held:
		return []Alert{{SettingTooHigh, Watch, "It was warmer in this run than the profile's own setting covers.",
			fmt.Sprintf("Stay at %s or below, %s.", f.plan.Rig.Named(allowed), f.untilChecked())}}
	case warmth == Colder:
		return []Alert{{ColderThanTried, Watch, fmt.Sprintf("Cable or air at %s is colder than the profile covers, the belts may slip.", text),
			"Watch the belts. It is no reason for a higher setting."}}
	}
	return nil
}

// tooWarmDo is what to do where no setting of the profile holds: nothing is checked or tried with
// cable in the duct.
func (f *facts) tooWarmDo() string {
	if !f.started {
		return "Do not begin: a new trial is due."
	}
	return makeSafe() + " The run cannot go on with this profile: a new trial is due before any further push. How the cable is left in the duct the supervisor decides."
}

// untilChecked says until when a lower setting stays. Once the cable is in the duct no check can
// be made with it.
func (f *facts) untilChecked() string { return untilChecked(f.started) }

func untilChecked(started bool) string {
	if started {
		return "until the run ends; a short check is for before the next run"
	}
	return "until a short check"
}

// override tells of a setting in force above what is allowed.
func (f *facts) override() []Alert {
	n := len(f.overrides)
	if f.over == "" || n == 0 || f.stoppedHurt() {
		return nil
	}
	o := f.overrides[n-1]
	tried := "Nobody has tried it"
	if is, whole := f.now.Setting(); whole && f.plan.folds(is) {
		tried = "It folded there"
	}
	does := fmt.Sprintf("By %s: %s. "+tried+": go back as soon as you can.", o.By, strings.TrimSuffix(o.Reason, "."))
	if !o.Named() {
		does = "Go back now; or write down who decided it, and why."
	}
	return []Alert{{AboveSetting, Now, fmt.Sprintf("%s is above what is allowed, %s.", o.Dialled, o.Allowed), does}}
}

// sagging is the part of its highest pressure below which air sags.
//
// Source: common practice, no source. Reach falls in about the same part.
const sagging = 0.9

// sag compares the air with the highest it had since the cable last began to move.
func (f *facts) sag() []Alert {
	air, known := f.now.Air.Get()
	if !known || f.stage != RunStage {
		return nil
	}
	most := air
	if f.stretch == 1 {
		most = max(most, f.start.AirPressure.Or(0))
	}
	for _, s := range f.states {
		if s.stretch == f.stretch && s.Moving {
			most = max(most, s.Air.Or(0))
		}
	}
	if air >= most*sagging {
		return nil
	}
	return []Alert{{AirSags, Now, fmt.Sprintf("Air fell from %s to %s.", f.pressure(most), f.pressure(air)),
		"Slow down; look at compressor, hoses and seals. What it falls by, the reach falls by. Lost air puts the whole push on the cable: then stop."}}
}

func (f *facts) mark() []Alert {
	if f.now.odd == "" {
		return nil
	}
	return []Alert{{WrongMark, Watch, "The last mark cannot be: " + f.now.odd + ".", "Read it again; take the entry back if it was misread."}}
}

// stale tells of a temperature that goes on being taken for today's: the one of the air says
// nothing of a reel in the sun. A clock that was put back counts as a long time.
func (f *facts) stale() []Alert {
	var old []string
	for _, t := range []struct {
		of   string
		read q.Maybe[q.Temperature]
		at   time.Time
	}{{"the cable", f.now.Cable, f.now.CableAt}, {"the inlet air", f.now.Inlet, f.now.InletAt}} {
		if t.read.Known() && f.at.Sub(t.at).Abs() > session.StaleAfter {
			old = append(old, t.of)
		}
	}
	says := "The temperature of " + strings.Join(old, " and ") + " was read more than an hour ago."
	switch {
	case !f.underWay():
		return nil
	case !f.now.Cable.Known() && !f.now.Inlet.Known():
		says = "No temperature of cable or inlet air is written down."
	case len(old) == 0:
		return nil
	}
	return []Alert{{StaleTemperature, Watch, says, "Read the cable at the drive and the air at the duct's mouth."}}
}

// slip offers the one rung that needs no override.
func (f *facts) slip() []Alert {
	if !f.now.Slipped || !f.underWay() || f.stoppedHurt() {
		return nil
	}
	is, whole := f.now.Setting()
	most, _ := f.allowed()
	allowed, some := most.Get()
	if whole && some && is.Grip < allowed.Grip*(1-rounding) {
		return []Alert{{BeltsSlip, Watch, "The belts slipped.", fmt.Sprintf("Grip pressure may go up one rung, to %s: the trial left the jacket clean there. %s stays.", f.plan.Rig.ShowGrip(allowed.Grip), f.plan.control())}}
	}
	return []Alert{{BeltsSlip, Watch, "The belts slipped, and no more grip pressure was tried clean on a cable so warm.", "Stop, isolate, wipe belts and jacket; never more than was tried."}}
}
