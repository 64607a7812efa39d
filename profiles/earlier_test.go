package profiles

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

const earlierPushes = `
[[attempt]]
seq = 11
grip = "4 psi"
speed = "60 ft/min"
outcome = "stall"
[[attempt]]
seq = 12
grip = "6 psi"
speed = "80 ft/min"
outcome = "stall"
[[attempt]]
seq = 13
grip = "8 psi"
speed = "105 ft/min"
outcome = "stall"
[[attempt]]
seq = 14
grip = "8 psi"
speed = "145 ft/min"
outcome = "fold"
`

// pushedProfile puts a profile with pushes into a library and returns it.
func pushedProfile(t *testing.T, l *Library) Record {
	t.Helper()
	text := recordText(t, coverRecord(t, "profile.toml", nil)) + earlierPushes
	r, err := Parse("profile.toml", []byte(text))
	require.NoError(t, err)
	writeInto(t, l, "profiles/2026-05/"+r.ID+".toml", text)
	return *r
}

// warmJob is a job of the profile's cable, duct and rig on a warmer cable.
func warmJob(t *testing.T, profile Record) Record {
	t.Helper()
	job := changedRecord(t, coverRecord(t, "job.toml", nil), with("conditions.cable_temperature", "62 °F"))
	job.Earlier = profile.ID
	return job
}

// TestEarlierIsWeighed: what a trial begins from comes out of the library with its
// pushes, at once, when the job is written anew, and after a restart.
func TestEarlierIsWeighed(t *testing.T) {
	l := coverLibrary(t)
	profile := pushedProfile(t, l)
	job := warmJob(t, profile)
	weighed := func(trial *Trial) {
		t.Helper()
		s := trial.Session()
		require.NotNil(t, s.Before)
		require.Len(t, s.Before.Attempts(), 12)
		try, ok := session.Decide(s).(session.Try)
		require.True(t, ok)
		require.Contains(t, try.Reason, "Begin where the earlier trial leaves off")
	}
	trial, err := l.NewTrial(job)
	require.NoError(t, err)
	weighed(trial)
	plain := job
	plain.Earlier = ""
	require.NoError(t, trial.ReplaceJob(plain))
	require.Nil(t, trial.Session().Before)
	require.NoError(t, trial.ReplaceJob(job))
	weighed(trial)
	require.NoError(t, trial.Append(Answer{Item: session.ItemJob, State: session.JobAgreed})) // written with its first answer
	require.NoError(t, trial.Close())
	again, _, err := l.OpenTrial(trial.ID())
	require.NoError(t, err)
	weighed(again)
	require.NoError(t, again.Close())
}

// TestEarlierThroughAShortCheck: a check stands for the trial it checked, and states
// chances by that trial's pushes.
func TestEarlierThroughAShortCheck(t *testing.T) {
	l := coverLibrary(t)
	profile := pushedProfile(t, l)
	check := profile.CheckOf(profile)
	check.ID, check.Attempts = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5E", nil
	writeInto(t, l, "profiles/2026-05/"+check.ID+".toml", recordText(t, check))
	job := warmJob(t, profile)
	job.Earlier = check.ID
	before, err := l.Before(&job)
	require.NoError(t, err)
	require.Len(t, before.Attempts(), 12)

	today := warmJob(t, profile).CheckOf(profile)
	trial, err := l.NewTrial(today)
	require.NoError(t, err)
	require.True(t, session.View(trial.Session()).FoldChance.Known())
	require.NoError(t, trial.Close())
}

func TestEarlierRefused(t *testing.T) {
	l := coverLibrary(t)
	job := warmJob(t, coverRecord(t, "profile.toml", nil))
	_, err := l.NewTrial(job)
	require.ErrorContains(t, err, "is not in this library\n  name one that is, or leave the key out")
	require.NoDirExists(t, l.Where()+"/trials", "nothing is begun")

	profile := pushedProfile(t, l)
	other := changedRecord(t, job, with("duct.size", "2 in SDR 11"))
	_, err = l.Before(&other)
	require.ErrorContains(t, err, "duct.size:")
	require.ErrorContains(t, err, "\n  begin without it")

	check := profile.CheckOf(profile) // a short check needs its profile's setting only
	check.Of = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5F"
	before, err := l.Before(&check)
	require.NoError(t, err)
	require.Nil(t, before)
}

// TestProfileInAnOddFolder: a folder's name is no pattern.
func TestProfileInAnOddFolder(t *testing.T) {
	place := "/crew [2]"
	if runtime.GOOS != "windows" { // where no name has a star
		place += " *"
	}
	l, err := libraryIn(t.TempDir()+place, coverLibrary(t).now, nil)
	require.NoError(t, err)
	profile := pushedProfile(t, l)
	found, err := l.Profile(profile.ID)
	require.NoError(t, err)
	require.Equal(t, profile.ID, found.ID)
}
