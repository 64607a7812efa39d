package session

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRepeatsAlone(t *testing.T) {
	// 1 − 0.05^(1/n): zero-failure bound, NIST/SEMATECH e-Handbook 7.2.4.1.
	for n, want := range map[int]float64{1: .95, 2: .776, 3: .632, 5: .451, 10: .259, 20: .139, 29: .098, 59: .050, 299: .010} {
		require.InDelta(t, want, RepeatsAlone(n, n), 5e-4, "%d of %d", n, n)
	}
	// Two-sided 90 % for 4 of 20: 0.071354 to 0.401029 (NIST/SEMATECH e-Handbook
	// 7.2.4.1, digits from memory); the upper end is the one-sided 95 % bound.
	require.InDelta(t, 0.401029, RepeatsAlone(16, 20), 5e-6)
	require.Equal(t, 1.0, RepeatsAlone(0, 0))
	require.Equal(t, 1.0, RepeatsAlone(0, 3))
}
