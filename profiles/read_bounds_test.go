package profiles

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A line break that a record spells could draw a line of its own, and fake one of the
// program's: it is read as a space, however it is spelled. The same letters after a
// backslash of their own, or between single quotes, are no line break.
func TestTextsAreOneLine(t *testing.T) {
	for written, want := range map[string]string{
		`"a\nb"`: "a b", `"a\u000ab"`: "a b", `"a\U0000000Ab"`: "a b", `"a\x0ab"`: "a b", `"a\r\nb"`: "a\r b",
		`"a\\nb"`: `a\nb`, `'a\nb'`: `a\nb`, `"a\\\nb"`: `a\ b`, `"a\"\nb"`: `a" b`, `"a\u00e4b" # "\n"`: "aäb",
	} {
		r, err := Parse("job.toml", []byte("format = 1 # \"\n[cable]\nmake = "+written+"\n[[change]]\nkey = \"cable.reel\"\nvalue = "+written+"\n"))
		require.NoError(t, err, written)
		require.Equal(t, want, r.Cable.Make, written)
		trial, err := r.Trial()
		require.NoError(t, err, written)
		require.Equal(t, want, trial.Cable.Reel, written)
	}
	limits, err := parseCoverLimits("rules.toml", []byte("format = 1\n\"a\\nb\" = 1\n"))
	require.ErrorContains(t, err, ": a b: ", limits)
}
