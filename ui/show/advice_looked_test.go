package show

import (
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
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
		a, err := ReadAdvice(profiles.Source{Path: at, Text: text}, Earlier{}, func() (*profiles.Library, error) { return l, nil })
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
