package show

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"
)

// On a retest no setting is printed, of no profile.
func TestRetestPrintsNoSetting(t *testing.T) {
	c, text := coverOf(t, sameDay, "Northmoor", "Nortmoor")
	require.Equal(t, profiles.Retest, c.Effect)
	require.Contains(t, text, "The nearest profile is Northmoor")
	require.Contains(t, text, "Retest: Eastvale")
	require.NotContains(t, text, "psi")
	require.NotContains(t, text, "ft/min, id")
	require.NotContains(t, text, "setting: ")

	c, text = coverOf(t, sameDay, "Northmoor", "Nortmoor", "grip_limit", "# grip_limit")
	require.Equal(t, profiles.Retest, c.Effect)
	require.Contains(t, text, "Limits: short check. Profile its setting, today")
	require.NotContains(t, text, "Profile 6 psi")
}

// Nor is one printed that its own pushes do not carry: it is said once that it does not hold.
func TestSettingThatDoesNotHoldIsNotPrinted(t *testing.T) {
	l := judging(t)
	job, err := rehearsal.Source("../../testdata/covers/job.toml")
	require.NoError(t, err)
	c, err := ReadCover(l, job, l.Now())
	require.NoError(t, err)
	page := strings.Join(c.Page(), "\n")
	require.NotContains(t, page, "195 ft/min.")
	require.Equal(t, 1, strings.Count(page, "Setting: retest. What was written does not hold."))
}

// A library that has profiles is not said to have none: those that were passed over are counted,
// and named to programs too.
func TestPassedOverIsSaid(t *testing.T) {
	none := profiles.Verdict{Effect: profiles.Retest, Reasons: []profiles.Reason{{Field: "profile", Effect: profiles.Retest, Why: "none"}}}
	require.Equal(t, "none", passedOver(none).Reasons[0].Why)
	none.Unreadable = []error{errors.New("a.toml: edited"), errors.New("b.toml: edited")}
	c := Cover{Verdict: passedOver(none)}
	require.Contains(t, strings.Join(c.Page(), "\n"), "none that can be used; 2 were passed over.")
	require.Equal(t, []string{"passed over: a.toml: edited", "passed over: b.toml: edited"}, c.Form().Warnings)
	require.Contains(t, c.Form().Reasons[0].Why, "none that can be used")
	require.Equal(t, "Cover: no profile of this cable that can be used: a full trial", c.Lines()[0])
}
