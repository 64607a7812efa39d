package profiles

import (
	"crypto/rand"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// TestPlannedFromTheProfile: a short check that names its profile gets the setting from
// it, exactly as written; what the file says itself stays.
func TestPlannedFromTheProfile(t *testing.T) {
	l := coverLibrary(t)
	profile, job := coverRecord(t, "profile.toml", nil), coverRecord(t, "job.toml", nil)
	job.Kind, job.Of = session.ShortCheck, profile.ID
	_, err := l.NewTrial(job)
	require.ErrorContains(t, err, "of: profile "+profile.ID+" is not in this library\n  name one that is, or write its setting under [plan]")
	require.NoDirExists(t, l.Where()+"/trials")

	writeInto(t, l, "profiles/2026-05/"+profile.ID+".toml", recordText(t, profile))
	trial, err := l.NewTrial(job)
	require.NoError(t, err)
	require.Equal(t, "6 psi", trial.Record().Plan.Grip.String())
	require.Equal(t, "95 ft/min", trial.Record().Plan.Speed.String())
	require.Equal(t, profile.ID, trial.Record().Of)
	require.NoError(t, trial.Session().Advisable())
	require.NoError(t, trial.Close())

	own := changedRecord(t, job, with("plan.grip", "7 psi", "plan.speed", "80 ft/min"))
	planned, err := l.Planned(own)
	require.NoError(t, err)
	require.Equal(t, own.Plan, planned.Plan)

	unset := profile
	unset.Setting = nil
	writeInto(t, l, "profiles/2026-05/"+profile.ID+".toml", recordText(t, unset))
	_, err = l.Planned(job)
	require.ErrorContains(t, err, "no [setting]")
	_, err = l.Profile("../x")
	require.ErrorContains(t, err, "is no profile id")
}

// TestAfterCheck: the full trial after a check that failed is of the job as it stands.
func TestAfterCheck(t *testing.T) {
	check := coverRecord(t, "job.toml", nil).CheckOf(coverRecord(t, "profile.toml", nil))
	check.ID, check.Started = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5E", coverNow
	check.Changes = []Change{{Seq: 1, Key: "conditions.cable_temperature", Value: "52 °F", Reason: "sun"}}
	job, err := check.AfterCheck()
	require.NoError(t, err)
	require.Equal(t, session.Full, job.Kind)
	require.Equal(t, check.Of, job.Earlier)
	require.Empty(t, job.Of)
	require.Empty(t, job.ID)
	require.Equal(t, Plan{}, job.Plan)
	require.Empty(t, job.Changes)
	require.Equal(t, "52 °F", job.Conditions.CableTemperature.String())
}

// TestFailedCheckOfACheck: one that did not pass ends the setting wherever it was proved.
func TestFailedCheckOfACheck(t *testing.T) {
	profile := coverRecord(t, "profile.toml", nil)
	check := passedCheck(t, profile, with("conditions.cable_temperature", "55 °F"))
	c := candidatesOf(t, profile, check)
	c.Find(check.ID, CheckFailed)
	v, err := c.Cover(coverRecord(t, "job.toml", nil), coverNow)
	require.NoError(t, err)
	require.Equal(t, Retest, v.Effect)
	for _, m := range append(v.Near, v.Best) {
		require.Equal(t, Retest, m.Effect)
	}
}

func TestUntil(t *testing.T) {
	usual := UsualCoverLimits()
	morning := time.Date(2026, 5, 14, 8, 40, 0, 0, coverNow.Location())
	require.Equal(t, morning.Add(12*time.Hour), usual.Until(morning, morning))
	late := morning.Add(9 * time.Hour)
	require.Equal(t, time.Date(2026, 5, 15, 0, 0, 0, 0, coverNow.Location()), usual.Until(late, late), "the next day is the next shift")
	require.Equal(t, morning, usual.Until(morning, morning.AddDate(0, 0, -365)), "the trial it rests on is a year old")
	usual.Shift = 4 * time.Hour
	require.Equal(t, morning.Add(4*time.Hour), usual.Until(morning, morning))
}

// TestOneReportADay: the day's low and high are kept for the next trial of the day only,
// and a low above the high is a slip of the pen.
func TestOneReportADay(t *testing.T) {
	now := coverNow
	l, err := libraryIn(t.TempDir(), func() time.Time { return now }, rand.Reader)
	require.NoError(t, err)
	job := coverRecord(t, "job.toml", with("conditions.day_high", "78 °F", "conditions.day_low", "41 °F"))
	trial, err := l.NewTrial(job)
	require.NoError(t, err)
	require.NoError(t, trial.Append(Answer{Item: session.ItemJob, State: session.JobAgreed})) // written with its first answer
	require.NoError(t, trial.Close())
	for _, c := range []struct {
		after time.Duration
		want  string
	}{{time.Hour, "78 °F"}, {day, ""}} {
		now = coverNow.Add(c.after)
		jobs, err := l.LastJobs()
		require.NoError(t, err)
		require.Len(t, jobs, 1)
		require.Equal(t, c.want, jobs[0].Conditions.DayHigh.String())
		require.Empty(t, jobs[0].Conditions.CableTemperature.String())
	}
	_, err = job.With("conditions.day_low", "80 °F")
	require.ErrorContains(t, err, `"80 °F" is warmer than the day's high, "78 °F"`)
}

// A page asks for the promise of a short check more than once: each time it rests on the same
// profile, and so holds as long.
func TestPromiseOfACheckAskedTwice(t *testing.T) {
	l := coverLibrary(t)
	profile := coverRecord(t, "profile.toml", nil)
	writeInto(t, l, "profiles/2026-05/"+profile.ID+".toml", recordText(t, profile))
	check, trial, accepted := threeStalls(t, coverRecord(t, "job.toml", nil).CheckOf(profile))
	c, err := l.Candidates()
	require.NoError(t, err)
	first := c.PromiseOf(check, trial, accepted, coverNow.Add(5*time.Minute))
	require.True(t, first.Until.After(coverNow.Add(time.Hour)), "%v", first)
	require.Equal(t, first.Until, c.PromiseOf(check, trial, accepted, coverNow.Add(5*time.Minute)).Until)
}

// A short check on a cable that is another by its measure takes no setting over, however it ends:
// nothing is promised and nothing saved, and the list says so of one from elsewhere.
func TestCheckOfAnotherCableCarriesNothing(t *testing.T) {
	l := coverLibrary(t)
	profile := coverRecord(t, "profile.toml", nil)
	writeInto(t, l, "profiles/2026-05/"+profile.ID+".toml", recordText(t, profile))
	for diameter, holds := range map[string]bool{"12.5 mm": true, "8 mm": false} {
		asked, err := coverRecord(t, "job.toml", nil).CheckOf(profile).With("cable.outer_diameter", diameter)
		require.NoError(t, err)
		check, trial, accepted := threeStalls(t, asked)
		c, err := l.Candidates()
		require.NoError(t, err)
		p := c.PromiseOf(check, trial, accepted, coverNow.Add(5*time.Minute))
		require.Equal(t, holds, !strings.Contains(strings.Join(p.Why, " "), "another set-up"), "%s: %v", diameter, p.Why)
		check.Setting = &Setting{Grip: check.Plan.Grip, Speed: check.Plan.Speed, Accepted: coverNow}
		writeInto(t, l, "profiles/2026-05/"+check.ID+".toml", recordText(t, check))
		listed, err := reviewOf(t, l).Find(check.ID)
		require.NoError(t, err)
		require.Equal(t, holds, !slices.ContainsFunc(listed.Exceptions, func(e Exception) bool {
			return e.Kind == HurtElsewhere && strings.Contains(e.Detail, "another set-up")
		}), "%s: %v", diameter, listed.Exceptions)
	}
}

// threeStalls is a short check after its three stalls, its trial, and the setting it asked about.
func threeStalls(t *testing.T, check Record) (Record, session.Trial, session.Setting) {
	t.Helper()
	check.ID, check.Started = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5E", coverNow
	for i := range 3 {
		check.Attempts = append(check.Attempts, Attempt{Seq: i + 1, At: coverNow.Add(time.Duration(i+1) * time.Minute), Grip: check.Plan.Grip, Speed: check.Plan.Speed, Outcome: session.Stall})
	}
	trial, err := check.Trial()
	require.NoError(t, err)
	return check, trial, session.Setting{Grip: trial.Plan.Grip.Or(0), Speed: trial.Plan.Speed.Or(q.Reading{})}
}
