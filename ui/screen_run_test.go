package ui

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"
)

// workedDriver brings a run to where the cable moves on a route whose reach was worked out.
func workedDriver(t *testing.T) *driver { return workedFrom(t, "1417 m") }

// workedFrom is the same of a cable with that mark at the duct's mouth.
func workedFrom(t *testing.T, mark string) *driver {
	t.Helper()
	dir := t.TempDir()
	id := pulledProfile(t, dir)
	text, err := os.ReadFile("../testdata/jobs/reach_example.toml")
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "reach"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "reach", "mill-lane.toml"), text, 0o666))
	d := newRunDriver(t, dir, id)
	d.say("run-crew: Far end", "run-person: =EF", "run-crew: These", "run-route: As in the file mill-lane.toml")
	for _, part := range [][]string{siteAnswers, proveAnswers, airAnswers, dialAnswers} {
		d.say(part...)
	}
	return d.say("run-mark: ="+mark, "run-counts: larger", "far-end-clear: says clear", "run-moves: The cable moves")
}

// steady logs points at a speed in m/min, so many of them.
func (d *driver) steady(from, speed float64, n int) *driver {
	d.t.Helper()
	for i := range n {
		d.log(fmt.Sprintf("%.0f m", from+speed*float64(i+1)), time.Minute)
	}
	return d
}

// threeLogged is a run with three points.
func threeLogged(d *driver) {
	d.log("4750 ft", 63*time.Second).log("4850 ft", 63*time.Second).log("4950 ft", 63*time.Second)
}

// beltsSlipped is the same run, standing.
func beltsSlipped(d *driver) {
	threeLogged(d)
	d.after(20*time.Second).say("run-running: It stands", "run-reason: Belts slip", "run-stop-mark: =4980 ft")
}

// arrived is the same run at the far end, its air vented.
func arrived(d *driver) {
	threeLogged(d)
	d.say("run-running: Arrived", "run-end: Seen", "run-end-mark: =6270 ft", "cautions: Read aloud", "run-vented: all done", "block: All 2")
}

// runScreens are the screens of a run, and what leads to each.
var runScreens = []struct {
	name  string
	begin func(*testing.T) *driver
	then  func(*driver)
}{
	{"run_crew", notBegunDriver, nil},
	{"run_route", notBegunDriver, func(d *driver) { d.say("run-crew: Go on") }},
	{"run_cautions", notBegunDriver, func(d *driver) { d.say(crewAnswers...) }},
	{"run_cautions_go", notBegunDriver, func(d *driver) { d.beforeAir().say(dialAnswers[:5]...) }},
	{"run_killer", notBegunDriver, func(d *driver) { d.say(crewAnswers...).say(proveAnswers[:2]...) }},
	{"run_mandrel", notBegunDriver, func(d *driver) { d.say(crewAnswers...).say(proveAnswers[:5]...) }},
	{"run_passes", notBegunDriver, func(d *driver) { d.say(crewAnswers...).say(proveAnswers[:7]...) }},
	{"run_proved", notBegunDriver, func(d *driver) { d.say(crewAnswers...).say(proveAnswers[:13]...) }},
	{"run_block", notBegunDriver, func(d *driver) { d.say(crewAnswers...).say(proveAnswers...).say(airAnswers[:2]...) }},
	{"run_dial", notBegunDriver, func(d *driver) { d.beforeAir().say(dialAnswers[:2]...) }},
	{"run_dial_warm", notBegunDriver, func(d *driver) { d.beforeAir().say("run-cable-warm: =56 F", dialAnswers[1]) }},
	{"run_too_warm", notBegunDriver, func(d *driver) { d.beforeAir().say("run-cable-warm: =70 F", dialAnswers[1]) }},
	{"run_compared", notBegunDriver, func(d *driver) {
		d.beforeAir().say(dialAnswers[:3]...).say("run-grip: =8 psi", "run-speed: =90 ft/min")
	}},
	{"run_lower", notBegunDriver, func(d *driver) {
		d.beforeAir().say(dialAnswers[:3]...).say("run-grip: =6 psi", "run-speed: =80 ft/min")
	}},
	{"run_mark", notBegunDriver, func(d *driver) { d.beforeAir().say(dialAnswers...) }},
	{"run_counts", notBegunDriver, func(d *driver) { d.beforeAir().say(dialAnswers...).say(goAnswers[:1]...) }},
	{"run_moves", notBegunDriver, func(d *driver) { d.beforeAir().say(dialAnswers...).say(goAnswers[:3]...) }},
	{"run_running", runningDriver, threeLogged},
	{"run_first", runningDriver, func(*driver) {}},
	{"run_point", runningDriver, func(d *driver) { threeLogged(d); d.after(30 * time.Second).say("run-running: Log a point") }},
	{"run_slow", runningDriver, func(d *driver) { threeLogged(d); d.log("4970 ft", 60*time.Second) }},
	{"run_warm", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: Another reading", "run-values: Cable temperature", "run-value: =52 F")
	}},
	{"run_override", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: Another reading", "run-values: Belt speed", "run-value: =110 ft/min", "run-who: AB", "run-why: =one place is tight")
	}},
	{"run_why", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: Another reading", "run-values: Belt speed", "run-value: =110 ft/min", "run-who: AB")
	}},
	{"run_racing", runningDriver, func(d *driver) { threeLogged(d); d.log("5650 ft", 63*time.Second) }},
	{"run_dropped", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: Another reading", "run-values: Cable temperature", "run-value: =52 F", "run-running: Turned down")
	}},
	{"run_too_warm_moving", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: Another reading", "run-values: Cable temperature", "run-value: =75 F")
	}},
	{"run_too_warm_stopped", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: Another reading", "run-values: Cable temperature", "run-value: =75 F", "run-running: It stands", "run-reason: Warmer", "run-stop-mark: =4960 ft")
	}},
	{"run_radio", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: It stands", "run-reason: Radio lost", "run-stop-mark: =4960 ft")
	}},
	{"run_made_safe", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: Arrived", "run-end: It ends", "run-gave-up: Stuck", "run-end-mark: =4960 ft", "cautions: Read aloud")
	}},
	{"run_leave", runningDriver, func(d *driver) { threeLogged(d); d.key("q") }},
	{"run_left", runningDriver, func(d *driver) { threeLogged(d); d.key("q"); d.say("run-leave: All done") }},
	{"run_values", runningDriver, func(d *driver) { threeLogged(d); d.say("run-running: Another reading") }},
	{"run_value", runningDriver, func(d *driver) { threeLogged(d); d.say("run-running: Another reading", "run-values: Air pressure") }},
	{"run_who", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: Another reading", "run-values: Belt speed", "run-value: =110 ft/min")
	}},
	{"run_reason", runningDriver, func(d *driver) { threeLogged(d); d.say("run-running: It stands") }},
	{"run_stopped", runningDriver, func(d *driver) { beltsSlipped(d); d.after(7 * time.Minute); d.look() }},
	{"run_fold", runningDriver, func(d *driver) {
		threeLogged(d)
		d.say("run-running: It stands", "run-reason: Fold")
	}},
	{"run_ready", runningDriver, func(d *driver) { beltsSlipped(d); d.say("run-stopped: Make ready", "far-end-clear: says clear") }},
	{"run_end", runningDriver, func(d *driver) { threeLogged(d); d.say("run-running: Arrived") }},
	{"run_gave_up", runningDriver, func(d *driver) { threeLogged(d); d.say("run-running: Arrived", "run-end: It ends") }},
	{"run_stub", runningDriver, arrived},
	{"run_summary", runningDriver, func(d *driver) { arrived(d); d.closing() }},
	{"run_closed", runningDriver, func(d *driver) { arrived(d); d.closing().say("run-summary: Close") }},
	{"run_worked", workedDriver, func(d *driver) { d.steady(1417, 29, 8) }},
	{"run_worked_slow", workedDriver, func(d *driver) { d.steady(1417, 29, 8).steady(1649, 22, 1) }},
	{"run_place", workedDriver, func(d *driver) {
		d.steady(1417, 29, 12).say("run-running: It stands", "run-reason: Slowed down", "run-stop-mark: =1771 m")
	}},
	{"run_plot", workedDriver, func(d *driver) { d.steady(1417, 29, 8).steady(1649, 26, 6); d.key("g") }},
	{"run_friction", workedDriver, func(d *driver) { d.steady(1417, 29, 8); d.key("g"); d.say("run-plot: Friction") }},
	{"run_log", workedDriver, func(d *driver) { d.steady(1417, 29, 8); d.key("g"); d.say("run-plot: Points") }},
}

func TestRunScreens(t *testing.T) {
	rehearsal.Long(t)
	for _, row := range runScreens {
		t.Run(row.name, func(t *testing.T) {
			d := row.begin(t)
			if row.then != nil {
				row.then(d)
			}
			for _, size := range sizes {
				d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
				sameScreen(t, fmt.Sprintf("%s/%dx%d", row.name, size[0], size[1]), d.m)
			}
			d.leaveRun()
		})
	}
}

// A run is told in one system, that of the cable's print, on its page, its plot and its log,
// whatever the route and the gauges are in. What is dialled keeps the unit of its gauge.
func TestRunHasOneSystemOfUnits(t *testing.T) {
	for _, row := range []struct{ mark, next, length, speed string }{
		{"1417 m", "1446 m", "m", "m/min"}, {"4650 ft", "4745 ft", "ft", "ft/min"},
	} {
		d := workedFrom(t, row.mark).log(row.next, time.Minute)
		var captions []string
		for _, figure := range d.m.question.Big {
			captions = append(captions, figure.Caption)
		}
		require.Equal(t, []string{row.length + " in", row.length + " left", row.speed, "there at"}, captions)
		require.Regexp(t, `Expected here: \d+ `+row.speed+`[.;]`, d.body())
		d.key("g")
		require.Regexp(t, `o in, `+row.length+` .*\d `+row.speed+`  `, strings.Join(d.m.question.Picture(58, 12), "\n"))
		d.say("run-plot: Points")
		require.Regexp(t, `^\d+ `+row.length+`$`, d.m.question.Table.Rows[0].Cells[1])
		require.Regexp(t, `^\d+ `+row.speed+`$`, d.m.question.Table.Rows[0].Cells[2])
		d.leaveRun()
	}
}

func notBegunDriver(t *testing.T) *driver {
	dir := t.TempDir()
	return newRunDriver(t, dir, pulledProfile(t, dir))
}

// beforeAir goes to the read-back.
func (d *driver) beforeAir() *driver {
	return d.say(crewAnswers...).say(proveAnswers...).say(airAnswers...)
}

// closing takes down what was found.
func (d *driver) closing() *driver {
	return d.say("run-stub: Retired", "run-jacket: Clean", "run-folds: Never", "run-slack: =50 ft", "run-loops: No loop", "run-remainder: None")
}

// look lets the page be read anew, as it is after a while.
func (d *driver) look() {
	_, cmd := d.m.Update(lookAgainMsg{d.m.waits})
	require.NotNil(d.t, cmd)
	_, _ = d.m.Update(cmd())
}

// pressed answers a question by touch alone: a choice by its label, on whatever page it is, or
// figures on the pad.
func (d *driver) pressed(answer string) {
	d.t.Helper()
	if figures, typed := strings.CutPrefix(answer, "="); typed {
		for _, r := range figures {
			d.touch(string(r))
		}
		d.touch("enter")
		return
	}
	if d.m.entering() {
		d.touch("esc")
		return
	}
	for i, at := range d.m.question.Shown() {
		if !strings.HasPrefix(d.m.question.Choices[at].Label, answer) {
			continue
		}
		for range 3 {
			for _, target := range d.m.draw().Targets {
				if target.Key == d.m.keys()[i] {
					d.touch(target.Key)
					return
				}
			}
			d.touch("n")
		}
	}
	d.t.Fatalf("%s has no %q to touch", d.m.question.ID, answer)
}

// A whole run with one hand and gloves: nothing but touches, at every size, either hand.
func TestWholeRunByTouch(t *testing.T) {
	rehearsal.Long(t)
	answers := []string{"Go on", "Only its length", "=1640",
		"Read aloud", "Read aloud", "Read aloud", "Read aloud", "on the ground", "same number", "says clear", "clean and dry", "=1", "=16", "Twice", "=10", "2 min", "Nothing", "Nobody", "vented", "Go on",
		"Read aloud", "rated", "All 4", "guards on", "drive stopped", "=42", "Not read", "Enter", "=6", "=95", "Read aloud", "=4650", "larger", "says clear", "The cable moves",
		"Log a point", "46", "Log a point", "Type", "=4800", "Another", "Cable temperature", "=52", "Turned down",
		"Another", "Belt speed", "=90", "AB", "ordered by the supervisor", "Turned down", "Belts slip",
		"It stands", "Radio lost", "=4850", "Make ready", "says clear", "It moves", "Arrived", "Seen", "=6270",
		"Read aloud", "all done", "All 2", "Retired", "Clean", "Never", "None", "No loop", "None", "Close the run"}
	for _, size := range sizes {
		for _, left := range []bool{false, true} {
			d := notBegunDriver(t)
			d.m.Options.Left = left
			d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			for _, a := range answers {
				d.after(15 * time.Second)
				for d.m.question.ID == "cautions" && d.m.draw().Unread {
					d.touch("1")
				}
				d.pressed(a)
				require.NotContains(t, d.body(), "! not written", "%s", a)
			}
			require.Equal(t, "closed", d.m.question.ID)
			engine, err := d.record().Engine()
			require.NoError(t, err)
			require.True(t, engine.Arrived())
			require.Len(t, engine.Overrides(), 1)
			d.leaveRun()
		}
	}
}

// Whatever instant the program is killed at, what is on disk leads to the same question: what
// was answered is not asked again. A line half written is set aside, and told.
func TestRunKilledAnywhere(t *testing.T) {
	d := notBegunDriver(t)
	var answers []string
	for _, part := range [][]string{crewAnswers, proveAnswers, airAnswers, dialAnswers, goAnswers, {
		"run-running: Log a point", "run-point: =4700 ft", "run-running: It stands", "run-reason: Radio lost", "run-stop-mark: =4720 ft",
		"run-stopped: Make ready", "far-end-clear: says clear", "run-ready: It moves", "run-running: Arrived", "run-end: Seen", "run-end-mark: =6270 ft",
		"cautions: Read aloud", "run-vented: all done", "block: All 2"}} {
		answers = append(answers, part...)
	}
	seen := map[string]bool{}
	for _, a := range answers {
		d.say(a)
		paths, err := filepath.Glob(filepath.Join(d.dir, "runs", "*.toml"))
		require.NoError(t, err)
		if len(paths) == 0 {
			continue // nothing was begun
		}
		text, err := os.ReadFile(paths[0])
		require.NoError(t, err)
		for _, torn := range []string{"", "[[point]]\nseq = 9"} {
			killed := newDriver(t, t.TempDir())
			killed.clock = d.clock
			id := pulledProfile(t, killed.dir)
			require.NoError(t, os.MkdirAll(filepath.Join(killed.dir, "runs"), 0o777))
			require.NoError(t, os.WriteFile(filepath.Join(killed.dir, "runs", filepath.Base(paths[0])), append(slices.Clone(text), torn...), 0o666))
			killed.openRun(id)
			if seen[d.m.question.ID] = true; d.draftEmpty() {
				require.Equal(t, d.m.question.ID, killed.m.question.ID, "after %q", a)
			}
			require.Equal(t, torn != "", strings.Contains(killed.body(), "set aside"), killed.body())
			killed.leaveRun()
		}
	}
	require.Greater(t, len(seen), 30)
}

// draftEmpty reports whether the page is one that a run opened anew begins on.
func (d *driver) draftEmpty() bool {
	back := slices.ContainsFunc(d.m.question.Choices, func(c ask.Choice) bool { return c.Label == "Back one answer" })
	return !back && d.m.question.ID != "run-ready" && d.m.question.ID != "run-moves" && d.m.question.ID != "far-end-clear"
}

// An undo takes back what is on disk, one entry after another, and the page is that of before.
func TestRunUndo(t *testing.T) {
	d := runningDriver(t)
	d.log("4750 ft", 63*time.Second).log("4850 ft", 63*time.Second)
	d.key("u")
	require.Contains(t, d.body(), "Taken back. Last now: mark 4750 ft.")
	require.Contains(t, d.m.question.Enter.Example, "4750")
	d.say("run-running: It stands", "run-reason: Planned", "run-stop-mark: =4760 ft")
	require.Equal(t, "run-stopped", d.m.question.ID)
	d.key("u")
	require.Equal(t, "run-running", d.m.question.ID)
	engine, err := d.record().Engine()
	require.NoError(t, err)
	require.Zero(t, engine.StopCount())
}

// Nothing overflows or panics at sizes no one should use, and in ASCII nothing else is drawn.
func TestRunAnySize(t *testing.T) {
	rehearsal.Long(t)
	d := workedDriver(t)
	d.m.Options.ASCII = true
	d.steady(1417, 29, 8).steady(1649, 22, 1)
	d.say("run-running: Another reading", "run-values: Cable temperature", "run-value: =56 F")
	for _, keys := range []string{"", "1", "b", "2", "u", "g", "1", "b"} {
		if keys != "" {
			d.key(keys)
		}
		for w := 1; w <= 125; w += 3 {
			for h := 3; h <= 41; h++ {
				d.m.w, d.m.h = w, h
				view := d.m.View()
				require.Len(t, strings.Split(view, "\n"), h)
				for _, r := range ansi.ReplaceAllString(view, "") {
					require.True(t, r == '\n' || r >= ' ' && r <= '~', "%q on %s", r, d.m.question.ID)
				}
			}
		}
		d.m.w, d.m.h = 80, 24
	}
}

var ansi = regexp.MustCompile("\x1b\\[[0-9;]*m")

// The page tells time by itself: after three minutes without a point it asks for one.
func TestRunLooksAgain(t *testing.T) {
	d := runningDriver(t)
	d.log("4750 ft", 63*time.Second)
	require.Equal(t, "Running. Eyes on reel, belts and cable", d.m.question.Title)
	d.after(4 * time.Minute).look()
	require.Equal(t, "Log a point: the last one is 4 min old", d.m.question.Title)
	for _, row := range []struct {
		later time.Duration
		says  string
	}{{3 * time.Hour, "3 h"}, {3 * 24 * time.Hour, "3 days"}, {195 * 24 * time.Hour, "6 months"}} {
		d.after(row.later).look()
		require.Equal(t, "Log a point: the last one is "+row.says+" old", d.m.question.Title)
	}
	d.leaveRun()
	d = runningDriver(t)
	d.log("4750 ft", 63*time.Second)
	d.after(4 * time.Minute).look()
	d.key(d.goesOn())
	title := d.m.question.Title
	_, cmd := d.m.Update(lookAgainMsg{d.m.waits - 1}) // of the page before
	require.Nil(t, cmd)
	require.Equal(t, title, d.m.question.Title)
}
