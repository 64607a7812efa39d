package ui

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"brinkmark/ui/ask"
	"brinkmark/ui/show"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/rehearsal"
)

// typeIn types a value into an entry and enters it.
func (d *driver) typeIn(text string) {
	d.t.Helper()
	if !d.m.entering() {
		d.key("e")
	}
	for _, r := range text {
		d.key(string(r))
	}
	d.key("enter")
}

// metric sets the tablet's option.
func (d *driver) metric() {
	d.m.Options.Metric = true
	d.m.ask()
}

// reachAnswer is a step of a way through the reach pages: an id to be at, then a choice, or a value after "=".
type reachAnswer struct{ at, answer string }

// exampleRun is the run of testdata/jobs/reach_example.toml as far as screens ask for it.
func exampleRun(friction string) []reachAnswer {
	straight := func(length, slope string) []reachAnswer {
		return []reachAnswer{{"reach-table", "A straight"}, {"reach-length", "=" + length}, {"reach-slope", slope}}
	}
	bend := func(angle, radius string) []reachAnswer {
		return []reachAnswer{{"reach-table", "A bend"}, {"reach-bend", angle}, {"reach-radius", "=" + radius}, {"reach-side", "To a side"}}
	}
	run := []reachAnswer{{"start", "Will it reach?"}, {"reach-route", "Enter a route"}}
	for _, part := range [][]reachAnswer{
		straight("310 m", "Level"), bend("90 deg", "1.2 m"), straight("420 m", "=1.5 deg"), bend("45 deg", "1 m"), straight("180 m", "Level"),
		bend("90 deg", "1.2 m"), straight("260 m", "=-2 deg"), bend("90 deg", "1 m"), straight("390 m", "Level"),
		{{"reach-table", "That is all"}, {"reach-name", "=Mill Lane"}, {"reach-safe", "=240 N"},
			{"reach-diameter", "=12.4 mm"}, {"reach-mass", "=118 kg/km"}, {"reach-stiffness", "=1.9 N m2"}, {"reach-bore", "=34.5 mm"},
			{"reach-lie", "In waves"}, {"reach-amplitude", "=50 mm"}, {"reach-period", "=10 m"}, {"reach-inlet", "=9 bar"}, {"reach-compressor", "=5.2 m3/min"},
			{"reach-air", "=18 C"}, {"reach-ratings", "That is all"}, {"reach-speed", "Not known"}, {"reach-friction", friction}},
	} {
		run = append(run, part...)
	}
	return run
}

// walk answers one question after another.
func (d *driver) walk(run []reachAnswer) {
	d.t.Helper()
	for _, a := range run {
		require.Equal(d.t, a.at, d.m.question.ID)
		if value, typed := strings.CutPrefix(a.answer, "="); typed {
			d.typeIn(value)
			continue
		}
		d.choose(a.answer)
	}
}

// The same run by screens and by its file comes equally far.
func TestReachOnScreens(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.metric()
	d.walk(exampleRun("=0.13"))
	require.Equal(t, "reach-result", d.m.question.ID)
	text, err := os.ReadFile("../testdata/jobs/reach_example.toml")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "run.toml")
	require.NoError(t, os.WriteFile(path, []byte(strings.NewReplacer("low = 0.10\n", "", "high = 0.17\n", "").Replace(string(text))), 0o666))
	elsewhere, err := rehearsal.OpenLibrary(t.TempDir(), d.m.Now, nil)
	require.NoError(t, err)
	from, err := rehearsal.Source(path)
	require.NoError(t, err)
	x, err := show.ReadReach(elsewhere, from, nil)
	require.NoError(t, err)
	require.Equal(t, x.Verdict(), d.m.question.Title)
	require.Subset(t, d.m.question.Body, x.InBrief())
	require.Equal(t, []string{"routes/mill-lane.toml"}, filesBut(t, d.dir, ".lock"))
	saved, err := os.ReadFile(filepath.Join(d.dir, "routes", "mill-lane.toml"))
	require.NoError(t, err)
	require.Contains(t, string(saved), "length = \"310 m\"")

	d.choose("Push needed")
	require.NotNil(t, d.m.question.Picture)
	for range 3 {
		d.choose("Next")
	}
	d.choose("To the result")
	d.choose("To the start page")
	require.Equal(t, "start", d.m.question.ID)

	// the route is offered next time, and brings the crew straight to the push
	d.choose("Will it reach?")
	d.choose("Mill Lane")
	require.Equal(t, "reach-safe", d.m.question.ID)
}

func filesBut(t *testing.T, dir, but string) []string {
	var found []string
	for _, f := range files(t, dir) {
		if f != but {
			found = append(found, f)
		}
	}
	return found
}

func TestReachScreens(t *testing.T) {
	rehearsal.Long(t)
	run := exampleRun("Dry, clean")
	for _, row := range []struct {
		name  string
		after int
		then  string
	}{
		{"reach_route", 1, ""}, {"reach_table", 2 + 3 + 4 + 3, ""}, {"reach_length", 3, ""}, {"reach_friction", len(run) - 1, ""}, {"reach_ratings", len(run) - 3, ""}, {"reach_safe", len(run) - 14, ""}, {"reach_inlet", len(run) - 6, ""},
		{"reach_result", len(run), ""}, {"reach_heads", len(run), "Push needed"}, {"reach_along", len(run), "Push and pressure"},
		{"reach_drawn", len(run), "The route from"}, {"reach_lost", len(run), "Where push"},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := newDriver(t, t.TempDir())
			d.metric()
			d.walk(run[:row.after])
			if row.then != "" {
				d.choose(row.then)
			}
			for _, size := range sizes {
				d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
				sameScreen(t, fmt.Sprintf("%s/%dx%d", row.name, size[0], size[1]), d.m)
			}
		})
	}
}

// The ratings typed cap the pressure that is advised, by the lowest of them; a warm duct
// bears less than its rating.
func TestReachRatings(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.metric()
	run := exampleRun("Dry, clean")
	d.walk(run[:len(run)-3])
	d.walk([]reachAnswer{{"reach-ratings", "Hose"}, {"reach-rating-hose", "=12 bar"}, {"reach-ratings", "Duct"}, {"reach-rating-duct", "=16 bar"},
		{"reach-ratings", "Duct's warmth"}, {"reach-duct-warmth", "=40 C"}})
	require.Equal(t, []string{"Hose: 12 bar.", "Duct: 16 bar.", "Duct's warmth: 40 C.", "Not given: compressor, coupling."}, d.m.question.Body)
	d.choose("That is all")
	d.walk([]reachAnswer{{"reach-speed", "=30 m/min"}, {"reach-friction", "Dry, clean"}})
	text := strings.Join(d.m.question.Body, "\n")
	require.Contains(t, text, "The rating of the compressor is not given")
	require.NotContains(t, text, "the drive's speed taken")
	d.choose("Where push")
	// 16 bar at 40 °C: 0.74 of it, EN 12201-1 (from memory), is 11.84 bar
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "11.84 bar, which is all the duct bears here")
}

// A row that cannot be, and one taken back.
func TestReachTable(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.metric()
	d.walk(exampleRun("")[:5])
	require.Contains(t, d.m.question.Body[0], "So far 310 m")
	for _, a := range []reachAnswer{{"reach-table", "A bend"}, {"reach-bend", "=100 deg"}, {"reach-radius", "=1 m"}, {"reach-side", "Up"}} {
		d.walk([]reachAnswer{a})
	}
	require.Contains(t, d.m.question.Body[0], "! Row not taken: ")
	require.Contains(t, d.m.question.Body[0], "beyond upright")
	require.Contains(t, d.m.question.Body[1], "So far 310 m")
	d.choose("Undo the last row")
	require.Equal(t, []string{"Nothing so far."}, d.m.question.Body)
	d.choose("A straight")
	for _, r := range "0 m" {
		d.key(string(r))
	}
	d.m.Update(tea.KeyMsg{Type: tea.KeyEnter})
	require.Contains(t, d.m.failure, "length: 0 m: must be from")
}

// A name another route has is refused, and the question stays.
func TestReachRouteNameTaken(t *testing.T) {
	d := newDriver(t, t.TempDir())
	library, err := rehearsal.OpenLibrary(d.dir, time.Now, nil)
	require.NoError(t, err)
	sections, err := profiles.ParseRouteCSV("", []byte("length\n100 m\n"))
	require.NoError(t, err)
	_, err = library.SaveRoute("mill  lane", sections)
	require.NoError(t, err)
	d.walk(exampleRun("")[:5])
	d.choose("That is all")
	for _, r := range "Mill Lane" {
		d.key(string(r))
	}
	d.send(tea.KeyMsg{Type: tea.KeyEnter})
	require.Contains(t, d.m.failure, "give this one another name")
	require.Equal(t, "reach-name", d.m.question.ID)
}

// A spreadsheet in the folder of routes is offered by its file's name; one that cannot be
// read is said and passed over.
func TestReachRouteFromSpreadsheet(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "routes"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "routes", "Weir to lock.CSV"), []byte("length (ft),bend,radius (ft)\n680,,\n,45 deg,4\n300,,\n"), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "routes", "bad.csv"), []byte("length\nfar\n"), 0o666))
	d := newDriver(t, dir)
	d.choose("Will it reach?")
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "bad.csv:2")
	d.choose("Weir to lock")
	require.Equal(t, "reach-safe", d.m.question.ID)
}

// pulledProfile puts a profile of a rig with a pull test into a library.
func pulledProfile(t *testing.T, dir string) (id string) {
	t.Helper()
	text, err := os.ReadFile("../testdata/covers/profile.toml")
	require.NoError(t, err)
	id = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"
	pull := "thrust_per_speed = \"410 N/(m/s)\"\nthrust_offset = \"20 N\"\ntraction_per_grip = \"9.5 N/kPa\"\n"
	folder := filepath.Join(dir, "profiles", "2026-05")
	require.NoError(t, os.MkdirAll(folder, 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(folder, id+".toml"), []byte(strings.Replace(string(text), "[rig]\n", "[rig]\n"+pull, 1)), 0o666))
	return id
}

// worksOut finds the reach of a profile's setting along a straight route of a length.
func (d *driver) worksOut(length string) {
	d.t.Helper()
	d.metric()
	d.choose("Will it reach?")
	d.walk([]reachAnswer{{"reach-route", "Enter a route"}, {"reach-table", "A straight"}, {"reach-length", "=" + length}, {"reach-slope", "Level"},
		{"reach-table", "That is all"}, {"reach-name", "=Short"}})
	require.Equal(d.t, "reach-setting", d.m.question.ID)
	d.choose("6 psi, 95 ft/min")
	for n := 0; d.m.question.ID != "reach-result"; n++ {
		require.Less(d.t, n, 20)
		switch d.m.question.ID {
		case "reach-diameter":
			d.typeIn("12.4 mm")
		case "reach-mass":
			d.typeIn("118 kg/km")
		case "reach-stiffness": // a unit of two words: figures are touched all the same
			require.True(d.t, d.m.numeric())
			for _, key := range []string{"1", ".", "9", "enter"} {
				d.touch(key)
			}
		case "reach-inlet":
			d.typeIn("6 bar")
		case "reach-air":
			d.typeIn("18 C")
		case "reach-lie":
			d.choose("As straight")
		case "reach-ratings":
			d.choose("That is all")
		case "reach-compressor":
			d.choose("Not known")
		case "reach-friction":
			d.choose("Lubricated")
		default:
			d.t.Fatal(d.m.question.ID)
		}
	}
}

// A route on which no push is enough has a reach and no plan.
func TestReachWhereNoPushIsEnough(t *testing.T) {
	dir := t.TempDir()
	pulledProfile(t, dir)
	d := newDriver(t, dir)
	d.worksOut("9000 m")
	require.Contains(t, d.m.question.Title, "no push helps")
	for _, c := range d.m.question.Choices {
		require.NotContains(t, c.Label, "enough")
	}
}

// A short route needs less than a profile's setting gives: the plan's speed gives the
// needed push by the rig card's line, and one division less does not.
func TestEnoughTrialForARoute(t *testing.T) {
	dir := t.TempDir()
	id := pulledProfile(t, dir)
	d := newDriver(t, dir)
	d.worksOut("600 m")
	require.Contains(t, d.m.question.Title, "REACHES")
	d.choose("An \"enough\" trial")
	for _, size := range sizes {
		d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		sameScreen(t, fmt.Sprintf("reach_enough/%dx%d", size[0], size[1]), d.m)
	}
	d.choose("Begin it")
	require.NotNil(t, d.m.trial)
	r := d.m.trial.Record()
	require.Equal(t, session.Enough, r.Kind)
	require.NotEqual(t, id, r.ID)
	require.Equal(t, "", r.Conditions.CableTemperature.String(), "read anew")
	require.NotEmpty(t, r.Plan.Speed.String())
	require.NotEmpty(t, r.Plan.Grip.String())
}

// Line by line the same run has the same words.
func TestReachPlain(t *testing.T) {
	dir := t.TempDir()
	clock := rehearsal.Morning
	library, err := rehearsal.OpenLibrary(dir, func() time.Time { return clock }, rand.NewChaCha8([32]byte{}))
	require.NoError(t, err)
	k, home, err := ask.PlanReach(ask.NewKeeper(library, nil), library)
	require.NoError(t, err)
	run := append(exampleRun("Dry, clean")[1:], reachAnswer{"reach-result", "Push needed"}, reachAnswer{"", "Next"}, reachAnswer{"", "Next"}, reachAnswer{"", "Next"}, reachAnswer{"", "To the result"})
	o := &operator{}
	o.answer = func(asked string) string {
		if len(run) == 0 {
			return "q"
		}
		a := run[0]
		run = run[1:]
		if value, typed := strings.CutPrefix(a.answer, "="); typed {
			return value
		}
		return pressFor(asked, a.answer)
	}
	require.NoError(t, (&Plain{In: o, Out: o, Now: func() time.Time { return clock }, Keeper: k, Home: home}).Run())
	text := o.printed.String()
	require.Contains(t, text, "o needed, N  - available")
	require.Contains(t, text, "Plan. D drive")
	require.Contains(t, text, "Where push is lost")
	require.Contains(t, text, "A route that was named is saved")

	d := newDriver(t, t.TempDir())
	d.metric()
	d.walk(exampleRun("Dry, clean"))
	require.Contains(t, text, d.m.question.Title)
	for _, line := range d.m.question.Body {
		require.Contains(t, text, line)
	}
}

// From a trial that has closed the way leads to the route, and lets go of the trial, so that
// another window may have it. The rig of the example has no pull test: the push is asked.
func TestReachFromClosedTrial(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.wholeTrial("2", rig{fold: 118, slipPerPSI: 12}, d.key)
	require.Equal(t, "closed", d.m.question.ID)
	closed := d.m.trial.Record()
	d.choose("Will it reach?")
	require.Equal(t, "reach-route", d.m.question.ID)
	require.Nil(t, d.m.trial)
	example := filepath.Join(d.dir, "example")
	library, err := rehearsal.OpenLibrary(example, time.Now, nil)
	require.NoError(t, err)
	trial, _, err := library.OpenTrial(closed.ID)
	require.NoError(t, err, "it is free")
	require.NoError(t, trial.Close())

	d.walk([]reachAnswer{{"reach-route", "Enter a route"}, {"reach-table", "A straight"}, {"reach-length", "=600 m"}, {"reach-slope", "Level"},
		{"reach-table", "That is all"}, {"reach-name", "=Short"}})
	require.Equal(t, "reach-safe", d.m.question.ID)
	require.FileExists(t, filepath.Join(example, "routes", "short.toml"), "among the example's records, not the crew's")
	require.NoDirExists(t, filepath.Join(d.dir, "routes"))
}

// Drawn at any size, nothing is written outside the window, and the verdict stands in full
// wherever a question has room.
func TestReachAnySize(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.metric()
	d.walk(exampleRun("Dry, clean"))
	verdict := d.m.question.Title
	for page := range 5 {
		for w := 40; w <= 130; w += 9 {
			for h := 12; h <= 44; h += 4 {
				d.send(tea.WindowSizeMsg{Width: w, Height: h})
				lines := strings.Split(d.m.View(), "\n")
				require.Len(t, lines, h)
				if page == 0 && w >= 76 {
					require.Contains(t, strings.Join(strings.Fields(strings.Join(lines[1:4], " ")), " "), strings.Fields(verdict)[0])
				}
			}
		}
		d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
		d.choose([]string{"Push needed", "Next", "Next", "Next", "To the result"}[page])
	}
	require.Equal(t, "reach-result", d.m.question.ID)
}
