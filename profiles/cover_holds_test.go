package profiles

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestEveryRuleHasItsWord: a sheet can leave no rule out, and names none that is not.
func TestEveryRuleHasItsWord(t *testing.T) {
	known := map[string]map[Effect]bool{}
	for _, f := range coverRules {
		for _, row := range f.rows {
			if row.effect > Covered {
				require.NotEmpty(t, ruleSays[f.key][row.effect], "%s, %s", f.key, row.effect)
				if known[f.key] == nil {
					known[f.key] = map[Effect]bool{}
				}
				known[f.key][row.effect] = true
			}
		}
	}
	for key, says := range ruleSays {
		for effect := range says {
			require.True(t, known[key][effect], "%s, %s", key, effect)
		}
	}
}

// TestHoldsAgreesWithCover: at the top of what a profile holds for the verdict is still
// covered, a little above it is not; above the last lower setting it is a retest.
func TestHoldsAgreesWithCover(t *testing.T) {
	for name, rules := range map[string]string{
		"usual":     "",
		"tightened": "format = 1\ncovered_degrees = \"3 °F\"\ncheck_degrees = \"12 °F\"\n",
		"no checks": "format = 1\nretest = [\"conditions.cable_temperature\"]\n",
	} {
		l := reviewLibrary(t)
		id := "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"
		writeInto(t, l, "profiles/2026-05/"+id+".toml", recordText(t, coverRecord(t, "profile.toml", nil)))
		if rules != "" {
			writeInto(t, l, "rules.toml", rules)
		}
		h, err := l.Holds(id)
		require.NoError(t, err)
		at := func(temperature string) Verdict {
			job := coverRecord(t, "job.toml", nil)
			job, err := job.With("conditions.cable_temperature", temperature)
			require.NoError(t, err)
			job, err = job.With("conditions.inlet_air_temperature", "")
			require.NoError(t, err)
			v, err := l.Cover(job, coverNow)
			require.NoError(t, err)
			return v
		}
		require.Equal(t, Covered, at(h.UpTo).Effect, "%s: %s", name, h.UpTo)
		warmer := map[string]Effect{"usual": ShortCheck, "tightened": ShortCheck, "no checks": Retest}[name]
		require.Equal(t, warmer, at(above(t, h.UpTo)).Effect, name)
		require.Equal(t, name == "no checks", len(h.DropTo) == 0)
		for _, d := range h.DropTo {
			v := at(d.UpTo)
			require.Equal(t, ShortCheck, v.Effect, "%s: %s", name, d.UpTo)
			s, known := v.Setting.Get()
			require.True(t, known)
			require.Equal(t, d.Setting, v.Best.Named(s), "%s: %s", name, d.UpTo)
		}
		if n := len(h.DropTo); n > 0 {
			require.Equal(t, Retest, at(above(t, h.DropTo[n-1].UpTo)).Effect, name)
		}
	}
}

// above is a degree and a half warmer.
func above(t testing.TB, text string) string {
	t.Helper()
	var degrees float64
	var unit string
	_, err := fmt.Sscan(text, &degrees, &unit)
	require.NoError(t, err)
	return fmt.Sprintf("%g %s", degrees+1.5, unit)
}
