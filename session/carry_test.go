package session

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Source: common practice, no source: nothing is taken apart under power, and no
// air goes in before the plug has been seen on the ground and the far end is clear.
func TestCarryOverOrder(t *testing.T) {
	order := ids(DueCarryOver(CheckLog{}, checksStart))
	for _, pair := range [][2]string{
		{"trial-isolated", "stub-and-plug-out"},
		{"stub-and-plug-out", "used-length-cut"}, // the cable is free to be cut then
		{"used-length-cut", "fresh-end-headed"},
		{"stub-and-plug-out", "seals-fitted"},
		{"seals-fitted", "fresh-end-headed"},
		{"fresh-end-headed", "lead-in-back"},
		{"lead-in-back", "dialled-grip-pressure"},
		{"dialled-push-control", "rig-tagged"},
		{"rig-tagged", "far-end-clear"},
	} {
		first, second := slices.Index(order, pair[0]), slices.Index(order, pair[1])
		require.True(t, first >= 0 && first < second, "%v", pair)
	}
	require.Equal(t, "far-end-clear", order[len(order)-1])
}

func TestDueCarryOver(t *testing.T) {
	log := CheckLog{Past: rightly(carryChecks)}
	require.Empty(t, DueCarryOver(log, checksStart.Add(10*time.Minute)))
	require.Equal(t, []string{
		"trial-isolated", "stub-and-plug-out", "dialled-grip-pressure", "dialled-push-control", "far-end-clear",
	}, ids(DueCarryOver(log, checksStart.Add(11*time.Minute))))

	log.Past = append(log.Past, Happened{At: minute(1), Check: "dialled-push-control"})
	require.Equal(t, []string{"dialled-push-control"}, ids(DueCarryOver(log, minute(2))), "a value that does not fit is no reply")

	log.Past = append(log.Past, Happened{At: minute(2), Check: "stub-and-plug-out", Skipped: true})
	require.Contains(t, ids(DueCarryOver(log, minute(3))), "stub-and-plug-out", "no excuse for a plug left in")

	log = CheckLog{Earlier: rightly(carryChecks)}
	require.Len(t, DueCarryOver(log, checksStart), len(carryChecks), "no answer holds for another run")
}
