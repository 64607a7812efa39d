package quantity

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMaybe(t *testing.T) {
	var unknown Maybe[Force]
	require.False(t, unknown.Known())
	require.Equal(t, Force(7), unknown.Or(7))
	_, known := unknown.Get()
	require.False(t, known)

	zero := Known(Force(0)) // a known zero is not an unknown
	require.True(t, zero.Known())
	require.Equal(t, Force(0), zero.Or(7))
	v, known := zero.Get()
	require.True(t, known)
	require.Equal(t, Force(0), v)
}
