package profiles

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// writtenTrial is a trial that was begun and has no answer, as an earlier version left one
// behind whenever a job was looked at.
func writtenTrial(t *testing.T, l *Library) *Trial {
	t.Helper()
	trial, err := l.NewTrial(fullJob(t))
	require.NoError(t, err)
	require.NoError(t, trial.ReplaceJob(trial.Record()))
	return trial
}

// A job that is only looked at leaves nothing on the disk; the first answer does.
func TestNothingIsWrittenBeforeTheFirstAnswer(t *testing.T) {
	l := cardLibrary(t, filepath.Join(t.TempDir(), "library"))
	looked, err := l.NewTrial(fullJob(t))
	require.NoError(t, err)
	require.False(t, looked.Begun())
	require.NoError(t, looked.Close())
	require.NoDirExists(t, l.Where())

	answered, err := l.NewTrial(fullJob(t))
	require.NoError(t, err)
	require.NoError(t, answered.Append(Answer{Item: session.ItemJob, State: session.JobAgreed}))
	require.True(t, answered.Begun())
	require.NoError(t, answered.Close())
	again, _, err := l.OpenTrial(answered.ID())
	require.NoError(t, err)
	require.Equal(t, answered.Record(), again.Record())
	require.NoError(t, again.Close())

	other, err := l.NewTrial(fullJob(t))
	require.NoError(t, err)
	job := other.Record()
	job.Cable.Reel = "R-9"
	require.NoError(t, other.ReplaceJob(job))
	require.NoError(t, other.Close())
	again, _, err = l.OpenTrial(other.ID())
	require.NoError(t, err)
	require.Equal(t, "R-9", again.Record().Cable.Reel)
	require.NoError(t, again.Close())
}

// However many trials are not closed, all are listed, the newest first, an empty one before
// them or not, and however old.
func TestAllUnfinishedTrialsAreListed(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	at := l.Now()
	l.now = func() time.Time { return at }
	var ids []string
	for i := range recent + 4 {
		trial := writtenTrial(t, l)
		at = at.Add(time.Minute)
		if i != 0 && i != 3 && i != recent+3 {
			require.NoError(t, trial.Append(Answer{Item: session.ItemJob, State: session.JobAgreed}))
			at = at.Add(time.Minute)
			require.NoError(t, trial.Append(Answer{Item: session.ItemClosed, State: "stopped"}))
		} else if i != recent+3 {
			require.NoError(t, trial.Append(Answer{Item: session.ItemJob, State: session.JobAgreed}))
		}
		require.NoError(t, trial.Close())
		ids = append(ids, trial.ID())
	}
	check := func() {
		open, unreadable, err := l.Unfinished()
		require.NoError(t, err)
		require.Empty(t, unreadable)
		require.Len(t, open, 3)
		require.Equal(t, []string{ids[recent+3], ids[3], ids[0]}, []string{open[0].ID, open[1].ID, open[2].ID})
		require.True(t, open[0].Empty)
		require.False(t, open[1].Empty)
		require.Equal(t, fullJob(t).Cable.Type, open[2].Type)
		require.Equal(t, fullJob(t).Duct.Size, open[2].Size)
	}
	check()
	x, err := l.OpenIndex(nil) // and so with an index
	require.NoError(t, err)
	require.NoError(t, x.save(time.Now().Add(time.Hour)))
	require.FileExists(t, filepath.Join(l.Where(), indexFile))
	check()
}

// An empty trial can be thrown away; one with an answer never, and one that is open elsewhere
// not now.
func TestDiscard(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	empty, kept, held := writtenTrial(t, l), writtenTrial(t, l), writtenTrial(t, l)
	require.NoError(t, kept.Append(Answer{Item: session.ItemJob, State: session.JobAgreed}))
	require.NoError(t, empty.Close())
	require.NoError(t, kept.Close())
	require.NoError(t, l.Discard(empty.ID()))
	require.NoFileExists(t, l.store.Where(empty.name))
	require.ErrorContains(t, l.Discard(kept.ID()), "1 answer, and what was answered is never thrown away")
	require.FileExists(t, l.store.Where(kept.name))
	require.Error(t, l.Discard(held.ID()))
	require.FileExists(t, l.store.Where(held.name))
	require.NoError(t, held.Close())
	require.Error(t, l.Discard(empty.ID()), "it is gone")
	require.ErrorContains(t, l.Discard("../x"), "no id of a record")
	names, err := os.ReadDir(filepath.Join(l.Where(), "trials"))
	require.NoError(t, err)
	require.Len(t, names, 2, fmt.Sprint(names))
}
