package ui

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A duct size is whole or not there: half of it is another one. What a line has no room for
// begins the next.
func TestKeyIsCutBetweenItsParts(t *testing.T) {
	const key = "x WITHDRAWN  Northmoor, LT-96 loose tube, 1.25 in SDR 11"
	for width := 12; width <= len(key); width++ {
		line, rest := partsFitting(key, width)
		if rest != "" {
			require.Equal(t, key, line+", "+rest)
			require.True(t, strings.HasSuffix(rest, "1.25 in SDR 11"), rest)
		} else if line != key {
			t.Fatalf("%d: %q", width, line)
		}
	}
}
