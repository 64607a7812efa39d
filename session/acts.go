package session

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// foldChecks are what is done after the cable has folded, in order and before anything
// else: a folded cable is a bent spring with a hand's work to be done on it. How much is
// cut off is asked after the last.
//
// Source: common practice, no source.
var foldChecks = []Check{
	{
		ID: "fold-isolated", Block: AfterAFold, Ask: "FOLD. Stop. Isolate. Does nothing move?",
		States:      []string{"stopped, isolated", "supply still on"},
		RightStates: 1,
		Why:         "The next thing anyone does here is done by hand, at the belts.",
		How:         "Press stop, isolate the supply, press start: nothing moves. No hand before.",
		Wrong:       "The drive starts with a hand in it, on a cable that is bent like a spring.",
		Teach:       "Whatever the hurry: nobody touches a folded cable while the drive has its supply.",
		Killer:      true, After: []Event{FoldSeen}, Since: "table-2",
	},
	{
		ID: "fold-clear", Block: AfterAFold, Ask: "FOLD. Everyone clear of the cable?",
		States:      []string{"clear, nobody in line", "someone is too close"},
		RightStates: 1,
		Why:         "The belts hold a bent spring. Opened, they let it go.",
		How:         "Nobody over the gap or in line with stub and plug; faces away, eyes covered.",
		Wrong:       "Cable or plug jumps and somebody is struck.",
		Teach:       "It can jump when the belts open, when it is pulled, and when the stub is cut.",
		Killer:      true, After: []Event{FoldSeen}, Since: "table-2",
	},
	{
		ID: "fold-withdrawn", Block: AfterAFold, Ask: "FOLD. Isolated: draw it back. Is it out?",
		States:      []string{"came freely, is out", StubCutOff, "stuck, still in there"},
		RightStates: 2,
		Why:         "Force on a stuck fold lets go all at once, or breaks the cable into shards.",
		How:         "Isolated, belts open: by hand, slowly, and only if it comes freely.",
		Wrong:       "Stuck: no air, no rod, no pulling with force. Isolate and cut the stub.",
		Teach:       "Cut the stub behind the fold, away from the plug; hold neither end. Fit another stub.",
		Killer:      true, After: []Event{FoldSeen}, Since: "table-2",
	},
}

// WithdrawSteps is how a folded cable is drawn back, in order; what is never done to a stuck
// one is among the cautions after a fold.
//
// Source: common practice, no source.
func WithdrawSteps() []string {
	return []string{
		"Drive isolated, stub vented and open: nothing can hold air.",
		"Stand aside, open the belts, let the cable come to rest.",
		"Draw it back by hand, slowly, and only if it comes freely.",
	}
}

// StubCutOff is the state of a fold that did not come out: there is another stub after it.
const StubCutOff = "stuck: stub was cut"

// slipChecks are what is done after the belts have slipped: the hand that wipes them goes
// where the drive would draw it in.
//
// Source: common practice, no source.
var slipChecks = []Check{{
	ID: "slip-isolated", Block: AfterASlip, Ask: "SLIP. Stop, isolate, then wipe the belts?",
	States:      []string{"isolated, then wiped", "supply still on"},
	RightStates: 1,
	Why:         "A hand wipes belts and jacket now.",
	How:         "Stop, isolate, then wipe belts and jacket with a white cloth; chalk a belt.",
	Wrong:       "The belts start and draw the cloth and the hand in.",
	Teach:       "Never wipe a belt that turns, however slowly, and never with a loose rag.",
	Killer:      true, After: []Event{BeltsWiped}, Since: "table-2",
}}

// safeChecks are asked of a crew that ends a trial without a setting to install with: with
// one, carrying over asks the same.
//
// Source: common practice, no source.
var safeChecks = []Check{
	{
		ID: "made-safe-drive", Block: OnLeaving, Ask: "Make safe: the drive?",
		States:      []string{"stopped, isolated", "supply still on"},
		RightStates: 1,
		Why:         "Whoever comes next does not know what was left on.",
		How:         "Press stop, isolate the supply, press start: nothing moves. No hand before.",
		Wrong:       "The drive starts with a hand in it.",
		Teach:       "Isolated means that somebody would have to undo it on purpose.",
		Killer:      true, Since: "table-2",
	},
	{
		ID: "made-safe-air", Block: OnLeaving, Ask: "Make safe: the air?",
		States:      []string{"shut, vented, at zero", "no air on this site", "could still get in"},
		RightStates: 2,
		Why:         "The duct end is plugged, or was a moment ago.",
		How:         "Shut at its source, vented, gauge at zero.",
		Wrong:       "Plug or cable leaves like a shot.",
		Teach:       "A valve shut at the drive is not enough: the hose before it still holds air.",
		Killer:      true, Since: "table-2",
	},
	{
		ID: "made-safe-stub", Block: OnLeaving, Ask: "Make safe: stub and plug?",
		States:      []string{StubFitted, "on the ground, in sight", "nobody has looked"},
		RightStates: 2,
		Why:         "Air on a plugged duct is the worst thing that can happen here.",
		How:         "Still fitted: no air, a tag that says so. Stop, isolate, then take them off.",
		Wrong:       "The next crew lets air on a plug they do not know of.",
		Teach:       "Write it on the tag and say it to whoever takes over: plug fitted, no air.",
		Killer:      true, Since: "table-2",
	},
}

// StubFitted is the state of a stub left where it is.
const StubFitted = "fitted, tagged: no air"

// DueAfterFold are the acts open after a fold that was the last push; none after another.
func (t Trial) DueAfterFold(now time.Time) []Check {
	if last, ok := t.last(); ok && last.Bent() {
		return DueOf(foldChecks, t.log(nil), now)
	}
	return nil
}

// DueAfterSlip are the acts open after a slip that was the last push; none after another.
// Once done they stay done: what spoils by itself has checks of its own.
func (t Trial) DueAfterSlip() []Check {
	last, ok := t.last()
	if !ok || last.Outcome != Slip {
		return nil
	}
	return slices.DeleteFunc(clone(slipChecks), func(c Check) bool {
		return slices.ContainsFunc(t.Answers(), func(a Answer) bool {
			return a.Seq > last.Seq && a.Item == c.ID && c.Right(a.State, a.Value)
		})
	})
}

// DueToLeave are the acts of making safe that were not answered right after an entry.
func (t Trial) DueToLeave(after int) []Check {
	var since []Happened
	for _, a := range t.Answers() {
		if a.Seq > after {
			since = append(since, Happened{At: a.At, Check: a.Item, State: a.State, Value: a.Value})
		}
	}
	var now time.Time
	if len(since) > 0 {
		now = since[len(since)-1].At
	}
	return DueOf(safeChecks, CheckLog{Past: since}, now)
}

func (t Trial) last() (Attempt, bool) {
	attempts := t.Attempts()
	if len(attempts) == 0 {
		return Attempt{}, false
	}
	return attempts[len(attempts)-1], true
}

// Bent reports whether a push has left the cable bent: in the stub, or in the gap, where a
// fold says nothing about the duct.
func (a Attempt) Bent() bool { return a.Outcome == Fold || a.VoidReason == VoidGapFold }

// Live says what may still be live where the crew leaves the trial as it stands; nothing
// before anyone has touched the rig, and after a trial that ended with everything safe.
func (t Trial) Live() []string {
	if !t.Touched() || t.StateOf(ItemClosed) == TrialClosed {
		return nil
	}
	var live []string
	if !t.isolated() {
		live = append(live, supplyOn)
	}
	switch t.stub() {
	case "fitted":
		live = append(live, stubOn)
	case "":
		live = append(live, "Stub and plug may be fitted already: no air.")
	case "off":
		if !t.Closed() {
			live = append(live, "No air until the far end says clear: leave it shut and vented.")
		}
	}
	return live
}

const (
	supplyOn = "The drive may still have supply: stop, isolate."
	stubOn   = "Stub and plug are still fitted: no air."
)

// Touched reports whether anyone has been at the rig in this trial.
func (t Trial) Touched() bool {
	return len(t.Attempts()) > 0 || slices.ContainsFunc(t.Answers(), func(a Answer) bool {
		_, ok := CheckByID(a.Item)
		return ok
	})
}

// LiveBefore says what the trial before on the same set-up has left live.
func LiveBefore(earlier []Happened) (live []string) {
	supply, stub := false, false
	for _, h := range earlier {
		c, known := CheckByID(h.Check)
		right := known && c.Right(h.State, h.Value)
		switch {
		case h.Check == ItemClosed && h.State == TrialClosed:
			supply, stub = false, false
		case slices.Contains(isolates, c.ID):
			supply = !right
		case c.ID == "stub-and-plug-out" && right, h.State == "on the ground, in sight":
			stub = false
		case known && c.Always():
			supply, stub = supply || !c.Hands, stub || c.ID == "plug-held" && right
		}
	}
	if supply {
		live = append(live, supplyOn)
	}
	if stub {
		live = append(live, stubOn)
	}
	return live
}

// isolates are the acts that leave the drive isolated.
var isolates = []string{"fold-isolated", "slip-isolated", "made-safe-drive", "trial-isolated"}

// isolated reports whether the drive was isolated, and nothing answered since that it has
// to run for.
func (t Trial) isolated() bool {
	dropped := t.undone()
	for _, e := range slices.Backward(t.Entries) {
		a, answer := e.(Answer)
		if _, push := e.(Attempt); push && !dropped[e.Number()] {
			return false
		}
		c, known := CheckByID(a.Item)
		if !answer || dropped[a.Seq] || !known {
			continue
		}
		switch {
		case slices.Contains(isolates, c.ID):
			return c.Right(a.State, a.Value)
		case !c.Hands && !slices.Contains([]Block{AfterAFold, OnLeaving, StubOff}, c.Block):
			return false
		}
	}
	return false
}

// stub is "fitted" or "off" as the record last says; "" where it does not say.
func (t Trial) stub() string {
	at := ""
	for _, e := range t.Entries {
		if t.undone()[e.Number()] {
			continue
		}
		switch e := e.(type) {
		case Attempt:
			at = "fitted"
		case Answer:
			c, _ := CheckByID(e.Item)
			switch {
			case e.Item == "stub-and-plug-out" && c.Right(e.State, ""), e.Item == "made-safe-stub" && e.State == "on the ground, in sight":
				at = "off"
			case e.Item == "plug-held" && c.Right(e.State, ""), e.Item == "made-safe-stub":
				at = "fitted"
			}
		}
	}
	return at
}

// checkTables are all the checks of a trial.
var checkTables = [][]Check{setupChecks, carryChecks, foldChecks, slipChecks, safeChecks}

// The names of the tables of checks, the first and the newest last. A record made before
// records named theirs is of the first.
var checkTableNames = []string{"", "table-2"}

// CheckTable is the name of the table that new trials are asked by. A row that is added
// names a new table as the one that has it first, and the name is added here: who looks
// through an old record then does not miss an answer that nobody was asked for. The states
// of a row are kept as they are.
func CheckTable() string { return checkTableNames[len(checkTableNames)-1] }

// ChecksOf returns all checks of the table a record names, in order.
func ChecksOf(name string) ([]Check, error) {
	var all []Check
	for _, table := range checkTables {
		all = append(all, table...)
	}
	return checksOf(all, name)
}

func checksOf(all []Check, name string) ([]Check, error) {
	of := slices.Index(checkTableNames, name)
	if of < 0 {
		return nil, fmt.Errorf("check table %q is not known to this version; it knows %s", clip(name), strings.Join(checkTableNames[1:], " and "))
	}
	var out []Check
	for _, c := range all {
		if slices.Index(checkTableNames, c.Since) <= of {
			out = append(out, c.clone())
		}
	}
	return out, nil
}

// Always reports whether every trial has to answer the check: those before the pushes. The
// others come up in its course.
func (c Check) Always() bool { return c.Block >= SafeToPush && c.Block <= OncePerSetup }
