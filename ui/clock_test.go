package ui

import (
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
)

// A tablet's clock may be put back, or forward, or lose all it knew, while a trial is under
// way and between two lives of the program. Nothing answered is lost or out of order, the
// trial is found again, ends, and its profile is saved; a killer is asked again, since nobody
// can tell how long ago it was looked at.
func TestClockThatIsWrong(t *testing.T) {
	for name, jump := range map[string]func(time.Time) time.Time{
		"an hour back":  func(at time.Time) time.Time { return at.Add(-time.Hour) },
		"a year back":   func(at time.Time) time.Time { return at.AddDate(-1, 0, 0) },
		"to 1970":       func(time.Time) time.Time { return time.Unix(12, 0).UTC() },
		"years forward": func(at time.Time) time.Time { return at.AddDate(60, 0, 0) },
	} {
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
			require.Len(t, d.saved(), 1)
			require.GreaterOrEqual(t, jumps, 4)
			numbers := d.entries()
			require.True(t, slices.IsSorted(numbers))
			require.Len(t, slices.Compact(numbers), len(numbers))
		})
	}
}

// entries are the numbers of the entries of the one trial on disk, in its order.
func (d *driver) entries() (numbers []int) {
	d.t.Helper()
	paths, err := filepath.Glob(filepath.Join(d.dir, "trials", "*.toml"))
	require.NoError(d.t, err)
	require.Len(d.t, paths, 1)
	record, warning, err := profiles.ReadFile(paths[0])
	require.NoError(d.t, err)
	require.Empty(d.t, warning)
	trial, err := record.Trial()
	require.NoError(d.t, err)
	for _, e := range trial.Entries {
		numbers = append(numbers, e.Number())
	}
	return numbers
}
