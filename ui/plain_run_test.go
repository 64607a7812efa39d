package ui

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
)

// The same run as on screens, line by line.
func TestPlainWholeRun(t *testing.T) {
	dir := t.TempDir()
	id := pulledProfile(t, dir)
	d := newDriver(t, dir)
	var answers []string
	for _, part := range [][]string{crewAnswers, proveAnswers, airAnswers, dialAnswers, goAnswers, {
		"run-running: =4750 ft", "run-running: Log a point", "run-point: =4850 ft",
		"run-running: Another reading", "run-values: Cable temperature: 42", "run-value: =52 F", "run-running: Turned down",
		"run-running: Another reading", "run-values: Belt speed: 75", "run-value: =90 ft/min", "run-who: AB", "run-why: =owner wants it tried",
		"run-running: =u", // the override is taken back
		"run-running: Belts slip", "run-running: It stands", "run-reason: Radio lost", "run-stop-mark: =4900 ft", "run-stopped: Make ready", "far-end-clear: says clear", "run-ready: It moves",
		"run-running: =g", "run-plot: Points and stops", "run-log: =b",
		"run-running: =m",
		"run-running: Arrived", "run-end: Seen", "run-end-mark: =6270 ft", "cautions: Read aloud", "run-vented: all done", "block: All 2",
		"run-stub: Retired", "run-jacket: Clean", "run-folds: Never", "run-slack: =50 ft", "run-loops: No loop", "run-remainder: None", "run-summary: Close the run",
	}} {
		answers = append(answers, part...)
	}
	o := plainRun(t, d, id, answers)
	text := o.printed.String()
	requireText(t, text)
	for _, want := range []string{
		"[prove the duct] Read these aloud before the duct is blown through", "[before air] Dial this", "  6 psi grip pressure   95 ft/min belt speed",
		"!! NOW  Cable or air at 52 °F", "Taken back. Last now: grip pressure 6 psi, belt speed 75 ft/min.", "[stopped] !! NOW: Stop the drive, shut the air at its source, vent", "!! NOW  Radio lost.", "THIS SCREEN DOES NOT STOP THE MACHINE", "[closed] This run is closed",
	} {
		require.Contains(t, text, want)
	}
	engine, err := d.record().Engine()
	require.NoError(t, err)
	require.True(t, engine.Closed())
	require.Empty(t, engine.Overrides(), "it was taken back")
}

// plainRun answers a run of a profile in plain mode, to the last answer.
func plainRun(t *testing.T, d *driver, profile string, answers []string) *operator {
	t.Helper()
	o := &operator{answer: func(asked string) string {
		d.after(30 * time.Second)
		if len(answers) == 0 {
			return ""
		}
		_, answer, _ := strings.Cut(answers[0], ": ")
		answers = answers[1:]
		if value, typed := strings.CutPrefix(answer, "="); typed {
			return value
		}
		return pressFor(asked[strings.LastIndex(asked, "\n[")+1:], answer)
	}}
	library, err := rehearsal.OpenLibrary(d.dir, d.m.Now, nil)
	require.NoError(t, err)
	k, home, err := ask.RunRecord(d.m.Keeper, library, profile)
	require.NoError(t, err)
	p := Plain{In: o, Out: o, Now: d.m.Now, Keeper: k, Home: home}
	require.NoError(t, p.Run())
	require.Empty(t, answers)
	require.NoError(t, p.Keeper.Close())
	return o
}

// Who leaves is told how to go on, and goes on where it was.
func TestPlainRunGoneOnWith(t *testing.T) {
	dir := t.TempDir()
	id := pulledProfile(t, dir)
	d := newRunDriver(t, dir, id)
	d.say(crewAnswers...).say(proveAnswers[:5]...)
	d.leaveRun()
	o := &operator{answer: func(string) string { return "" }}
	library, err := rehearsal.OpenLibrary(dir, d.m.Now, nil)
	require.NoError(t, err)
	k, home, err := ask.RunRecord(d.m.Keeper, library, "")
	require.NoError(t, err)
	p := Plain{In: o, Out: o, Now: d.m.Now, Keeper: k, Home: home}
	require.NoError(t, p.Run())
	require.NoError(t, p.Keeper.Close())
	require.Contains(t, o.printed.String(), "Which mandrel went through?")
	require.Contains(t, o.printed.String(), "\"brinkmark run\" goes on here")
}
