package show

import (
	"bytes"
	"crypto/rand"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"
)

// judging is a library with a good profile, and one whose setting no push carries.
func judging(t *testing.T) *profiles.Library {
	dir := t.TempDir()
	rehearsal.WriteProfile(t, "../../testdata/covers/profile.toml", dir, 1)
	rehearsal.WriteProfile(t, "../../testdata/covers/profile.toml", dir, 2, "\nspeed = \"95 ft/min\"", "\nspeed = \"195 ft/min\"")
	l, err := rehearsal.OpenLibrary(dir, func() time.Time { return time.Date(2026, 5, 14, 14, 0, 0, 0, time.UTC) }, rand.Reader)
	require.NoError(t, err)
	return l
}

// Who accepts a profile is told what it hands out by that.
func TestAcceptSaysWhatIsHandedOut(t *testing.T) {
	l := judging(t)
	for n, says := range map[int]string{
		1: "  It may be installed with: grip pressure 6 psi, belt speed 95 ft/min.\n",
		2: "  It hands out nothing all the same: ",
	} {
		var out bytes.Buffer
		require.NoError(t, Judge(l, Judgement{Action: profiles.Accept, ID: rehearsal.ProfileID(n), By: "QS"}, &out))
		require.Contains(t, out.String(), "It stands as: accepted.\n"+says)
	}
	require.Contains(t, HandsOut(l, rehearsal.ProfileID(1), true), "It may be installed with again: grip")
	require.Contains(t, HandsOut(l, rehearsal.ProfileID(9), true), "It hands out nothing all the same: ")
}

// A day is for an expiry alone, and not before today.
func TestDayOfADecision(t *testing.T) {
	l := judging(t)
	for _, c := range []struct {
		action   profiles.Action
		on, says string
	}{
		{profiles.Accept, "2026-06-30", "--on is for expire alone"}, {profiles.Withdraw, "2026-06-30", "--on is for expire alone"},
		{profiles.Query, "2026-06-30", "--on is for expire alone"}, {profiles.Expire, "2026-05-13", "--on 2026-05-13 is past: give 2026-05-14"},
	} {
		err := Judge(l, Judgement{Action: c.action, ID: rehearsal.ProfileID(1), By: "QS", Note: "why?", On: c.on}, &bytes.Buffer{})
		require.ErrorAs(t, err, &WrongUse{}, c.action)
		require.ErrorContains(t, err, c.says)
	}
	_, err := os.Stat(filepath.Join(l.Where(), "reviews"))
	require.ErrorIs(t, err, os.ErrNotExist, "nothing is written")
	require.NoError(t, Judge(l, Judgement{Action: profiles.Expire, ID: rehearsal.ProfileID(1), By: "QS", On: "2026-05-14"}, &bytes.Buffer{}))
}
