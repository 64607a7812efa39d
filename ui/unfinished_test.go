package ui

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
)

// begunIn leaves a trial on the disk, with these entries.
func begunIn(t *testing.T, l *profiles.Library, entries ...profiles.Entry) string {
	t.Helper()
	trial, err := l.NewTrial(exampleWith(t))
	require.NoError(t, err)
	require.NoError(t, trial.ReplaceJob(trial.Record()))
	require.NoError(t, trial.Append(entries...))
	require.NoError(t, trial.Close())
	return trial.ID()
}

// From the start page every trial that is not closed is two or three presses away, an empty one
// before it or not; at every size all of it can be read and touched.
func TestStartPageListsAllUnfinished(t *testing.T) {
	dir := t.TempDir()
	d := newDriver(t, dir)
	library, err := rehearsal.OpenLibrary(dir, func() time.Time { return d.clock }, rand.NewChaCha8([32]byte{1}))
	require.NoError(t, err)
	agreed := profiles.Answer{Item: session.ItemJob, State: session.JobAgreed}
	old := begunIn(t, library, agreed, profiles.Answer{Item: session.ItemCautions, State: session.CautionsRead})
	d.clock = d.clock.Add(26 * time.Hour)
	for range 9 {
		begunIn(t, library, agreed)
		d.clock = d.clock.Add(time.Minute)
	}
	empty := begunIn(t, library)
	d.run(d.m.do(d.m.flow, ask.GoHome{}))
	require.Equal(t, "start", d.m.question.ID)
	d.say("start: All that is not finished")
	for _, size := range []tea.WindowSizeMsg{{Width: 80, Height: 24}, {Width: 60, Height: 20}, {Width: 120, Height: 40}} {
		d.send(size)
		require.Contains(t, d.m.View(), "just begun")
		d.reachable()
		for _, c := range d.m.question.Choices { // every word of it
			for _, word := range strings.Fields(c.Label) {
				require.Contains(t, d.m.View(), word)
			}
		}
	}
	d.say("unfinished: Page on", "unfinished: Page on")
	require.Contains(t, d.m.question.Choices[len(d.m.question.Choices)-3].Label, "2026-05-14 07:42, no push yet: LT-96 loose tube")
	d.choose(d.m.question.Choices[len(d.m.question.Choices)-3].Label)
	require.NotNil(t, d.m.trial)
	require.Equal(t, old, d.m.flow.Record.ID)

	d.run(d.m.do(d.m.flow, ask.GoHome{}))
	d.say("start: All that is not finished", "unfinished: 09:51, just begun", "unfinished-empty: Throw it away")
	require.Equal(t, "start", d.m.question.ID)
	open, _, err := library.Unfinished()
	require.NoError(t, err)
	require.Len(t, open, 10)
	for _, u := range open {
		require.NotEqual(t, empty, u.ID)
	}
}

// Of two runs that are not over the older is within reach too, by its id; and a tablet set to a
// trainee asks all in it.
func TestOlderRunIsWithinReach(t *testing.T) {
	dir := t.TempDir()
	id := pulledProfile(t, dir)
	d := newDriver(t, dir)
	library, err := rehearsal.OpenLibrary(dir, d.m.Now, rand.NewChaCha8([32]byte{2}))
	require.NoError(t, err)
	var ids []string
	for range 2 {
		begun, err := library.NewRun(profiles.RunPlan{Profile: id})
		require.NoError(t, err)
		ids = append(ids, begun.ID())
		require.NoError(t, begun.Close())
		d.clock = d.clock.Add(time.Minute)
	}
	for which, opens := range map[string]string{ids[0]: ids[0], ids[1]: ids[1], id: ids[1], "": ids[1]} {
		k, home, err := ask.RunRecord(d.m.Keeper, library, which)
		require.NoError(t, err)
		require.NotNil(t, home)
		_, _, err = library.OpenRun(opens)
		require.Error(t, err, "it is the one that is open")
		require.NoError(t, k.Close())
	}
	d.run(d.m.do(d.m.flow, ask.GoHome{}))
	d.say("start: All that is not finished")
	require.Contains(t, d.m.View(), "run of ")
	require.NoError(t, library.Discard(ids[1]))
	open, _, err := library.UnfinishedRuns()
	require.NoError(t, err)
	require.Len(t, open, 1)

	begun, _, err := library.OpenRun(ids[0])
	require.NoError(t, err)
	require.False(t, begun.Engine().People.Trainee)
	begun.ByTrainee()
	require.True(t, begun.Engine().People.Trainee)
	require.True(t, begun.Record().People.Trainee)
	require.NoError(t, begun.Close())
}
