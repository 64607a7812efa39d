package ui

import (
	"testing"
	"time"

	"brinkmark/ui/rehearsal"

	"github.com/stretchr/testify/require"
)

// holds presses a key of the page again and again.
func (d *driver) holds(key string, times int) {
	for range times {
		d.clock = d.clock.Add(time.Second)
		d.send(keyOf(key))
		if d.left {
			return
		}
	}
}

// One key from a page of a run with the cable in the duct, or of its end, closes no run: not
// even the one that leaves out what was not measured, page after page.
func TestOneKeyClosesNoRun(t *testing.T) {
	rehearsal.Long(t)
	toEnd := []string{"run-running: Arrived", "run-end: Seen", "run-end-mark: =6270 ft", "cautions: Read aloud", "run-vented: all done", "block: All 2"}
	for _, row := range []struct {
		answers []string
		keys    []string
	}{
		{nil, []string{"0", "1", "a", "c", "d", "enter", "esc", " ", "u", "e"}},
		{toEnd, []string{"0", "1", "a", "enter", "esc"}},
		{append(toEnd, "run-stub: Retired", "run-jacket: Clean", "run-folds: Never"), []string{"0", "1", "a", "enter", "esc", "u"}},
	} {
		for _, key := range row.keys {
			d := runningDriver(t)
			d.log("4750 ft", 63*time.Second)
			d.say(row.answers...)
			d.holds(key, 30)
			engine, err := d.record().Engine()
			require.NoError(t, err)
			require.False(t, engine.Closed(), "%q after %v", key, row.answers)
			d.leaveRun()
		}
	}
}

// Nor does one key write a decision about a record.
func TestOneKeyDecidesNoReview(t *testing.T) {
	rehearsal.Long(t)
	for _, key := range []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "enter", "esc", "b", "n", " "} {
		d := reviewed(t)
		d.choose("Review the records")
		d.holds(key, 20)
		require.NoDirExists(t, d.dir+"/reviews", key)

		d = reviewed(t)
		d.choose("Review the records")
		d.key("3")
		d.at("review-one")
		d.holds(key, 20)
		require.NoDirExists(t, d.dir+"/reviews", key)
	}
}
