package profiles

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// What a crew heard of the site in a trial or a run is not said to it again that day, whatever
// cable it takes next; another crew, and the next day, hear all of it.
func TestSiteIsHeardOnceADay(t *testing.T) {
	l, clock := runLibrary(t)
	morning := clock.at
	page, due := session.DueOnSite(nil, nil)
	require.True(t, due)
	ab := session.Crew{Operator: "AB", Watcher: "CD"}
	job := fullJob(t)
	trial, err := l.NewTrial(job)
	require.NoError(t, err)
	said := Answer{Item: page.Item, State: session.CautionsRead, Value: "locate-first"}
	require.NoError(t, trial.Append(said, Answer{Item: session.ItemCautions, State: session.CautionsRead}))
	require.NoError(t, trial.Close())
	log := l.SaidToday(clock.at, ab, "")
	require.Len(t, log, 2, "of the site; and of the drive, for a run")
	require.Equal(t, page.Item, log[0].Check)
	next, due := session.DueOnSite(nil, log)
	require.True(t, due)
	require.NotEqual(t, page.Item, next.Item, "the other page is still to be read")

	require.Empty(t, l.SaidToday(clock.at, ab, trial.ID()), "a trial does not answer for itself")
	require.Len(t, l.SaidToday(clock.at, session.Crew{Operator: "ab", Watcher: "CD"}, ""), 2)
	require.Empty(t, l.SaidToday(clock.at, session.Crew{Operator: "AB"}, ""), "somebody is missing")
	require.Empty(t, l.SaidToday(clock.at, session.Crew{Operator: "EF", Watcher: "CD"}, ""))
	require.Empty(t, l.SaidToday(morning.Add(24*time.Hour), ab, ""))
	require.Empty(t, l.SaidToday(morning.Add(-24*time.Hour), ab, ""))

	other := session.Crew{Operator: "AB"}
	r := newRun(t, l)
	require.NoError(t, r.Append(said))
	require.Len(t, l.SaidToday(clock.at, other, ""), 1, "in a run")
	require.NoError(t, r.Append(Undo{Drops: r.Engine().LastNumber()}))
	require.Empty(t, l.SaidToday(clock.at, other, ""), "taken back")
}

// Of the trial before it on the same set-up a crew's own answers count. What another crew
// heard does not; what it found at the rig does.
func TestAnotherCrewHearsForItself(t *testing.T) {
	for operator, want := range map[string]int{"AB": 2, "GH": 1} {
		l, _ := runLibrary(t)
		first, err := l.NewTrial(fullJob(t))
		require.NoError(t, err)
		require.NoError(t, first.Append(Answer{Item: session.ItemCautions, State: session.CautionsRead}, Answer{Item: "stub-same", State: "same lot"}))
		require.NoError(t, first.Close())
		job := fullJob(t)
		job.People.Operator = operator
		mine, err := l.NewTrial(job)
		require.NoError(t, err)
		require.Len(t, l.SameSetup(mine), want, operator)
		require.NoError(t, mine.Close())
	}
}
