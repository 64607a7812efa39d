package ui

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	"brinkmark/ui/rehearsal"
)

// clockJumps are what may happen to a tablet's clock.
var clockJumps = map[string]func(time.Time) time.Time{
	"an hour back":  func(at time.Time) time.Time { return at.Add(-time.Hour) },
	"a year back":   func(at time.Time) time.Time { return at.AddDate(-1, 0, 0) },
	"to 1970":       func(time.Time) time.Time { return time.Unix(12, 0).UTC() },
	"years forward": func(at time.Time) time.Time { return at.AddDate(60, 0, 0) },
}

// A tablet's clock may be put back, or forward, or lose all it knew, while a trial is under
// way and between two lives of the program. Nothing answered is lost or out of order, the
// trial is found again, ends, and its profile is saved; a killer is asked again, since nobody
// can tell how long ago it was looked at.
func TestClockThatIsWrong(t *testing.T) {
	rehearsal.Long(t)
	for name, jump := range clockJumps {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			d := newDriver(t, dir)
			d.begin(8, exampleWith(t))
			step := func() {
				if d.m.asksValue() { // the cable's temperature, once it is long ago
					d.typeIn("41 F")
				} else {
					d.step(rig{fold: 118, slipPerPSI: 12}, d.key)
				}
			}
			jumps := 0
			for lives := 1; lives <= 5; lives++ {
				for range 8 + lives {
					step()
				}
				if d.m.question.ID != "closed" {
					jumps++
				}
				inClimb := d.m.question.Stage == session.ClimbStage
				before := d.entries()
				d.clock = jump(d.clock)
				step()
				for d.m.question.ID == "slip" || strings.HasPrefix(d.m.question.ID, "fold-") || d.m.question.ID == "used" { // what is due by hand comes first
					step()
				}
				if inClimb && len(d.entries()) > len(before) {
					require.Equal(t, session.CheckStage, d.m.question.Stage, "killers are asked again")
				}
				require.Equal(t, before, d.entries()[:len(before)], "nothing is lost or moved")
				if lives%2 == 0 && d.m.question.ID != "closed" { // another life
					d.leaveRun()
					at := d.clock
					d = newDriver(t, dir)
					d.clock = at
					d.pick("Go on")
				}
			}
			for n := 0; d.m.question.ID != "closed"; n++ {
				require.Less(t, n, 200)
				step()
			}
			if name == "years forward" {
				require.Len(t, d.saved(), 1)
			} else { // pushes that go back in time carry no setting
				require.Empty(t, d.saved())
			}
			require.GreaterOrEqual(t, jumps, 4)
			numbers := d.entries()
			require.True(t, slices.IsSorted(numbers))
			require.Len(t, slices.Compact(numbers), len(numbers))
		})
	}
}

// The same in a run, between two points of its log and between two lives: every point stays,
// in its order, the run is found again and closed, and no speed is made of two clocks.
func TestClockThatIsWrongInARun(t *testing.T) {
	for name, jump := range clockJumps {
		t.Run(name, func(t *testing.T) {
			d := runningDriver(t)
			d.log("4750 ft", 63*time.Second).log("4850 ft", 63*time.Second)
			right := d.clock
			d.clock = jump(d.clock)
			before := len(d.record().Points)
			d.log("4950 ft", 63*time.Second)
			require.Len(t, d.record().Points, before+1)
			require.NotContains(t, d.m.question.Title, "NOW")
			d.leaveRun()
			again := newDriver(t, d.dir)
			again.clock = d.clock
			again.openRun("")
			require.Equal(t, "run-running", again.m.question.ID)
			stays := name == "years forward"
			if !stays {
				again.clock = right.Add(2 * time.Minute) // somebody put it right
			}
			again.log("5050 ft", 63*time.Second)
			require.NotContains(t, again.m.question.Title, "NOW", "no clock ends what is under way")
			again.say("run-running: Arrived", "run-end: Seen", "run-end-mark: =6270 ft", "cautions: Read aloud", "run-vented: all done", "block: All 2",
				"run-stub: Retired", "run-jacket: Clean", "run-folds: Never", "run-slack: =50 ft", "run-loops: No loop", "run-remainder: None")
			if stays {
				require.Contains(t, again.body(), "How long it moved and stood nobody can tell: the clock was wrong; 0 stops.")
			} else {
				require.Contains(t, again.body(), "Moving 5 min, standing 0 min, 0 stops.")
			}
			again.say("run-summary: Close the run")
			require.Equal(t, "closed", again.m.question.ID)
			require.Len(t, again.record().Points, before+2)
			again.leaveRun()
		})
	}
}

// entries are the numbers of the entries of the one trial on disk, in its order.
func (d *driver) entries() (numbers []int) {
	d.t.Helper()
	paths, err := filepath.Glob(filepath.Join(d.dir, "trials", "*.toml"))
	require.NoError(d.t, err)
	require.Len(d.t, paths, 1)
	record, warning, err := rehearsal.ReadFile(paths[0])
	require.NoError(d.t, err)
	require.Empty(d.t, warning)
	trial, err := record.Trial()
	require.NoError(d.t, err)
	for _, e := range trial.Entries {
		numbers = append(numbers, e.Number())
	}
	return numbers
}
