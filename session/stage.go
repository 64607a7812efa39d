package session

import (
	"time"
)

// Stage is where in a trial the crew stands.
type Stage int

// The stages, in order.
const (
	JobStage     Stage = iota + 1 // pick or enter the job
	CautionStage                  // read the cautions
	CheckStage                    // set-up checks
	ClimbStage                    // push and read
	SettingStage                  // take or refuse the recommendation
	SaveStage                     // write the profile
	CarryStage                    // from stub to run
	ClosedStage                   // nothing left to do
)

var stageNames = []string{"", "job", "cautions", "checks", "climb", "setting", "save", "carry over", "closed"}

func (s Stage) String() string { n, _ := enumText(s, stageNames); return n }

// The items of answers that move a trial from stage to stage.
const (
	ItemJob      = "job"      // state JobAgreed or JobCovered
	ItemCautions = "cautions" // state CautionsRead; value: the ids shown
	ItemReading  = "reading"  // state ReadingTrue: the last push was as it is written
	ItemSetting  = "setting"  // state SettingAccepted, SettingDeclined or SettingRefused; value: the setting
	ItemSaved    = "saved"    // state "profile written"; value: its id
	ItemClosed   = "closed"   // ends the trial

	JobAgreed       = "agreed"
	JobCovered      = "covered"
	CautionsRead    = "read and answered"
	SettingAccepted = "accepted"
	SettingDeclined = "declined" // refused, and the trial still open
	SettingRefused  = "refused"  // and with that closed, as earlier versions wrote it
	ProfileWritten  = "profile written"
	TrialClosed     = "finished"
	TrialUnset      = "no setting"
	TrialStopped    = "stopped by the crew"
	ReadingTrue     = "all true"
)

// StateOf returns the state of the last standing answer to an item, "" when there
// is none.
func (t Trial) StateOf(item string) string {
	a, _ := t.lastAnswer(item)
	return a.State
}

func (t Trial) lastAnswer(item string) (Answer, bool) {
	answers := t.Answers()
	for i := len(answers) - 1; i >= 0; i-- {
		if answers[i].Item == item {
			return answers[i], true
		}
	}
	return Answer{}, false
}

// Closed reports whether nothing is left to do on the trial.
func (t Trial) Closed() bool {
	return t.StateOf(ItemClosed) != "" || t.StateOf(ItemJob) == JobCovered || t.StateOf(ItemSetting) == SettingRefused
}

// Stage derives the stage at a time. next is what [Decide] says of the trial, nil
// while it is not advisable; earlier is the log of the trial before it on the same
// rig, reel and stub, if any.
func (t Trial) Stage(next Next, now time.Time, earlier []Happened) Stage {
	switch {
	case t.Closed():
		return ClosedStage
	case t.StateOf(ItemJob) == "":
		return JobStage
	case t.StateOf(ItemSaved) == "" && t.mustHear(earlier):
		return CautionStage
	case t.StateOf(ItemSetting) == SettingAccepted && t.StateOf(ItemSaved) == "":
		return SaveStage
	case t.StateOf(ItemSaved) != "":
		return CarryStage
	}
	if _, pushing := next.(Try); !pushing {
		return SettingStage
	}
	if len(t.DueChecks(now, earlier)) > 0 {
		return CheckStage
	}
	return ClimbStage
}

// mustHear reports whether a page of cautions comes first.
func (t Trial) mustHear(earlier []Happened) bool {
	_, due := t.DueCautions(earlier)
	return due
}

// DueChecks returns the set-up checks open at a time.
func (t Trial) DueChecks(now time.Time, earlier []Happened) []Check {
	return DueChecks(t.log(earlier), now)
}

// DueCarryOver returns the steps still open between trial and run.
func (t Trial) DueCarryOver(now time.Time) []Check { return DueCarryOver(t.log(nil), now) }

func (t Trial) log(earlier []Happened) CheckLog {
	return CheckLog{Past: t.Happened(), Earlier: earlier, Filled: t.filled(), Trainee: t.People.Trainee}
}

// filled are the record keys a check might ask for and the job already tells.
func (t Trial) filled() []string {
	var keys []string
	for key, known := range map[string]bool{
		"conditions.cable_temperature": t.Conditions.CableTemperature.Known(),
		"conditions.stub_temperature":  t.Conditions.StubTemperature.Known(),
		"conditions.air_temperature":   t.Conditions.AirTemperature.Known(),
		"rig.gap":                      t.Rig.Gap.Known(),
		"cable.outer_diameter":         t.Cable.OuterDiameter.Known(),
		"duct.inner_diameter":          t.Duct.InnerDiameter.Known(),
		"stub.run_up":                  t.Stub.RunUp.Known(),
		"limits.cable_budget":          t.Limits.CableBudget.Known(),
	} {
		if known {
			keys = append(keys, key)
		}
	}
	return keys
}

// Reasons an attempt may be void for. Others can be written in words.
const (
	VoidPlugMoved     = "plug or stub moved"
	VoidSpringBack    = "cable sprang back"
	VoidGapFold       = "fold in the gap"
	VoidSupplyLow     = "supply low"
	VoidSettingMissed = "setting missed"
	VoidUnsure        = "watchers not sure"
)

// VoidReasons are those reasons, the commonest first.
func VoidReasons() []string {
	return []string{VoidPlugMoved, VoidSettingMissed, VoidSupplyLow, VoidSpringBack, VoidGapFold, VoidUnsure}
}

// Happened is the record as the checks see it.
func (t Trial) Happened() []Happened {
	dropped := t.undone()
	var log []Happened
	folded := false
	for _, e := range t.Entries {
		h := Happened{At: e.When()} // also of an entry taken back: the crew was at work
		if dropped[e.Number()] {
			log = append(log, h)
			continue
		}
		switch e := e.(type) {
		case Answer:
			h.Check, h.State, h.Value, h.Skipped = e.Item, e.State, e.Value, e.SkipReason != ""
			h.Event = e.opens()
		case Change:
			// Stub and air are looked at again when the cable has changed, not the other
			// way round: three readings that open each other would be asked for ever.
			if e.Key == "conditions.cable_temperature" {
				h.Event, h.Check, h.Value = TemperatureChanged, "cable-temperature", e.Value
			}
		case Attempt:
			log = append(log, e.happened(folded)...)
			folded = e.Bent()
			continue
		}
		log = append(log, h)
	}
	return log
}

// opens is what an answer opens again: a stub that was cut, or taken off to blow the duct, is
// another when it is fitted again, and so is the end of a cable that was cut.
func (a Answer) opens() Event {
	switch {
	case a.State == StubCutOff:
		return StubChanged
	case a.Item == itemStubOut && a.State == stubOut:
		return StubChanged
	case a.Item == itemFreshEnd && a.SkipReason == "":
		return FreshEndCut
	}
	return 0
}

// happened is what a push opens again. A fresh end after a fold was cut, and what it
// opens asked, before this push; the fold opened it.
func (a Attempt) happened(afterFold bool) []Happened {
	out := []Happened{{At: a.At}}
	event := func(when bool, e Event) {
		if when {
			out = append(out, Happened{At: a.At, Event: e})
		}
	}
	event(a.Bent(), FoldSeen)
	event(a.Outcome == Slip, BeltsWiped)
	event(a.FreshEnd && !afterFold || a.Bent(), FreshEndCut)
	event(a.VoidReason == VoidPlugMoved, PlugMoved)
	event(a.VoidReason == VoidSupplyLow, SupplyFell)
	return out
}
