package profiles

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

func reviewOf(t testing.TB, l *Library) Review {
	t.Helper()
	v, err := l.Review(nil)
	require.NoError(t, err)
	return v
}

// TestHandEditShows: a sealed profile with one letter changed is listed, worst first, and
// covers nothing; one without a seal says so.
func TestHandEditShows(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	writeSample(t, l, good.as(1))
	path := writeSample(t, l, good.as(2))
	putFile(t, path, strings.Replace(fileText(t, path), `speed = "95 ft/min"`, `speed = "96 ft/min"`, 1))
	byHand := good.as(3)
	require.NoError(t, os.WriteFile(filepath.Join(l.Where(), byHand.name), []byte(byHand.text), filePerm))
	v := reviewOf(t, l)
	require.Equal(t, []ExceptionKind{EditedSinceSealed}, kinds(v.Profiles[0]))
	require.Equal(t, "Northmoor", v.Profiles[0].Make, "it is listed with its key")
	require.Equal(t, []ExceptionKind{NotSealed}, kinds(v.Profiles[1]))
	require.Empty(t, v.Profiles[2].Exceptions)
	c, err := l.Candidates()
	require.NoError(t, err)
	require.Len(t, c.Unreadable, 1)
	require.Len(t, v.Filter(Filter{ExceptionsOnly: true}), 2)
}

// TestSavedProfileIsSealed takes a trial through the real writer, twice: a save that was
// cut off counts, though the clock went on.
func TestSavedProfileIsSealed(t *testing.T) {
	now := reviewNow
	l := reviewLibrary(t)
	l.now = func() time.Time { return now }
	history, _, err := readNamed("../testdata/histories/budget-spent-when-proved.toml")
	require.NoError(t, err)
	trial, err := l.NewTrial(history.job())
	require.NoError(t, err)
	require.NoError(t, trial.Append(Change{Key: "conditions.cable_temperature", Value: "41 °F", Reason: "read now"}))
	for _, a := range history.Attempts {
		require.NoError(t, trial.Append(a))
	}
	install, ok := session.View(trial.Session()).Next.(session.Install)
	require.True(t, ok)
	path, err := l.SaveProfile(trial, install.Setting)
	require.NoError(t, err)
	text := fileText(t, path)
	mustUnseal(t, text)
	now = now.Add(time.Minute)
	again, err := l.SaveProfile(trial, install.Setting)
	require.NoError(t, err)
	require.Equal(t, path, again)
	require.Equal(t, text, fileText(t, path))
	require.NoError(t, trial.Close())
	require.NotContains(t, kinds(reviewOf(t, l).Profiles[0]), NotSealed)
}

// TestReviewEndsCover: what a supervisor withdrew or let expire covers nothing.
func TestReviewEndsCover(t *testing.T) {
	for name, act := range map[string]func(*Sitting, string) error{
		"withdrawn": func(s *Sitting, id string) error { return s.Withdraw(id, "") },
		"expired":   func(s *Sitting, id string) error { return s.Expire(id, coverNow, "") },
	} {
		l := reviewLibrary(t)
		writeInto(t, l, "profiles/2026-05/01K7ZQ4C5V8W9X0Y1Z2A3B4C5D.toml", recordText(t, coverRecord(t, "profile.toml", nil)))
		job := coverRecord(t, "job.toml", nil)
		before, err := l.Cover(job, coverNow)
		require.NoError(t, err)
		require.NotEqual(t, Retest, before.Effect)
		s, err := l.Sit("QS")
		require.NoError(t, err)
		require.NoError(t, act(s, before.Best.ID))
		require.NoError(t, s.Close())
		after, err := l.Cover(job, coverNow)
		require.NoError(t, err)
		require.Equal(t, Retest, after.Effect)
		require.Equal(t, "findings", after.Reasons[0].Field)
		require.Equal(t, name, after.Reasons[0].Profile)
	}
}

// TestDisagreements: the same cable, duct, rig and temperature, and half the speed.
func TestDisagreements(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	half := good.as(2).with(`speed = "95 ft/min"`+"\nadvised_grip = \"6 psi\"\nadvised_speed = \"95 ft/min\"", `speed = "45 ft/min"`+"\nadvised_grip = \"6 psi\"\nadvised_speed = \"45 ft/min\"")
	far := half.as(3)
	far.text = strings.Replace(far.text, half.id, far.id, 1)
	far = far.with(`cable_temperature = "41 °F"`, `cable_temperature = "81 °F"`)
	other := half.as(4)
	other.text = strings.Replace(other.text, half.id, other.id, 1)
	other = other.with(`name = "Rig 2"`, `name = "Rig 3"`)
	for _, s := range []sample{good.as(1), half, far, other} {
		writeSample(t, l, s)
	}
	v := reviewOf(t, l)
	for _, p := range v.Profiles {
		want := p.ID == good.as(1).id || p.ID == half.id
		require.Equal(t, want, slices.Contains(kinds(p), Disagrees), p.ID)
	}
	p, err := v.Find(half.id)
	require.NoError(t, err)
	require.Contains(t, p.Exceptions[0].Says(), good.as(1).id)
	require.Len(t, v.Trend("northmoor", "LT-96 loose tube", "1 1/4 in SDR 11"), 4)
	trend := v.Trend("Northmoor", "LT-96 loose tube", "1.25 in SDR 11")
	require.Equal(t, far.id, trend[3].ID, "the coldest first")
}

// disagreements against comparing each with each.
func TestDisagreementsByPairs(t *testing.T) {
	l := reviewLibrary(t)
	samples(t, l, 400)
	v := reviewOf(t, l)
	differ := 0
	for _, p := range v.Profiles {
		want := false
		for _, o := range v.Profiles {
			a, b := p.row, o.row
			alike := a.make == b.make && a.cable == b.cable && a.duct == b.duct && a.rig == b.rig
			near := max(a.celsius-b.celsius, b.celsius-a.celsius) <= howDisagreeing().degrees
			want = want || alike && near && max(a.value/b.value, b.value/a.value) > howDisagreeing().ratio
		}
		require.Equal(t, want, slices.Contains(kinds(p), Disagrees), p.ID)
		if want {
			differ++
		}
	}
	t.Log(differ, "disagree")
}

func TestFilterAndSort(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	writeSample(t, l, good.as(1))
	writeSample(t, l, good.as(2).with(`name = "Rig 2"`, `name = "Old Betty"`).with(`operator = "AB"`, `operator = "XY"`))
	writeSample(t, l, good.as(3).with("speed = \"95 ft/min\"\nadvised_grip", "speed = \"94 ft/min\"\nadvised_grip").with(`number = "J-204"`, `number = "J-777"`))
	v := reviewOf(t, l)
	ids := func(list []*Listed) (ids []string) {
		for _, p := range list {
			ids = append(ids, p.ID[len(p.ID)-1:])
		}
		slices.Sort(ids)
		return ids
	}
	require.Equal(t, []string{"1", "2", "3"}, ids(v.Filter(Filter{})))
	require.Equal(t, []string{"1", "2", "3"}, ids(v.Filter(Filter{Text: "lt-96 NORTH sdr 41"})))
	require.Equal(t, []string{"2"}, ids(v.Filter(Filter{Rig: "betty"})))
	require.Equal(t, []string{"2"}, ids(v.Filter(Filter{Crew: "x"})))
	require.Equal(t, []string{"3"}, ids(v.Filter(Filter{Job: "777"})))
	require.Equal(t, []string{"3"}, ids(v.Filter(Filter{ExceptionsOnly: true})))
	require.Empty(t, v.Filter(Filter{Text: "LT-97"}))
	require.Equal(t, []string{"1", "2", "3"}, ids(v.Filter(Filter{Cable: "northmoor lt", Duct: "1.25"})))
	require.Empty(t, v.Filter(Filter{Since: reviewNow}))
	v.Sort(BySpeed)
	require.Equal(t, "94 ft/min", v.Profiles[2].Speed)
	v.Sort(ByWorst)
	require.Equal(t, "94 ft/min", v.Profiles[0].Speed)
}

// TestWeeks: ISO 8601 weeks begin on Monday; 2026-05-14 is a Thursday and 2026-01-01 too
// (calendar).
func TestWeeks(t *testing.T) {
	require.Equal(t, "2026-05-11", monday(time.Date(2026, 5, 14, 1, 0, 0, 0, time.FixedZone("", -5*3600))).Format(time.DateOnly))
	require.Equal(t, "2025-12-29", monday(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)).Format(time.DateOnly))
	require.Equal(t, "2026-05-11", monday(time.Date(2026, 5, 17, 23, 0, 0, 0, time.UTC)).Format(time.DateOnly))
	l := reviewLibrary(t)
	good := goodSample(t)
	writeSample(t, l, good.as(1))
	writeSample(t, l, good.as(2).with(`operator = "AB"`, `operator = "ab "`).with(`advised_speed = "95 ft/min"`, `advised_speed = "100 ft/min"`))
	alone := good.as(3) // a trial that ended without a profile, and the trial of a profile
	alone.text, _, _ = strings.Cut(alone.text, "[setting]")
	writeInto(t, l, "trials/"+alone.id+".toml", alone.text)
	both := good.as(2)
	both.text, _, _ = strings.Cut(both.text, "[setting]")
	writeInto(t, l, "trials/"+both.id+".toml", both.text)
	writeInto(t, l, "trials/"+good.as(4).id+".toml", "format = 1\nbroken")
	v := reviewOf(t, l)
	weeks := v.Weeks()
	require.Len(t, weeks, 1)
	require.Equal(t, 3, weeks[0].Trials)
	require.Equal(t, 36, weeks[0].Pushes)
	require.InDelta(t, 7.2, weeks[0].Cable, 1e-9)
	require.InDelta(t, 1.0/3, weeks[0].OverridesPerTrial(), 1e-9)
	require.Zero(t, weeks[0].SkippedPerTrial())
	require.Len(t, v.Unreadable, 1)
}

// TestFailedCheckIsListed: a short check that folded leaves no profile, and shows.
func TestFailedCheckIsListed(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	writeSample(t, l, good.as(1))
	check := good.as(2).with(`kind = "full"`, fmt.Sprintf("kind = %q\nof = %q", session.ShortCheck, good.as(1).id))
	check.text, _, _ = strings.Cut(check.text, "[setting]")
	writeInto(t, l, "trials/"+check.id+".toml", check.text)
	require.Equal(t, []ExceptionKind{CheckDidNotHold}, kinds(reviewOf(t, l).Profiles[0]))
}
