package run

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// A run closed before the drive's supply was asked for stays closed as it was, and one stopped for
// a reason that is offered no more is read as it was.
func TestOlderRunsStayAsTheyWere(t *testing.T) {
	w := moving(t, plan(t))
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: "short check due"})
	w.right(t)
	w.add(t, Restart{Mark: w.mark(10 * time.Second)})
	w.add(t, End{Mark: w.mark(time.Minute), Arrived: true})
	require.False(t, w.run.MadeSafe())
	w.answer(t, ItemMadeSafe, "stopped, shut, gauge at zero")
	require.True(t, w.run.MadeSafe())
	w.right(t)
	w.add(t, Closing{Mark: w.mark(time.Minute), StubRetired: q.Known(true)})
	w.answer(t, ItemClosed, RunClosed)
	require.True(t, w.run.Closed())
	require.Empty(t, w.run.OpenKillers())
	require.Equal(t, "short check due", sight(w).Stops[0].Reason)
}

// A restart after a fold or a mark, or in too much warmth, that an older record has is read as it
// was. While it moves it is told what is due, and once it stands it moves no more.
func TestOlderRestartsAreRead(t *testing.T) {
	for reason, kind := range map[string]Kind{StopFold: FoldSeen, StopJacket: JacketSeen} {
		w := moving(t, plan(t))
		w.add(t, Stop{Mark: w.mark(time.Minute), Reason: reason})
		w.right(t)
		w.run.Entries = append(w.run.Entries, Restart{Mark: w.mark(time.Minute)})
		stage, err := w.run.Stage()
		require.NoError(t, err)
		require.Equal(t, RunStage, stage)
		require.Len(t, w.run.Hurts(), 1)
		require.Equal(t, Now, alertOf(t, sight(w), kind).When)
		w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopPlanned})
		w.right(t)
		require.ErrorContains(t, w.run.Refuses(Restart{Mark: w.mark(0)}), "not pushed any more")
	}
}
