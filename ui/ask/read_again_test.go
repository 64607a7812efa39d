package ask

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// A push that is read again was made at the setting it was made at, whatever would be dialled next
// by then, and is asked for even where checks have come due meanwhile.
func TestReadAgainKeepsTheSetting(t *testing.T) {
	c := newCrew(t).push("STALL").push("STALL").push("STALL").reach("dial")
	pushed := c.last().Setting
	require.NoError(t, c.choose("Cable temperature").enter("49 F"))
	c.reach("dial")
	c.choose("No: read it again")
	require.Equal(t, "read", c.question().ID)
	c.choose("SLIP")
	require.Equal(t, session.Slip, c.last().Outcome)
	require.Equal(t, pushed, c.last().Setting)
}
