package show

import (
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/rehearsal"
)

// Times that are hard to believe hold a file back until a supervisor has looked at its profile; then
// advice about it says what the profile hands out.
func TestAdviceKnowsWhatWasLookedAt(t *testing.T) {
	text, err := os.ReadFile("../../testdata/covers/profile.toml")
	require.NoError(t, err)
	second := 0
	text = regexp.MustCompile(`(?m)^\[\[attempt\]\]$`).ReplaceAllFunc(text, func(head []byte) []byte {
		second++
		return fmt.Appendf(nil, "%s\nat = 2026-05-14T07:50:%02d-05:00", head, second)
	})
	const id = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"
	dir := t.TempDir()
	at := filepath.Join(dir, "profiles", "2026-05", id+".toml")
	require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o777))
	require.NoError(t, os.WriteFile(at, text, 0o666))
	l, err := rehearsal.OpenLibrary(dir, func() time.Time { return time.Date(2026, 5, 14, 9, 0, 0, 0, time.FixedZone("", -5*3600)) }, rand.Reader)
	require.NoError(t, err)
	advice := func() Advice {
		open := func() (*profiles.Library, error) { return l, nil }
		a, err := ReadAdvice(profiles.Source{Path: at, Text: text}, Earlier{}, open, open)
		require.NoError(t, err)
		return a
	}
	held := advice()
	require.IsType(t, session.Refuse{}, held.outlook.Next)
	require.Contains(t, held.outlook.Next.(session.Refuse).Reason, "Its times cannot be")
	sit, err := l.Sit("QS")
	require.NoError(t, err)
	require.NoError(t, sit.Accept(id, "typed fast"))
	require.NoError(t, sit.Close())
	looked := advice()
	require.IsType(t, session.Install{}, looked.outlook.Next)
	require.Equal(t, looked.outlook.Next.(session.Install).Setting, looked.promise.Setting)
}

// A fold of another trial of this cable, duct and rig in the library counts for a file that the
// library does not have.
func TestAdviceCountsWhatTheLibraryKnows(t *testing.T) {
	text, err := os.ReadFile("../../testdata/covers/profile.toml")
	require.NoError(t, err)
	dir := t.TempDir()
	l, err := rehearsal.OpenLibrary(dir, func() time.Time { return time.Date(2026, 5, 14, 9, 0, 0, 0, time.FixedZone("", -5*3600)) }, rand.Reader)
	require.NoError(t, err)
	alone := regexp.MustCompile(`(?m)^id = .*\n`).ReplaceAll(text, nil)
	next := func() session.Next {
		open := func() (*profiles.Library, error) { return l, nil }
		a, err := ReadAdvice(profiles.Source{Path: "x.toml", Text: alone}, Earlier{}, open, open)
		require.NoError(t, err)
		return a.outlook.Next
	}
	install, ok := next().(session.Install)
	require.True(t, ok)
	head, _, _ := strings.Cut(string(text), "[[attempt]]")
	head, _, _ = strings.Cut(head, "[setting]")
	folded := fmt.Sprintf("%s[[attempt]]\ngrip = \"6 psi\"\nspeed = \"%.0f ft/min\"\noutcome = \"fold\"\ncable_used = \"0.9 m\"\n", head, 60*install.Setting.Speed.Value/0.3048)
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "trials"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "trials", "01K7ZQ4C5V8W9X0Y1Z2A3B4C5E.toml"), []byte(strings.Replace(folded, "4C5D", "4C5E", 1)), 0o666))
	refuse, ok := next().(session.Refuse)
	require.True(t, ok)
	require.Contains(t, refuse.Reason, "This cable folded in another trial")
}
