package ui

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"
)

// What a slow line asks for is not kept with what the tablet's people chose; what they choose
// on it is.
func TestOptionsOnASlowLine(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.m.Slow = true
	d.key("o")
	require.Contains(t, d.m.View(), "Characters: plain ASCII")
	saved := func() profiles.Options {
		library, err := rehearsal.OpenLibrary(d.dir, d.m.Now, nil)
		require.NoError(t, err)
		options, err := library.Options()
		require.NoError(t, err)
		return options
	}
	d.key("2")
	require.Contains(t, d.m.View(), "Characters: plain ASCII")
	require.Equal(t, profiles.Options{Format: profiles.Format, Theme: "plain", Left: true}, saved())
	d.key("3")
	require.Contains(t, d.m.View(), "Characters: all")
	require.Contains(t, d.m.View(), "┌")
	d.key("3")
	require.Contains(t, d.m.View(), "Characters: plain ASCII")
	require.Equal(t, profiles.Options{Format: profiles.Format, Theme: "plain", Left: true, ASCII: true}, saved())
}
