package ask

import (
	"testing"

	"github.com/stretchr/testify/require"
)

type unheardOf struct{}

func (unheardOf) effect() {}

// An effect that nobody knows how to carry out is no answer that was written down.
func TestUnknownEffectIsLoud(t *testing.T) {
	c := newCrew(t)
	_, err := Keeper{Trial: c.kept}.Carry(unheardOf{})
	require.ErrorContains(t, err, "nothing was written")
	require.ErrorContains(t, Keeper{Trial: c.kept}.Perform(c.flow, unheardOf{}).Err, "ask.unheardOf")
	_, err = Keeper{Trial: c.kept}.Carry(None{})
	require.NoError(t, err)
}
