package profiles

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session/run"
)

// A run in which the cable folded and whose file was edited since does not give the setting free:
// nobody can tell how it ended, and the file is named.
func TestAnEditedRunReleasesNothing(t *testing.T) {
	w := newTwoTablets(t)
	require.NoError(t, w.run.Append(RunStop{Reason: run.StopFold, By: "AB"}))
	require.NoError(t, w.run.Close())
	effect := func() Verdict {
		t.Helper()
		v, err := w.own.Cover(coverRecord(t, "job.toml", nil), w.clock.at)
		require.NoError(t, err)
		return v
	}
	require.Equal(t, Retest, effect().Effect)
	path := filepath.Join(w.own.Where(), "runs", w.run.ID()+".toml")
	text := fileText(t, path)
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(text, `reason = "fold"`, `reason = "planned"`, 1)), filePerm))

	v := effect()
	require.Equal(t, Retest, v.Effect)
	require.Contains(t, v.Reasons[0].Why, "was edited since")
	require.Len(t, v.Unreadable, 1)
	review, err := w.own.Review(nil)
	require.NoError(t, err)
	require.Len(t, review.Unreadable, 1)
	require.Contains(t, review.Unreadable[0].Error(), w.run.ID())
	require.Contains(t, w.own.Health(nil).Unreadable[0].Error(), w.run.ID())
	_, err = w.own.MayRun(w.run.Engine().Of)
	require.ErrorContains(t, err, "was edited since")

	require.NoError(t, os.WriteFile(path, []byte(text), filePerm))
	require.Contains(t, effect().Reasons[0].Why, "folded in a run", "the whole file is back")
}

// A fold that was written and taken back has no effect, and the supervisor is told of it.
func TestAFoldTakenBackIsTold(t *testing.T) {
	w := newTwoTablets(t)
	require.NoError(t, w.run.Append(RunStop{Reason: run.StopFold, By: "AB"}))
	require.NoError(t, w.run.Append(Undo{Drops: w.run.Engine().LastNumber()}))
	v, err := w.own.Cover(coverRecord(t, "job.toml", nil), w.clock.at)
	require.NoError(t, err)
	require.Equal(t, Covered, v.Effect)
	review, err := w.own.Review(nil)
	require.NoError(t, err)
	p, err := review.Find(w.run.Engine().Of)
	require.NoError(t, err)
	require.Contains(t, kinds(p), HurtTakenBack)
	require.False(t, p.HandsOutNothing())
}
