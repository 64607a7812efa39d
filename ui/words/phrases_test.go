package words

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The crew's own words begin with any letter.
func TestFirstLetter(t *testing.T) {
	require.Equal(t, "Öldruck", Capital("öldruck"))
	require.Equal(t, "öldruck", LowerFirst("Öldruck"))
	require.Equal(t, "Throttle", Capital("throttle"))
	require.Empty(t, Capital(""))
	require.Empty(t, LowerFirst(""))
}

// What is handed over spread out stays as it was.
func TestJoinChangesNothing(t *testing.T) {
	parts := []string{"", "cable", "", "duct"}
	require.Equal(t, "cable, duct", Join(parts...))
	require.Equal(t, []string{"", "cable", "", "duct"}, parts)
}
