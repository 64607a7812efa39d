package session

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A record that names no table was asked by the first one: these rows and no others. A row
// that is added names the table that has it first.
func TestFirstCheckTable(t *testing.T) {
	first, err := ChecksOf("")
	require.NoError(t, err)
	require.Equal(t, strings.Fields(`
		chamber-vented guards-on stop-tested supply-isolates stub-holed plug-held line-of-fire
		same-reel reel-slack cable-sound cable-clean end-capped cable-temperature air-temperature
		belts-clean belts-parallel lead-in-fitted gap grip-pressure-gauge push-control-proved supply-warm
		stub-same stub-cut stub-clamped stub-straight stub-empty stub-temperature lines-drawn witness-lines sight
		cable-diameter stub-bore run-up cable-to-spare settling-push
		trial-isolated stub-and-plug-out used-length-cut seals-fitted fresh-end-headed lead-in-back
		dialled-grip-pressure dialled-push-control rig-tagged far-end-clear`), ids(first))
	newest, err := ChecksOf(CheckTable())
	require.NoError(t, err)
	require.Len(t, newest, len(first)+len(foldChecks)+len(slipChecks)+len(safeChecks))
	_, err = ChecksOf("table-9")
	require.EqualError(t, err, `check table "table-9" is not known to this version; it knows table-2`)
}

// A killer that a later table has is asked of no earlier record.
func TestCheckIsOfTheTableThatHasItFirst(t *testing.T) {
	rows := []Check{{ID: "always-there"}, {ID: "came-later", Since: CheckTable(), Killer: true}}
	old, err := checksOf(rows, "")
	require.NoError(t, err)
	require.Equal(t, []string{"always-there"}, ids(old))
	now, err := checksOf(rows, CheckTable())
	require.NoError(t, err)
	require.Equal(t, []string{"always-there", "came-later"}, ids(now))
	for _, c := range allChecks() {
		require.Contains(t, checkTableNames, c.Since, c.ID)
	}
}

// Source: common practice, no source; from memory 29 CFR 1910.147: whoever reaches in has
// isolated before. It stands in the sentence that asks for the hand.
func TestIsolateInTheSentenceThatAsksForAHand(t *testing.T) {
	hand := regexp.MustCompile(`(?i)\b(wipe|feel|pull|chalk|draw|cut|cap|fit|withdraw|back the cable|slide|lay it in|measure|push with a rod|bottom it|take them off|jacket where it is fed in)\b`)
	const first = "stop, isolate, then"
	for _, c := range allChecks() {
		if c.Hands {
			require.True(t, strings.HasPrefix(strings.ToLower(c.How), first), "%s: %s", c.ID, c.How)
		}
		if !c.Hands && c.Block != AtReel && c.Block != AtStub && c.Block != OncePerSetup {
			for _, sentence := range strings.Split(c.How, ". ") {
				if hand.MatchString(sentence) {
					require.Contains(t, strings.ToLower(sentence), "isolate", c.ID)
				}
			}
		}
	}
	for _, id := range []string{"belts-clean", "belts-parallel", "lead-in-fitted", "gap", "lines-drawn", "end-capped", "fresh-end-headed"} {
		c, ok := CheckByID(id)
		require.True(t, ok && c.Hands, id)
	}
	for _, d := range Doubts() {
		if hand.MatchString(d.Check) {
			require.Contains(t, d.Check, first, d.Because)
		}
	}
	for _, step := range PushSteps() {
		if hand.MatchString(step) {
			require.Contains(t, strings.ToLower(step), first)
		}
	}
}

// Source: common practice, no source: nobody runs a drive before its guards are looked at.
func TestGuardsBeforeTheDriveRuns(t *testing.T) {
	order := ids(Checks())
	guards := slices.Index(order, "guards-on")
	for _, runs := range []string{"stop-tested", "supply-isolates", "grip-pressure-gauge", "push-control-proved", "supply-warm", "settling-push"} {
		require.Less(t, guards, slices.Index(order, runs), runs)
	}
	log := CheckLog{Past: append(rightly(setupChecks), event(FoldSeen, 1), event(FreshEndCut, 1))}
	require.Equal(t, []string{"reel-slack", "cable-sound", "end-capped", "lead-in-fitted", "lines-drawn", "guards-on", "settling-push"},
		ids(DueChecks(log, minute(2))), "guards go back on after the hands, and before the drive runs")
	log = CheckLog{Past: append(rightly(setupChecks), event(BeltsWiped, 1))}
	due := ids(DueChecks(log, minute(30)))
	require.Less(t, slices.Index(due, "guards-on"), slices.Index(due, "stop-tested"), "after a pause the stop control is tried: guards first")
}

func answered(seq int, item, state string) Answer {
	return Answer{Mark: Mark{Seq: seq, At: minute(float64(seq))}, Item: item, State: state}
}

// Source: common practice, no source: isolate, clear, withdraw, in that order, whatever the
// fold is called; a stub that was cut is another stub.
func TestDueAfterFold(t *testing.T) {
	at := minute(1)
	for _, a := range []Attempt{{Outcome: Fold}, {Outcome: Void, VoidReason: VoidGapFold}} {
		a.Mark = Mark{Seq: 1, At: at}
		trial := Trial{Entries: []Entry{a}}
		require.Equal(t, []string{"fold-isolated", "fold-clear", "fold-withdrawn"}, ids(trial.DueAfterFold(at)))
		trial.Entries = append(trial.Entries, answered(2, "fold-isolated", "supply still on"))
		require.Equal(t, "fold-isolated", trial.DueAfterFold(minute(2))[0].ID)
		trial.Entries = append(trial.Entries, answered(3, "fold-isolated", "stopped, isolated"), answered(4, "fold-clear", "clear, nobody in line"), answered(5, "fold-withdrawn", "stuck, still in there"))
		require.Equal(t, []string{"fold-withdrawn"}, ids(trial.DueAfterFold(minute(5))))
		trial.Entries = append(trial.Entries, answered(6, "fold-withdrawn", StubCutOff))
		require.Empty(t, trial.DueAfterFold(minute(6)))
		require.True(t, slices.ContainsFunc(trial.Happened(), func(h Happened) bool { return h.Event == StubChanged }))
		require.NotEmpty(t, trial.DueAfterFold(minute(6).Add(LongPause+time.Minute)), "who was away looks again before a hand goes in")
	}
	require.Empty(t, Trial{Entries: []Entry{Attempt{Mark: Mark{Seq: 1}, Outcome: Stall}}}.DueAfterFold(at))
}

func TestLive(t *testing.T) {
	push := Attempt{Mark: Mark{Seq: 10, At: minute(10)}, Outcome: Stall}
	const supply, fitted = "The drive may still have supply: stop, isolate.", "Stub and plug are still fitted: no air."
	closed := answered(40, ItemClosed, "stopped by the crew")
	for _, row := range []struct {
		name    string
		entries []Entry
		want    []string
	}{
		{"nobody has touched the rig", []Entry{answered(1, ItemJob, JobAgreed), answered(2, ItemCautions, CautionsRead)}, nil},
		{"first checks", []Entry{answered(1, "chamber-vented", "hose off, bleed open")}, []string{supply, "Stub and plug may be fitted already: no air."}},
		{"in the climb", []Entry{push}, []string{supply, fitted}},
		{"after a fold, isolated", []Entry{push, answered(11, "fold-isolated", "stopped, isolated")}, []string{fitted}},
		{"after a fold, not isolated", []Entry{push, answered(11, "fold-isolated", "supply still on")}, []string{supply, fitted}},
		{"another push since", []Entry{answered(9, "slip-isolated", "isolated, then wiped"), push}, []string{supply, fitted}},
		{"carrying over, stub still on", []Entry{push, answered(11, "trial-isolated", "stopped, isolated")}, []string{fitted}},
		{"carrying over, stub off", []Entry{push, answered(11, "trial-isolated", "stopped, isolated"), answered(12, "stub-and-plug-out", "on the ground, in sight")},
			[]string{"No air until the far end says clear: leave it shut and vented."}},
		{"stopped, all safe, stub left on", []Entry{push, answered(11, "made-safe-drive", "stopped, isolated"), answered(12, "made-safe-air", "shut, vented, at zero"),
			answered(13, "made-safe-stub", StubFitted), closed}, []string{fitted}},
		{"stopped, all safe", []Entry{push, answered(11, "made-safe-drive", "stopped, isolated"), answered(12, "made-safe-air", "shut, vented, at zero"),
			answered(13, "made-safe-stub", "on the ground, in sight"), closed}, nil},
		{"closed by an earlier version", []Entry{push, closed}, []string{supply, fitted}},
		{"carried over to the end", []Entry{push, answered(40, ItemClosed, TrialClosed)}, nil},
		{"taken back", []Entry{push, answered(11, "trial-isolated", "stopped, isolated"), Undo{Mark: Mark{Seq: 12}, Drops: 11}}, []string{supply, fitted}},
	} {
		require.Equal(t, row.want, Trial{Entries: row.entries}.Live(), row.name)
	}
}

// What to do is said in one wording wherever it is said.
func TestSlowingAndWarmerHaveOneWording(t *testing.T) {
	require.Equal(t, Slowing, cautionByID(t, "never-above-trial").Say)
	require.Equal(t, Warmer, cautionByID(t, "warmer-than-trial").Say)
	require.NotContains(t, Warmer, "trial's", "it is the profile that says how warm is too warm")
}

func TestRadioLostHasOneWording(t *testing.T) {
	require.Equal(t, RadioLost, cautionByID(t, "radio-lost").Say)
	require.Contains(t, cautionByID(t, "far-end-first").Say, RadioLost)
	c, _ := CheckByID("far-end-clear")
	require.Contains(t, c.Teach, RadioLost)
	for _, word := range []string{"stop the drive", "shut the air", "vent"} {
		require.Contains(t, RadioLost, word)
	}
}

// A full trial that begins where a short check has ended finds stub and plug as they are.
func TestLiveBefore(t *testing.T) {
	began := rightly(setupChecks)
	reply := func(id, state string) Happened { return Happened{At: minute(2), Check: id, State: state} }
	require.Empty(t, LiveBefore(nil))
	require.Equal(t, []string{supplyOn, stubOn}, LiveBefore(began))
	safe := append(rightly(setupChecks), reply("made-safe-drive", "stopped, isolated"), reply("made-safe-air", "no air on this site"))
	require.Equal(t, []string{stubOn}, LiveBefore(append(safe, reply("made-safe-stub", StubFitted))))
	require.Empty(t, LiveBefore(append(safe, reply("made-safe-stub", "on the ground, in sight"))))
	require.Empty(t, LiveBefore(append(began, reply(ItemClosed, TrialClosed))))
}
