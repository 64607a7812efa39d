package profiles

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func someRoute(t testing.TB, text string) []RouteSection {
	t.Helper()
	sections, err := ParseRouteCSV("route.csv", []byte(text))
	require.NoError(t, err)
	return sections
}

func TestSaveRoute(t *testing.T) {
	l := reachLibrary(t)
	sections := someRoute(t, "length,slope,bend,radius,plane\n300 ft,1.5 deg,,,\n,,90 deg,4 ft,left\n")
	path, err := l.SaveRoute("  Mill Lane / Weir ", sections)
	require.NoError(t, err)
	require.Equal(t, filepath.Join(l.Where(), "routes", "mill-lane-weir.toml"), path)

	routes, unreadable := l.Routes()
	require.Empty(t, unreadable)
	require.Len(t, routes, 1)
	require.Equal(t, "Mill Lane / Weir", routes[0].Name)
	require.Equal(t, sections, routes[0].Sections, "as written, units too")

	again, err := l.SaveRoute("mill lane/weir", sections)
	require.NoError(t, err)
	require.Equal(t, path, again)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	_, err = l.SaveRoute("MILL LANE / WEIR", sections[:1])
	require.ErrorContains(t, err, "give this one another name")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, before, after)

	// names that leave the same file name are two routes
	_, err = l.SaveRoute("Mill Lane, Weir", sections[:1])
	require.NoError(t, err)
	routes, _ = l.Routes()
	require.Len(t, routes, 2)

	byCard := strings.Split(reachExample(t), "[[section]]")[0] + "[route]\ncard = \"mill lane / weir\"\n"
	r, err := readReach(t, l, byCard)
	require.NoError(t, err)
	require.Equal(t, 2, r.Route.Sections())
}

func TestSaveRouteRefuses(t *testing.T) {
	l := reachLibrary(t)
	sections := someRoute(t, "length\n300 m\n")
	for name, wrong := range map[string]string{"": "no name", " ": "no name", "a\x1b[2J": "is no name", "\u202eabc": "is no name", strings.Repeat("x", 61): "at most 60 letters", "\xff": "is no name"} {
		_, err := l.SaveRoute(name, sections)
		require.ErrorContains(t, err, wrong)
		require.NotContains(t, err.Error(), "\x1b")
	}
	_, err := l.SaveRoute("nothing", nil)
	require.ErrorContains(t, err, "not written")
	routes, unreadable := l.Routes()
	require.Empty(t, routes)
	require.Empty(t, unreadable)

	path, err := l.SaveRoute("../../etc/passwd", sections)
	require.NoError(t, err)
	require.Equal(t, filepath.Join(l.Where(), "routes"), filepath.Dir(path))

	require.NoError(t, os.WriteFile(filepath.Join(l.Where(), "routes", "bad.toml"), []byte("format = 1\n[route]\nname = \"x\"\n[[section]]\nlength = \"3 psi\"\n"), 0o666))
	routes, unreadable = l.Routes()
	require.Len(t, routes, 1)
	require.Len(t, unreadable, 1)
	require.ErrorContains(t, unreadable[0], "bad.toml:5")
}

// Worked by hand from the straight lines of a pull test. F = 20 + 410 v with v in m/s:
// 100 N needs 0.19512 m/s = 38.41 ft/min, so 40 ft/min, which pushes 103.31 N; the belts
// hold 9.5 N per kPa: 10.875 kPa = 1.577 psi, so 2 psi. 1 ft/min is 0.00508 m/s.
func TestPlanForAPush(t *testing.T) {
	rig := "push_unit = \"ft/min\"\nspeed_limit = \"220 ft/min\"\ngrip_limit = \"60 psi\"\n"
	pull := "thrust_per_speed = \"410 N/(m/s)\"\nthrust_offset = \"20 N\"\ntraction_per_grip = \"9.5 N/kPa\"\n"
	line := func(rows string) PlanLine {
		r, err := Parse("x", []byte("format = 1\n[cable]\nmake = \"a\"\ntype = \"b\"\n[duct]\nsize = \"40/33\"\n[conditions]\ncable_temperature = \"5 C\"\n[rig]\n"+rows))
		require.NoError(t, err)
		return PlanLine{r.Rig}
	}
	for _, row := range []struct {
		rig         string
		push        q.Force
		grip, speed string
	}{
		{rig + pull, 100, "2 psi", "40 ft/min"},
		{rig + pull, 5, "1 psi", "5 ft/min"}, // less than the offset: one division of each
		{rig + pull + "speed_division = \"1 ft/min\"\ngrip_division = \"0.5 psi\"\n", 100, "2 psi", "39 ft/min"},
		{strings.NewReplacer("220 ft/min", "65 m/min", "ft/min", "m/min", "60 psi", "4 bar").Replace(rig) + pull + "speed_division = \"1 m/min\"\ngrip_division = \"0.1 bar\"\n", 100, "0.2 bar", "12 m/min"},
	} {
		plan, err := line(row.rig).Plan(row.push)
		require.NoError(t, err)
		require.Equal(t, row.speed, plan.Speed.String())
		require.Equal(t, row.grip, plan.Grip.String())
	}
	_, err := line(rig + pull).Plan(1000) // 2.39 m/s = 470 ft/min
	require.ErrorContains(t, err, "the rig goes up to 220 ft/min")
	_, err = line(rig + "thrust_per_speed = \"4100 N/(m/s)\"\ntraction_per_grip = \"1 N/kPa\"\n").Plan(1000) // 145 psi
	require.ErrorContains(t, err, "grip pressure")
	_, err = line(rig).Plan(100)
	require.ErrorContains(t, err, "no pull test")
}
