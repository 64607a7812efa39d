package command

import (
	"bytes"
	"crypto/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/rehearsal"
)

// in runs the program in a library, with what is typed.
func in(t *testing.T, dir, typed string, args ...string) (code int, out, err string) {
	t.Helper()
	t.Setenv(libraryVariable, dir)
	job, failed := os.ReadFile(exampleJob)
	require.NoError(t, failed)
	var o, e bytes.Buffer
	code = Program{In: strings.NewReader(typed), Out: &o, Err: &e, ExampleJob: job}.Run(args)
	return code, o.String(), e.String()
}

const exampleJob = "../../testdata/jobs/example.toml"

// trialsIn are the ids of the trials in a library, oldest first.
func trialsIn(t *testing.T, dir string) (ids []string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "trials", "*.toml"))
	require.NoError(t, err)
	for _, f := range files {
		ids = append(ids, strings.TrimSuffix(filepath.Base(f), ".toml"))
	}
	return ids
}

// Of several trials that were begun every one can be gone on with, by its id and from the
// start; the newest needs no id. A job that was only looked at is none of them.
func TestEveryUnfinishedTrialIsWithinReach(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "library")
	code, out, _ := in(t, dir, "", "trial", exampleJob, "--plain")
	require.Zero(t, code)
	require.Contains(t, out, "nothing of this trial is kept")
	require.NoDirExists(t, dir, "nothing was answered")

	for range 3 {
		code, _, _ = in(t, dir, "1\n", "trial", exampleJob, "--plain")
		require.Zero(t, code)
	}
	ids := trialsIn(t, dir)
	require.Len(t, ids, 3)
	code, out, told := in(t, dir, "", "resume", "--plain")
	require.Zero(t, code)
	require.Contains(t, out, "[cautions]")
	require.NotContains(t, told, ids[2], "that one is gone on with")
	require.Contains(t, told, "brinkmark resume "+ids[1])
	require.Contains(t, told, "brinkmark resume "+ids[0])
	require.Contains(t, told, "no push yet")

	code, out, told = in(t, dir, "", "resume", ids[0], "--plain")
	require.Zero(t, code, told)
	require.Contains(t, out, "[cautions]")
	_, out, _ = in(t, dir, "", "__complete", "resume", "")
	for _, id := range ids {
		require.Contains(t, out, id+"\t")
	}

	code, out, _ = in(t, dir, "3\n3\n", "--plain")
	require.Zero(t, code)
	require.Contains(t, out, "Not finished: go on with which?")
	require.Contains(t, out, "[cautions]")

	code, _, told = in(t, dir, "", "resume", "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D")
	require.EqualValues(t, exitBad, code)
	require.Contains(t, told, "is not one of this tablet's")
	code, _, _ = in(t, dir, "", "resume", "../x")
	require.EqualValues(t, exitUsage, code)
}

// A trial that an earlier version left behind empty can be thrown away, line by line too; the
// start page offers it, and one that is closed is nothing to go on with.
func TestEmptyTrialIsThrownAway(t *testing.T) {
	dir := t.TempDir()
	l, err := rehearsal.OpenLibrary(dir, time.Now, rand.Reader)
	require.NoError(t, err)
	job, _, err := rehearsal.ReadFile(exampleJob)
	require.NoError(t, err)
	begun := func(entries ...profiles.Entry) string {
		trial, err := l.NewTrial(*job)
		require.NoError(t, err)
		require.NoError(t, trial.ReplaceJob(trial.Record()))
		require.NoError(t, trial.Append(entries...))
		require.NoError(t, trial.Close())
		return trial.ID()
	}
	agreed := profiles.Answer{Item: session.ItemJob, State: session.JobAgreed}
	closed := begun(agreed, profiles.Answer{Item: session.ItemClosed, State: "stopped"})
	kept := begun(agreed)
	empty := begun()

	code, out, _ := in(t, dir, "3\n1\n2\n", "--plain")
	require.Zero(t, code)
	require.Contains(t, out, "just begun")
	require.Contains(t, out, "  2  Throw it away")
	require.Equal(t, []string{closed, kept}, trialsIn(t, dir), "%s is gone", empty)

	code, out, _ = in(t, dir, "", "resume", closed)
	require.EqualValues(t, exitNothing, code)
	require.Contains(t, out, "That trial is closed")
}

// A tablet that is set to a trainee asks all, however a trial is come to: by a file, resumed,
// as the example, from the last job.
func TestTraineeOptionActsEverywhere(t *testing.T) {
	dir := t.TempDir()
	// Begun before by somebody else.
	code, _, _ := in(t, dir, "1\n", "trial", exampleJob, "--plain")
	require.Zero(t, code)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "options.toml"), []byte("format = 1\ntrainee = true\n"), 0o644))
	l, err := rehearsal.OpenLibrary(dir, time.Now, rand.Reader)
	require.NoError(t, err)
	first := trialsIn(t, dir)[0]
	before, err := l.Trial(first)
	require.NoError(t, err)
	require.False(t, before.People.Trainee)

	for name, way := range map[string][]string{"file": {"trial", exampleJob}, "start": {}, "example": {}} {
		typed := map[string]string{"file": "1\n", "start": "5\n41 F\n1\n", "example": "1\n1\n"}[name]
		code, out, told := in(t, dir, typed, append(way, "--plain")...)
		require.Zero(t, code, told)
		from := dir
		if name == "example" {
			from = filepath.Join(dir, "example")
		}
		ids := trialsIn(t, from)
		text, err := os.ReadFile(filepath.Join(from, "trials", ids[len(ids)-1]+".toml"))
		require.NoError(t, err)
		require.Contains(t, string(text), "trainee = true", "%s: %s", name, out)
	}

	// Resumed, the questions are those of a trainee, and the file is as it was.
	keeper, _, err := (&app{Program: Program{}}).keeper(l).Resume(first)
	require.NoError(t, err)
	require.True(t, keeper.Trial.Session().People.Trainee)
	require.NoError(t, keeper.Trial.Append(profiles.Answer{Item: session.ItemCautions, State: session.CautionsRead}))
	require.True(t, keeper.Trial.Session().People.Trainee, "and stays so")
	require.NoError(t, keeper.Close())
}
