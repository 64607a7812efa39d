package report

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/session/cable"
	"brinkmark/session/push"
	q "brinkmark/session/quantity"
)

const job = `format = 1
[cable]
outer_diameter = "12 mm"
mass = "110 kg/km"
bending_stiffness = "2.0 N m2"
stiffness_temperature = "73.4 F"
polyethylene_share = 0.5
min_bend_radius = "120 mm"
kink_radius = "60 mm"
crush_limit = "110 N/cm"
[duct]
inner_diameter = "33 mm"
[conditions]
cable_temperature = "73.4 F"
[rig]
grip_limit = "60 psi"
belt_length = "0.30 m"
clamp_per_grip = "15 N/kPa"
gap = "40 mm"
[stub]
length = "20 m"
`

func expected(t testing.TB, text string) (profiles.Record, push.Expected) {
	record, err := profiles.Parse("job.toml", []byte(text))
	require.NoError(t, err)
	trial, err := record.Trial()
	require.NoError(t, err)
	e, err := session.Expect(trial)
	require.NoError(t, err)
	return *record, e
}

// read returns JSON as any other program would.
func read(t *testing.T, v any) map[string]any {
	text, err := JSON(v)
	require.NoError(t, err)
	var m map[string]any
	require.NoError(t, json.Unmarshal(text, &m))
	return m
}

func TestExpectationHasEveryKey(t *testing.T) {
	r, e := expected(t, job)
	m := read(t, ExpectationOf(e, UnitsOf(r)))
	limit := m["fold_limit"].(map[string]any)
	for _, tt := range []struct {
		in   map[string]any
		key  string
		want float64
		tol  float64
		unit string
		text string
	}{
		{m, "clearance", 10.5, 1e-9, "mm", "10.5 mm"},
		{m, "bending_stiffness", 2, 0, "N·m²", "2 N·m²"},
		{m, "snaking_load", 28.6686, 5e-5, "N", "6.445 lbf"},
		{m, "helix_load", 52.4185, 5e-5, "N", "11.78 lbf"},
		{m, "bend_limit_load", 3032.54, 5e-3, "N", "681.7 lbf"},
		{m, "grip_ceiling", 220, 1e-9, "kPa", "31.91 psi"},
		{limit, "low", 5766.95 * 0.51792, 0.2, "N", "671.5 lbf"},
		{limit, "mid", 5766.95, 5e-3, "N", "1296 lbf"},
		{limit, "high", 5766.95 * 1.93080, 0.2, "N", "2503 lbf"},
	} {
		got, ok := tt.in[tt.key].(map[string]any)
		require.True(t, ok, tt.key)
		require.InDelta(t, tt.want, got["value"], tt.tol, "%s: derived here", tt.key)
		require.Equal(t, tt.unit, got["unit"], tt.key)
		require.Equal(t, tt.text, got["text"], tt.key)
		require.Len(t, got, 3, tt.key)
	}
	require.Len(t, limit, 3)
	require.InDelta(t, 12.0/33, m["fill_by_diameter"], 1e-12, "geometry")
	require.InDelta(t, 144.0/1089, m["fill_by_area"], 1e-12, "geometry")
	require.Equal(t, true, m["can_double_back"])
	require.Equal(t, []any{}, m["warnings"], "an empty list, not null")
	require.Len(t, m, 11)
}

// What is not known is null; the keys stay.
func TestExpectationOfTwoDiameters(t *testing.T) {
	r, e := expected(t, "format = 1\n[cable]\nouter_diameter = \"0.5 in\"\n[duct]\nsize = \"1.25 in SDR 11\"\n")
	m := read(t, ExpectationOf(e, UnitsOf(r)))
	require.Len(t, m, 11)
	for _, key := range []string{"bending_stiffness", "snaking_load", "helix_load", "bend_limit_load", "fold_limit", "grip_ceiling"} {
		require.Contains(t, m, key)
		require.Nil(t, m[key], key)
	}
	require.Equal(t, "0.429 in", m["clearance"].(map[string]any)["text"])
	require.Equal(t, "mm", m["clearance"].(map[string]any)["unit"])
	require.NotEmpty(t, m["warnings"])
}

func TestExpectationGuessedKinkHasNoHigh(t *testing.T) {
	e := push.Expected{FoldLimit: q.Known(push.FoldRange{Low: 100, Mid: 200})}
	limit := read(t, ExpectationOf(e, UnitsOf(profiles.Record{})))["fold_limit"].(map[string]any)
	require.Contains(t, limit, "high")
	require.Nil(t, limit["high"])
	require.Equal(t, "200 N", limit["mid"].(map[string]any)["text"])
}

func TestUnitsOf(t *testing.T) {
	metric := Units{"mm", "N", "bar", "N·m²", "°C", "m"}
	require.Equal(t, metric, UnitsOf(profiles.Record{}), "no thermometer")
	for _, tt := range []struct {
		name, text string
		want       Units
	}{
		{"thermometer", "[conditions]\ncable_temperature = \"41 F\"\n", Units{"in", "lbf", "psi", "lbf·in²", "°F", "ft"}},
		{"as written", "[cable]\nouter_diameter = \"1.2 cm\"\nbending_stiffness = \"700 lb in2\"\n[duct]\ninner_diameter = \"1.3 in\"\n[conditions]\ncable_temperature = \"41 F\"\n[rig]\ngrip_limit = \"4 bar\"\nthrust_offset = \"0 N\"\n[stub]\nlength = \"3 m\"\n",
			Units{"cm", "N", "bar", "lbf·in²", "°F", "m"}},
	} {
		record, err := profiles.Parse(tt.name, []byte("format = 1\n"+tt.text))
		require.NoError(t, err)
		require.Equal(t, tt.want, UnitsOf(*record), tt.name)
	}
}

func TestDroopHasEveryKey(t *testing.T) {
	b, err := cable.Droop{Overhang: 1, Drop: -0.00034, Turned: q.Known(q.Length(0.44318)), Mass: 0.110}.Solve()
	require.NoError(t, err)
	m := read(t, DroopOf(b, Units{Stiffness: "N·m²", Length: "m"}))
	stiffness, radius := m["bending_stiffness"].(map[string]any), m["set_radius"].(map[string]any)
	require.InDelta(t, 0.539366, stiffness["value"], 5e-6, "derived here: the load is 2")
	require.Equal(t, "N·m²", stiffness["unit"])
	require.InDelta(t, 2000, radius["value"], 0.2, "derived here: overhang over set radius 0.5")
	require.Equal(t, "mm", radius["unit"])
	require.Equal(t, "2 m", radius["text"])
	require.InDelta(t, b.ErrorPerMM, m["error_per_mm"], 0)
	require.Equal(t, []any{}, m["warnings"])
	require.Len(t, m, 4)

	one, err := cable.Droop{Overhang: 1, Drop: 0.25, Mass: 0.110}.Solve()
	require.NoError(t, err)
	m = read(t, DroopOf(one, Units{Stiffness: "N·m²", Length: "m"}))
	require.Contains(t, m, "set_radius")
	require.Nil(t, m["set_radius"])
	require.Len(t, m["warnings"], 1)
}

// The whole command but for the disk: read, work out, write.
func BenchmarkExpect(b *testing.B) {
	for b.Loop() {
		r, e := expected(b, job)
		text, err := JSON(ExpectationOf(e, UnitsOf(r)))
		require.NoError(b, err)
		require.NotEmpty(b, text)
	}
}
