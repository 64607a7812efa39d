package report

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session/reach"
)

func reachForm(t *testing.T, oldNew ...string) (map[string]any, reach.Result) {
	t.Helper()
	text, err := os.ReadFile(filepath.FromSlash("../../testdata/jobs/reach_example.toml"))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "run.toml")
	require.NoError(t, os.WriteFile(path, []byte(strings.NewReplacer(oldNew...).Replace(string(text))), 0o666))
	library, err := libraryIn(t.TempDir(), time.Now, nil)
	require.NoError(t, err)
	from, err := source(path)
	require.NoError(t, err)
	run, err := library.ReadReach(from)
	require.NoError(t, err)
	r, err := reach.Find(run.Job)
	require.NoError(t, err)
	h, err := reach.Advise(run.Job, run.Ratings)
	require.NoError(t, err)
	s, err := reach.Spread(run.Job, run.Doubt, 50, rand.New(rand.NewPCG(1, 2)), nil)
	require.NoError(t, err)
	return read(t, ReachOf(run, r, s, h)), r
}

func value(t *testing.T, m map[string]any, key, unit string) float64 {
	t.Helper()
	q, ok := m[key].(map[string]any)
	require.True(t, ok, key)
	require.Equal(t, unit, q["unit"], key)
	require.NotEmpty(t, q["text"], key)
	require.Len(t, q, 3, key)
	return q["value"].(float64)
}

// The keys other programs rely on, with their units, and null for what there is not.
func TestReachForm(t *testing.T) {
	m, r := reachForm(t)
	require.Equal(t, true, m["reaches_end"])
	for key, unit := range map[string]string{
		"reach": "m", "push_at_inlet": "N", "entry_force": "N", "drive_force": "N", "available_push": "N", "inlet_pressure": "kPa",
		"free_air_with_cable": "m³/min", "free_air_empty": "m³/min", "time": "min", "route_length": "m", "needed_push": "N",
	} {
		value(t, m, key, unit)
	}
	require.InDelta(t, float64(r.Reach), value(t, m, "reach", "m"), 1e-9)
	require.InDelta(t, float64(r.Inlet)/1000, value(t, m, "inlet_pressure", "kPa"), 1e-9)
	require.InDelta(t, value(t, m, "drive_force", "N"), value(t, m, "push_at_inlet", "N")+value(t, m, "entry_force", "N"), 1e-9)
	require.InDelta(t, 240, value(t, m, "available_push", "N")+value(t, m, "entry_force", "N"), 1e-9, "the safe push of the file")
	span := m["reach_range"].(map[string]any)
	require.LessOrEqual(t, value(t, span, "low", "m"), value(t, span, "high", "m"))
	require.Contains(t, m, "stuck")
	require.Nil(t, m["stuck"])
	profile := m["profile"].([]any)
	require.Len(t, profile, len(r.Profile))
	first := profile[0].(map[string]any)
	require.InDelta(t, 0, value(t, first, "at", "m"), 0, "from the inlet on")
	require.InDelta(t, value(t, m, "push_at_inlet", "N"), value(t, first, "push", "N"), 1e-9)
	require.InDelta(t, value(t, m, "inlet_pressure", "kPa"), value(t, first, "pressure", "kPa"), 1e-6)
	require.NotEmpty(t, m["warnings"], "the compressor is too small for an empty duct")
}

func TestReachFormWhenStuck(t *testing.T) {
	m, r := reachForm(t, "coefficient = 0.13", "coefficient = 0.2", "low = 0.10", "", "high = 0.17", "")
	require.Equal(t, false, m["reaches_end"])
	stuck := m["stuck"].(map[string]any)
	require.InDelta(t, value(t, m, "reach", "m"), value(t, stuck, "head", "m"), 1e-9)
	require.Greater(t, value(t, stuck, "locks", "m"), value(t, stuck, "head", "m"))
	lost := stuck["lost"].([]any)
	require.Len(t, lost, len(r.Sections))
	sum := 0.0
	for i, l := range lost {
		section := l.(map[string]any)
		require.InDelta(t, float64(i+1), section["section"], 0, "counted from 1")
		require.Less(t, value(t, section, "from", "m"), value(t, section, "to", "m"))
		sum += value(t, section, "push", "N")
	}
	require.InDelta(t, value(t, m, "push_at_inlet", "N"), sum, 1e-6)
	require.Contains(t, m, "needed_push")
	require.Nil(t, m["needed_push"], "no push is enough: null, not infinity")
	heads := m["heads"].([]any)
	last := heads[len(heads)-1].(map[string]any)
	require.Contains(t, last, "required")
	require.Nil(t, last["required"], "it is locked there")
	help := m["help"].(map[string]any)
	require.Less(t, help["friction"], 0.2)
	value(t, help, "other_end", "m")
	value(t, help, "second_drive", "m")
	value(t, help, "pressure_limit", "kPa")
}
