package ui

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session/run"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"

	tea "github.com/charmbracelet/bubbletea"
)

// Every way out of a run asks to make safe, and what was answered is on disk: arrived, given up,
// after a fold, and before it has begun.
func TestEveryEndAsksToMakeSafe(t *testing.T) {
	for name, answers := range map[string][]string{
		"arrived":  {"run-running: Arrived", "run-end: Seen", "run-end-mark: =4960 ft"},
		"given up": {"run-running: Arrived", "run-end: It ends", "run-gave-up: Stuck", "run-end-mark: =4960 ft"},
		"folded":   {"run-running: It stands", "run-reason: Fold", "run-stopped: The run ends here", "run-gave-up: Cable folded", "run-end-mark: =4960 ft"},
	} {
		d := runningDriver(t).say(answers...).say("cautions: Read aloud")
		require.Equal(t, run.ItemMadeSafe, d.m.question.ID, name)
		for _, step := range []string{"Stop the drive", "solate its supply", "hut the air at its source", "ent", "ead zero", "ell the far end"} {
			require.Contains(t, d.body(), step, name)
		}
		d.say(run.ItemMadeSafe + ": all done")
		record := d.record()
		require.Equal(t, "all done, gauge reads zero", record.Answers[len(record.Answers)-1].State, name)
		d.leaveRun()
	}
	d := notBegunDriver(t).beforeAir()
	d.say("run-cable-warm: =70 F", "run-inlet-warm: Not read", "run-dial: No run today", "run-gave-up: Too warm", "cautions: Read aloud")
	require.Equal(t, run.ItemMadeSafe, d.m.question.ID)
	d.leaveRun()
}

// Who leaves a run is asked to make safe, which is written down; who leaves all the same, or is cut
// off, was told what is live, and who comes back is told how it was left.
func TestWhoLeavesARunIsTold(t *testing.T) {
	d := runningDriver(t)
	d.key("q")
	require.Equal(t, "run-leave", d.m.question.ID)
	require.Contains(t, d.m.question.Title, "the cable moves, drive and air are on")
	require.Contains(t, d.body(), "2. Isolate its supply.")
	require.Contains(t, d.m.Keeper.Live, "STILL LIVE by the record: the cable moves, drive and air are on. This program stops nothing. Stop the drive. ")
	d.say("run-leave: Back")
	require.Equal(t, "run-running", d.m.question.ID)
	d.leaveRun()

	d.openRun("")
	require.Contains(t, d.body(), "! Left without being made safe: by the record the cable moves, drive and air are on. Look before anything else.")
	d.key("q")
	d.say("run-leave: All done")
	require.Equal(t, "run-left", d.m.question.ID)
	require.Empty(t, d.m.Keeper.Live)
	last := d.record().Answers[len(d.record().Answers)-1]
	require.Equal(t, run.ItemLeft, last.Item)
	require.Equal(t, "all done, gauge reads zero", last.State)
	d.leaveRun()
	d.openRun("")
	require.NotContains(t, d.body(), "Left without being made safe")
	d.key("q")
	d.after(time.Second)
	_, cmd := d.m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q")})
	require.NotNil(t, cmd)
	d.leaveRun()
}

// Who gives up a value that is needed is asked to make safe first, in a run; of a trial the start
// page says what is live.
func TestWhoGivesUpAValueIsTold(t *testing.T) {
	d := notBegunDriver(t).beforeAir().say(dialAnswers...)
	require.Equal(t, "run-mark", d.m.question.ID)
	require.Contains(t, d.m.View(), "esc leave")
	d.key("esc")
	require.Equal(t, "run-leave", d.m.question.ID)
	d.leaveRun()

	d = newDriver(t, t.TempDir())
	d.key("2")
	folds := rig{fold: 1, slipPerPSI: 1000}
	for d.m.question.ID != "used" {
		require.True(t, d.step(folds, d.key))
	}
	d.run(d.m.do(d.m.flow, ask.GoHome{}))
	require.Equal(t, "start", d.m.question.ID)
	require.Contains(t, d.body(), "! Stub and plug are still fitted: no air.")
}

// Before the air a proved duct may hold some; nothing is live before a run is begun, and after it
// was made safe.
func TestNothingLiveIsNotSaid(t *testing.T) {
	d := notBegunDriver(t)
	require.Empty(t, d.m.Keeper.Live)
	d.say(crewAnswers...).say(proveAnswers[:7]...)
	require.Contains(t, d.m.Keeper.Live, "the duct may hold air")
	d.leaveRun()
	d = runningDriver(t).say("run-running: Arrived", "run-end: Seen", "run-end-mark: =4960 ft", "cautions: Read aloud")
	require.Contains(t, d.m.Keeper.Live, "drive and air may be on")
	d.say(run.ItemMadeSafe + ": all done")
	require.Empty(t, d.m.Keeper.Live)
	d.leaveRun()
}

// In plain mode too: "q" asks first, the second one leaves and says what is live.
func TestPlainRunLeftLive(t *testing.T) {
	dir := t.TempDir()
	id := pulledProfile(t, dir)
	d := newRunDriver(t, dir, id)
	for _, part := range [][]string{crewAnswers, proveAnswers, airAnswers, dialAnswers, goAnswers} {
		d.say(part...)
	}
	d.leaveRun()
	said := []string{"q", "q"}
	o := &operator{answer: func(string) string {
		d.after(time.Second)
		if len(said) == 0 {
			return ""
		}
		next := said[0]
		said = said[1:]
		return next
	}}
	library, err := rehearsal.OpenLibrary(dir, d.m.Now, nil)
	require.NoError(t, err)
	k, home, err := ask.RunRecord(d.m.Keeper, library, id)
	require.NoError(t, err)
	p := Plain{In: o, Out: o, Now: d.m.Now, Keeper: k, Home: home}
	require.NoError(t, p.Run())
	require.NoError(t, p.Keeper.Close())
	text := o.printed.String()
	leaving, live := strings.Index(text, "!! Leaving: the cable moves"), strings.Index(text, "STILL LIVE by the record: the cable moves")
	require.Positive(t, leaving)
	require.Greater(t, live, leaving)
	require.Contains(t, text, "\"brinkmark run\" goes on here")
}

// After a fold, or where it is too warm for any setting, going on is not offered.
func TestNoGoingOnAfterAFold(t *testing.T) {
	offered := func(d *driver) string {
		var all []string
		for _, c := range d.m.question.Choices {
			all = append(all, c.Label)
		}
		return strings.Join(all, "\n")
	}
	d := runningDriver(t).say("run-running: It stands", "run-reason: Fold")
	stops := d.record().Stops
	require.Equal(t, run.StopFold, stops[len(stops)-1].Reason, "on disk before anything else is asked")
	require.Contains(t, d.body(), "Never air, a rod or force on a fold.")
	require.NotContains(t, offered(d), "go on")
	require.Contains(t, d.body(), "the supervisor and the makers' instructions decide")
	d.leaveRun()

	d = runningDriver(t).say("run-running: Another reading", "run-values: Cable temperature", "run-value: =75 F")
	require.True(t, strings.HasPrefix(d.m.question.Title, "!! NOW: Stop the drive, isolate its supply"), d.m.question.Title)
	d.say("run-running: It stands", "run-reason: Warmer, dropped", "run-stop-mark: Not read")
	require.NotContains(t, offered(d), "go on")
	d.say("run-stopped: Another reading", "run-values: Cable temperature", "run-value: =44 F")
	require.Contains(t, offered(d), "Make ready to go on", "in the shade again")
	d.leaveRun()
}

// Who watches belts and cable, or drives, is not at the far end.
func TestNobodyIsAtBothEnds(t *testing.T) {
	typed := func(d *driver, name string) {
		for _, r := range name {
			d.key(string(r))
		}
		d.send(tea.KeyMsg{Type: tea.KeyEnter})
	}
	d := notBegunDriver(t)
	d.say("run-crew: Watcher", "run-person: =CD", "run-crew: Far end")
	typed(d, "cd ")
	require.Equal(t, "run-person", d.m.question.ID)
	require.Contains(t, d.m.failure, "is at the drive: the far end is somebody else\n  name who stands at the duct's other end")
	d = notBegunDriver(t)
	d.say("run-crew: Far end", "run-person: =EF", "run-crew: Watcher")
	typed(d, "EF")
	require.Equal(t, "run-person", d.m.question.ID)
	require.Contains(t, d.m.failure, "EF is at the drive")
}

// No reason is put into a mouth that nobody would sign.
func TestOverrideReasonsOffered(t *testing.T) {
	d := runningDriver(t)
	d.say("run-running: Another reading", "run-values: Belt speed", "run-value: =110 ft/min", "run-who: AB")
	for _, c := range d.m.question.Choices {
		require.NotContains(t, c.Label, "get past")
		require.NotContains(t, c.Label, "short check")
	}
	require.Equal(t, "No: turn it back", d.m.question.Choices[0].Label)
	d.leaveRun()
}

// A run with a profile that was withdrawn, or that folded a cable, objects before anything is asked:
// when it is named, when it is chosen from the list, and when a run begun before is gone on with.
func TestEndedProfileObjectsFirst(t *testing.T) {
	dir := t.TempDir()
	id := pulledProfile(t, dir)
	d := newRunDriver(t, dir, id)
	d.say(crewAnswers...)
	d.leaveRun()
	library, err := rehearsal.OpenLibrary(dir, d.m.Now, nil)
	require.NoError(t, err)
	s, err := library.Sit("QS")
	require.NoError(t, err)
	require.NoError(t, s.Withdraw(id, "jacket marked"))
	require.NoError(t, s.Close())
	d.openRun("")
	require.Contains(t, d.body(), "The profile holds for nothing any more: withdrawn. Do not push on with it")
	d.leaveRun()

	dir = t.TempDir()
	id = pulledProfile(t, dir)
	d = newRunDriver(t, dir, id) // a run that folds
	for _, part := range [][]string{crewAnswers, proveAnswers, airAnswers, dialAnswers, goAnswers} {
		d.say(part...)
	}
	d.say("run-running: It stands", "run-reason: Fold", "run-stopped: The run ends here", "run-gave-up: Cable folded", "run-end-mark: Not read",
		"cautions: Read aloud", "run-vented: all done", "block: All 2", "run-stub: Retired", "run-jacket: Clean", "run-folds: Once", "run-slack: None", "run-loops: No loop", "run-remainder: None", "run-summary: Close")
	d.leaveRun()
	library, err = rehearsal.OpenLibrary(dir, d.m.Now, nil)
	require.NoError(t, err)
	_, _, err = ask.RunRecord(d.m.Keeper, library, id)
	require.ErrorContains(t, err, "holds for nothing any more")
	k, home, err := ask.PlanRun(d.m.Keeper, library)
	require.NoError(t, err)
	d.m = newModel(Screens{Keeper: k, Now: d.m.Now, Renderer: d.m.Renderer, Options: d.m.Options}, home)
	require.Equal(t, "run-which", d.m.question.ID)
	d.key("1")
	require.Equal(t, "run-which", d.m.question.ID)
	require.Contains(t, d.body(), "! this profile holds for nothing any more: ")
}
