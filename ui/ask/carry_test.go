package ask

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// The far end's word ends the trial, by a key that no page before it has; no other answer does.
func TestTheFarEndsWordClosesTheTrial(t *testing.T) {
	c := proved(t).accept().reach("far-end-clear")
	c.choose("no answer")
	require.False(t, c.flow.Trial.Closed())
	require.Equal(t, "far-end-clear", c.question().ID)
	require.Equal(t, EndKey, c.question().KeyOf("says clear"))
	require.Contains(t, c.question().Body, "Then the trial is closed.")
	c.choose("says clear")
	require.True(t, c.flow.Trial.Closed())
	require.Equal(t, session.ClosedStage, c.question().Stage)
}
