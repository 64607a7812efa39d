package show

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

// Why a run that is not finished was copied is said beside it.
func TestExchangeTellsUnfinishedNews(t *testing.T) {
	var out bytes.Buffer
	tellExchange(profiles.Exchanged{Out: []string{"runs/A.toml", "runs/B.toml"}, In: []string{"runs/C.toml"}, News: map[string]bool{"runs/A.toml": true, "runs/C.toml": false}}, "here", "there", &out)
	require.Equal(t, `In, from there:
  run C: not finished, but a marked jacket in it is news: copied
Out, from here:
  run A: not finished, but a fold in it is news: copied
  run B
In: 1. Out: 2. Brought up to date: 0. On both sides already: 0. Different: 0. Left alone: 0.
`, out.String())
}
