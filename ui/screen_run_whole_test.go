package ui

import (
	"fmt"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"

	q "brinkmark/session/quantity"
)

// newRunDriver sits before the pages of a run with a profile of the library.
func newRunDriver(t *testing.T, dir, profile string) *driver {
	t.Helper()
	d := newDriver(t, dir)
	d.openRun(profile)
	return d
}

// openRun goes to the run of a profile, as the command does.
func (d *driver) openRun(profile string) {
	d.t.Helper()
	library, err := rehearsal.OpenLibrary(d.dir, d.m.Now, nil)
	require.NoError(d.t, err)
	k, home, err := ask.RunRecord(d.m.Keeper, library, profile)
	require.NoError(d.t, err)
	d.m = newModel(Screens{Keeper: k, Now: d.m.Now, Renderer: d.m.Renderer, Options: d.m.Options}, home)
}

// leaveRun closes what is open, as the end of the program does.
func (d *driver) leaveRun() {
	d.t.Helper()
	if d.m.Keeper.Close != nil {
		require.NoError(d.t, d.m.Keeper.Close())
	}
}

// after lets time pass.
func (d *driver) after(span time.Duration) *driver {
	d.clock = d.clock.Add(span)
	return d
}

// say answers questions one after another: "id: label", or "id: =value".
func (d *driver) say(answers ...string) *driver {
	d.t.Helper()
	for _, a := range answers {
		id, answer, _ := strings.Cut(a, ": ")
		require.Equal(d.t, id, d.m.question.ID, "before %q: %s %q", a, d.m.question.Title, d.m.question.Body)
		if value, typed := strings.CutPrefix(answer, "="); typed {
			d.typeIn(value)
		} else if d.m.entering() { // the pad has one other way
			require.Contains(d.t, d.m.question.Choices[d.m.question.Shown()[0]].Label, answer)
			d.key("esc")
		} else {
			d.choose(answer)
		}
		for _, line := range d.m.question.Body {
			require.False(d.t, strings.HasPrefix(line, "! not written"), "after %q: %s", a, line)
		}
	}
	return d
}

// Parts of a run, answered rightly.
var (
	siteAnswers  = []string{"cautions: Read aloud", "cautions: Read aloud", "cautions: Read aloud"} // in the day's first run or trial
	crewAnswers  = append([]string{"run-crew: Far end", "run-person: =EF", "run-crew: These", "run-route: Only its length", "run-length: =1640 ft"}, siteAnswers...)
	proveAnswers = []string{"cautions: Read aloud", "stub-and-plug-out: on the ground", "right-duct: same number", "shot-far-end: says clear", "duct-clean: clean and dry",
		"run-mandrel: =28 mm", "run-mandrel-length: =400 mm", "run-passes: Twice", "run-held: =10 bar", "run-held-for: 2 min", "run-lost: =0.4 bar", "run-said-clear: EF",
		"proof-vented: vented", "run-proved: Go on"}
	airAnswers  = []string{"cautions: Read aloud", "hoses-tied: rated", "block: All 4", "guards-on: guards on", "stop-tested: drive stopped"}
	dialAnswers = []string{"run-cable-warm: =42 F", "run-inlet-warm: Not read", "run-dial: Enter", "run-grip: =6 psi", "run-speed: =95 ft/min", "cautions: Read aloud"}
	goAnswers   = []string{"run-mark: =4650 ft", "run-counts: larger", "far-end-clear: says clear", "run-moves: The cable moves"}
)

// running brings a new run to where the cable moves.
func runningDriver(t *testing.T) *driver {
	t.Helper()
	dir := t.TempDir()
	d := newRunDriver(t, dir, pulledProfile(t, dir))
	for _, part := range [][]string{crewAnswers, proveAnswers, airAnswers, dialAnswers, goAnswers} {
		d.say(part...)
	}
	require.Equal(t, "run-running", d.m.question.ID)
	return d
}

// record is the run as it stands on disk.
func (d *driver) record() *profiles.RunRecord {
	d.t.Helper()
	paths, err := filepath.Glob(filepath.Join(d.dir, "runs", "*.toml"))
	require.NoError(d.t, err)
	require.Len(d.t, paths, 1)
	r, warning, err := rehearsal.ReadRunFile(paths[0])
	require.NoError(d.t, err)
	require.Empty(d.t, warning)
	return r
}

func (d *driver) body() string { return strings.Join(d.m.question.Body, "\n") }

// A whole run as a crew has it: slow-down, warm-up, a setting above what is allowed, slip, a
// stop with radio lost, arrival. What stands on disk is what was answered.
func TestWholeRun(t *testing.T) {
	d := runningDriver(t)
	d.log("4750 ft", 63*time.Second).log("4850 ft", 63*time.Second).log("4950 ft", 63*time.Second)
	require.Contains(t, d.body(), "Written 07:46", "told once it is on disk")

	// 20 ft in a minute after 95 a minute is a fifth of the pace: act now
	d.log("4970 ft", 60*time.Second)
	require.Equal(t, "!! NOW: Stop now and find out why", d.m.question.Title)
	require.Contains(t, d.body(), "!! NOW  It has nearly stopped: 20 ft/min, 21 % of what the belts do, 95 ft/min.")
	d.log("5070 ft", 63*time.Second)
	require.NotContains(t, d.m.question.Title, "NOW")

	// 52 °F: the profile's own table has 75 ft/min up to 59 °F
	d.say("run-running: Another reading", "run-values: Cable temperature: 42", "run-value: =52 F")
	require.Equal(t, "!! NOW: Drop to grip pressure 6 psi, belt speed 75 ft/min now", d.m.question.Title)
	d.say("run-running: Turned down: grip pressure 6 psi, belt speed 75 ft/min")
	require.Contains(t, d.body(), "* WATCH  Cable or air at 52 °F is warmer than the profile's own setting covers. Stay at grip pressure 6 psi, belt speed 75 ft/min or below, until the run ends")

	// turned up: the first way on is back, and only a name and a reason keep it
	d.say("run-running: Another reading", "run-values: Belt speed: 75 ft/min", "run-value: =90 ft/min", "run-who: Nobody")
	points := len(d.record().Points)
	d.say("run-running: Another reading", "run-values: Belt speed: 75 ft/min", "run-value: =90 ft/min", "run-who: AB", "run-why: =one place is tight")
	require.Len(t, d.record().Points, points+1)
	require.Contains(t, d.body(), "!! NOW  grip pressure 6 psi, belt speed 90 ft/min is above what is allowed, grip pressure 6 psi, belt speed 75 ft/min.")
	d.say("run-running: Turned down: grip pressure 6 psi, belt speed 75 ft/min")

	d.log("5170 ft", 80*time.Second).say("run-running: Belts slip")
	require.Contains(t, d.body(), "* WATCH  The belts slipped")

	d.after(10*time.Second).say("run-running: It stands", "run-reason: Radio lost", "run-stop-mark: =5185 ft", "run-stopped: Make ready")
	d.say("far-end-clear: no answer")
	require.Equal(t, "far-end-clear", d.m.question.ID, "a wrong state is written, and stays open")
	d.say("far-end-clear: says clear", "run-ready: It moves")
	d.log("5285 ft", 80*time.Second)

	d.say("run-running: Arrived", "run-end: Seen", "run-end-mark: =6270 ft", "cautions: Read aloud", "run-vented: all done", "block: All 2",
		"run-stub: Retired", "run-jacket: Clean", "run-folds: Never", "run-slack: =50 ft", "run-loops: =25 ft", "run-loops: =30 ft", "run-loops: No more", "run-remainder: None")
	require.Contains(t, d.body(), "OVERRIDE: grip pressure 6 psi, belt speed 90 ft/min where grip pressure 6 psi, belt speed 75 ft/min was allowed (AB: one place is tight).")
	d.say("run-summary: Close the run")
	require.Equal(t, "closed", d.m.question.ID)

	engine, err := d.record().Engine()
	require.NoError(t, err)
	require.True(t, engine.Closed())
	require.True(t, engine.Arrived())
	require.Equal(t, 1, engine.StopCount())
	require.Len(t, engine.Overrides(), 1)
	in, known := engine.In().Get()
	require.True(t, known)
	require.InDelta(t, 1620, q.In(in, "ft"), 1e-6) // 6270 − 4650
	closing := d.record().Closings[0]
	require.Equal(t, "25 ft 30 ft", fmt.Sprint(closing.Loops[0], " ", closing.Loops[1]))
	require.True(t, *closing.StubRetired)
}

// log writes a point at a mark by its typed value, some time after the one before.
func (d *driver) log(mark string, later time.Duration) *driver {
	d.t.Helper()
	return d.after(later-2*time.Second-time.Duration(len(mark))*time.Second).say("run-running: Log a point", "run-point: ="+mark)
}

// A point of the log takes two presses: one for the marks to come, one as the mark passes. The
// marks offered go on from the last one at the speed it goes.
func TestRunPointPresses(t *testing.T) {
	d := runningDriver(t)
	d.log("4750 ft", 63*time.Second).log("4850 ft", 63*time.Second)
	for range 5 {
		last, at := d.lastMark()
		d.after(30 * time.Second)
		before := d.presses
		d.key(d.goesOn())
		offered, err := q.Parse[q.Length](d.m.question.Choices[0].Label)
		require.NoError(t, err)
		reckoned := last + 95.0/60*d.clock.Sub(at).Seconds()
		require.Greater(t, q.In(offered, "ft"), last, "still to come")
		require.InDelta(t, reckoned, q.In(offered, "ft"), 51, "soon")
		d.after(10 * time.Second).key(d.goesOn())
		require.Equal(t, 2, d.presses-before)
		written, _ := d.lastMark()
		require.InDelta(t, q.In(offered, "ft"), written, 1e-6)
		require.Equal(t, "run-running", d.m.question.ID)
	}
}

// A whole run without trouble, five points in its log: every key of it counted, each figure
// of a typed value among them. The budget is our own.
func TestRunPressBudget(t *testing.T) {
	dir := t.TempDir()
	d := newRunDriver(t, dir, pulledProfile(t, dir))
	last := 0
	padded := regexp.MustCompile(`(: =\d+) (ft/min|ft|psi|F)$`) // units the pad gives by itself
	part := func(what string, answers ...string) {
		for _, a := range answers {
			d.say(padded.ReplaceAllString(a, "$1"))
		}
		t.Logf("%s: %d presses", what, d.presses-last)
		last = d.presses
	}
	d.presses = 0
	part("crew and route", crewAnswers...)
	part("duct proved", proveAnswers...)
	part("before the air", airAnswers...)
	part("read-back", dialAnswers...)
	part("until it moves", goAnswers...)
	for range 5 {
		d.after(50 * time.Second).key(d.goesOn())
		d.after(10 * time.Second).key(d.goesOn())
	}
	part("five points")
	part("arrived", "run-running: Arrived", "run-end: Seen", "run-end-mark: =6270 ft", "cautions: Read aloud", "run-vented: all done", "block: All 2")
	d.closing()
	part("closing", "run-summary: Close the run")
	require.Equal(t, "closed", d.m.question.ID)
	t.Logf("in all: %d presses", d.presses)
	require.LessOrEqual(t, d.presses, 108, "three of them for the drive: its cautions, its guards, its stop control")
}

// lastMark is the last mark of the log, in ft, and when it was read.
func (d *driver) lastMark() (mark float64, at time.Time) {
	points := d.record().Points
	last := points[len(points)-1]
	l, err := q.Parse[q.Length](last.Mark.String())
	require.NoError(d.t, err)
	return q.In(l, "ft"), last.At
}

// A temperature that was misread does not stay when it is read again, or not at all.
func TestRunTemperatureReadAgain(t *testing.T) {
	d := notBegunDriver(t).beforeAir()
	d.say("run-cable-warm: =42 F", "run-inlet-warm: =200 F", "odd: Yes")
	require.Equal(t, "!! Too warm: no setting of this profile holds", d.m.question.Title)
	d.say("run-dial: Read the temperatures again", "run-cable-warm: =42 F", "run-inlet-warm: Not read")
	require.Equal(t, "Dial this, the belt speed with the belts open", d.m.question.Title)
}

// A closed trial of the example leads into a run in the example's own library; from its first
// page the reach can be worked out, and the run begins with it.
func TestTrialLeadsToRun(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.metric()
	d.wholeTrial("2", rig{fold: 118, slipPerPSI: 12}, d.key)
	d.choose("Start the run record")
	require.Equal(t, "run-crew", d.m.question.ID)
	require.Contains(t, d.body(), "Operator: AB\nWatcher: CD")
	d.say("run-crew: Go on", "run-route: Work out the reach")
	for n := 0; d.m.question.ID != "reach-result"; n++ {
		require.Less(t, n, 30)
		switch d.m.question.ID {
		case "reach-route":
			d.choose("Enter a route")
			d.walk([]reachAnswer{{"reach-table", "A straight"}, {"reach-length", "=600 m"}, {"reach-slope", "Level"}, {"reach-table", "That is all"}, {"reach-name", "=Short"}})
		case "reach-lie":
			d.choose("As straight")
		case "reach-ratings":
			d.choose("That is all")
		case "reach-friction":
			d.choose("Dry, clean")
		case "reach-compressor", "reach-speed":
			d.choose("Not known")
		default:
			d.typeIn(map[string]string{"reach-safe": "240 N", "reach-inlet": "8 bar", "reach-air": "18 C"}[d.m.question.ID])
		}
	}
	d.choose("Start the run record with this")
	d.say("run-crew: Go on")
	require.Equal(t, "Read these aloud before the duct is blown through", d.m.question.Title, "of the site this crew heard before the trial")
	require.Equal(t, "prove the duct", d.m.question.Where())
	paths, err := filepath.Glob(filepath.Join(d.dir, "example", "runs", "*.toml"))
	require.NoError(t, err)
	require.Len(t, paths, 1)
	r, _, err := rehearsal.ReadRunFile(paths[0])
	require.NoError(t, err)
	require.Len(t, r.Sections, 1)
	require.Equal(t, "600 m", r.Sections[0].Length.String())

	// it is the first thing the start page offers, and what "run" goes on with
	d.leaveRun()
	again := newDriver(t, d.dir)
	again.choose("Go on with the run: LT-96")
	require.Equal(t, "cautions", again.m.question.ID)
	again.leaveRun()
}

// A job that a profile covers needs no trial, and leads to the run with that profile.
func TestCoveredLeadsToRun(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.begin(8, saidWith(t))
	d.toEnd(rig{fold: 118, slipPerPSI: 12})
	d.begin(9, saidWith(t))
	d.choose("No trial: use")
	require.Equal(t, "Covered: no trial is needed", d.m.question.Title)
	d.choose("Start the run record")
	require.Equal(t, "run-crew", d.m.question.ID)
	require.Contains(t, d.body(), "grip pressure 8 psi, belt speed 80 ft/min")
	d.say("run-crew: Go on", "run-route: Not known")
	require.Equal(t, "cautions", d.m.question.ID)
	d.leaveRun()
}

// What cannot be written is said where it was answered, and nothing moves on.
func TestRunNotWritten(t *testing.T) {
	d := runningDriver(t)
	d.log("4750 ft", 63*time.Second)
	d.key(d.goesOn())
	for _, r := range "30 m" { // a cable is printed in one unit
		d.key(string(r))
	}
	d.send(tea.KeyMsg{Type: tea.KeyEnter})
	require.Contains(t, d.body(), "The last mark was")
	d.choose("Yes")
	require.Contains(t, d.body(), "! not written")
	require.Contains(t, d.body(), "a cable is printed in one unit")
	require.Equal(t, "run-point", d.m.question.ID)
	require.Len(t, d.record().Points, 1)
}
