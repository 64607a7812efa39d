package profiles

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// TestHandsOutNothing changes one thing of a good profile at a time.
func TestHandsOutNothing(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		nothing        bool
	}{
		{"good", "number", "number", false},
		{"harder than advised", `advised_speed = "95 ft/min"`, `advised_speed = "90 ft/min"`, true},
		{"softer than advised", `advised_speed = "95 ft/min"`, `advised_speed = "105 ft/min"`, false},
		{"above a fold", `speed = "140 ft/min"`, `speed = "95 ft/min"`, true},
		{"jacket at the setting", "outcome = \"slip\"", "outcome = \"slip\"\njacket_damage = true", true},
		{"check skipped", `state = "nobody, plug end fenced"`, `skip_reason = "rain"`, false},
		{"clock set back a little", "at = 2026-05-14T07:46:38", "at = 2026-05-14T07:46:10", false},
		{"clock went back", "at = 2026-05-14T07:46:38", "at = 2026-05-13T07:46:38", true},
		{"no toml", "[setting]", "[setting", true},
	} {
		l := reviewLibrary(t)
		writeSample(t, l, goodSample(t).with(c.old, c.new))
		require.Equal(t, c.nothing, reviewOf(t, l).Profiles[0].HandsOutNothing(), c.name)
	}
}

// Times that cannot be hold a profile back until a supervisor has accepted it as it is; a
// withdrawal does for good.
func TestHandsOutNothingByDecision(t *testing.T) {
	l, s := reviewLibrary(t), goodSample(t).with("accepted = 2026-05-14T08:40:00", "accepted = 2026-05-14T07:50:00")
	writeSample(t, l, s)
	nothing := func() bool {
		promised, err := l.Promised(s.id)
		require.NoError(t, err)
		listed := reviewOf(t, l).Profiles[0].HandsOutNothing()
		require.Equal(t, len(promised.Why) > 0, listed, "the list says what is handed out")
		return listed
	}
	require.True(t, nothing())
	require.Equal(t, []string{s.id}, l.Health(nil).Nothing)
	sit, err := l.Sit("QS")
	require.NoError(t, err)
	require.NoError(t, sit.Accept(s.id, ""))
	require.False(t, nothing())
	require.Empty(t, l.Health(nil).Nothing)
	require.NoError(t, sit.Withdraw(s.id, "wrong duct?"))
	require.True(t, nothing())
	h := l.Health(nil)
	require.Equal(t, []string{s.id}, h.Nothing)
	require.Equal(t, 1, h.Settled, "a supervisor decided so")
	require.NoError(t, sit.Close())
}

// A profile without a seal whose trial has one was edited: the list and the checkup say so.
func TestSealTakenOffIsListed(t *testing.T) {
	l, s := reviewLibrary(t), goodSample(t)
	writeInto(t, l, s.name, s.text)
	require.False(t, reviewOf(t, l).Profiles[0].SealTakenOff(), "written by hand")
	require.Empty(t, l.Health(nil).SealsOff)
	trial := s
	trial.name = "trials/" + s.id + ".toml"
	writeSample(t, l, trial)
	v := reviewOf(t, l)
	again, err := l.Reread(v, s.id)
	require.NoError(t, err)
	for _, p := range []*Listed{reviewOf(t, l).Profiles[0], again} {
		require.Equal(t, []ExceptionKind{EditedSinceSealed}, kinds(p))
		require.True(t, p.SealTakenOff())
		require.True(t, p.HandsOutNothing())
	}
	h := l.Health(nil)
	require.Equal(t, []string{s.id}, h.SealsOff)
	require.Empty(t, h.Nothing, "each is told of once")
}

// The words of a note are never altered.
func TestNoteIsSaidAsWritten(t *testing.T) {
	for _, note := range []string{"who watched?", "see:", ": no", "30 °C!"} {
		require.Equal(t, "QS, 2026-05-14: "+note, Judged{By: "QS", At: time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC), Note: note}.Says())
	}
	require.Equal(t, "QS, 2026-05-14", Judged{By: "QS", At: time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC)}.Says())
}

// A fold and a marked jacket of other trials are one kind, named for both.
func TestHurtElsewhereIsNamedForBoth(t *testing.T) {
	require.Equal(t, "hurt elsewhere", HurtElsewhere.String())
}

// Beside a library that cannot be read nothing is promised, and it says why.
func TestNothingKnownPromisesNothing(t *testing.T) {
	s := goodSample(t)
	record, err := Parse(s.name, []byte(s.text))
	require.NoError(t, err)
	of, err := newSide(record)
	require.NoError(t, err)
	p := NothingKnown(errors.New("the stick was pulled")).PromiseOf(*record, of.trial, of.setting(), reviewNow)
	require.Equal(t, []string{"The stick was pulled."}, p.Why)
	require.Zero(t, p.Promise)
}

// What ends the profile that a short check rests on ends the short check's, and so do the
// library's rules of age: the list says what is handed out.
func TestListFollowsWhatAProfileRestsOn(t *testing.T) {
	l, first := coverLibrary(t), coverRecord(t, "profile.toml", nil)
	check := coverRecord(t, "job.toml", nil).CheckOf(first)
	check.ID, check.Started = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5E", coverNow
	above, err := NewReading("105 ft/min") // a tenth above the setting
	require.NoError(t, err)
	for i := range 3 {
		check.Attempts = append(check.Attempts, Attempt{Seq: i + 1, At: coverNow.Add(time.Duration(i+1) * time.Minute), Grip: check.Plan.Grip, Speed: above, Outcome: session.Stall})
	}
	check.Setting = &Setting{Grip: check.Plan.Grip, Speed: check.Plan.Speed, Accepted: coverNow.Add(5 * time.Minute)}
	for _, r := range []Record{first, check} {
		writeInto(t, l, "profiles/2026-05/"+r.ID+".toml", recordText(t, r))
	}
	nothing := func(id string) bool {
		t.Helper()
		p, err := reviewOf(t, l).Find(id)
		require.NoError(t, err)
		return p.HandsOutNothing()
	}
	require.False(t, nothing(check.ID))
	rules := filepath.Join(l.Where(), "rules.toml")
	require.NoError(t, os.WriteFile(rules, []byte("format = 1\nretest_days = 0.001\n"), filePerm))
	require.True(t, nothing(check.ID))
	require.True(t, nothing(first.ID))
	require.NoError(t, os.WriteFile(rules, []byte("format = 1\nretest_days = nonsense\n"), filePerm))
	require.NotEmpty(t, reviewOf(t, l).Unreadable, "broken rules are told")
	require.NoError(t, os.Remove(rules))

	sit, err := l.Sit("QS")
	require.NoError(t, err)
	require.NoError(t, sit.Withdraw(first.ID, "wrong duct?"))
	require.NoError(t, sit.Close())
	require.True(t, nothing(check.ID))
	p, err := reviewOf(t, l).Find(check.ID)
	require.NoError(t, err)
	require.Contains(t, kinds(p), HurtElsewhere)
}
