package draw

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

var metricUnits = reach.Units{Length: "m", Force: "N", Pressure: "bar"}

func routeOf(t testing.TB, sections ...reach.Section) reach.Route {
	t.Helper()
	r, err := reach.NewRoute(sections)
	require.NoError(t, err)
	return r
}

// placesOf returns where a symbol stands.
func placesOf(lines []string, symbol string) (at [][2]int) {
	for y, line := range lines {
		for x, r := range line {
			if string(r) == symbol {
				at = append(at, [2]int{x, y})
			}
		}
	}
	return at
}

// An L of equal legs to the left ends above its corner and as far up as it went right: a
// cell is twice as tall as wide. To the right it ends below.
func TestPlanIsToScale(t *testing.T) {
	for plane, up := range map[reach.Plane]bool{reach.Left: true, reach.Right: false} {
		r := routeOf(t, reach.Straight{Length: 100}, reach.Bend{Angle: math.Pi / 2, Radius: 1, Plane: plane}, reach.Straight{Length: 100})
		lines := PlotRoute(r, q.Maybe[q.Length]{}, metricUnits, 60, 20)
		plan := lines[1 : len(lines)-1] // between what is said of them
		d, e := placesOf(plan, "D"), placesOf(plan, "E")
		require.Len(t, d, 1)
		require.Len(t, e, 1)
		require.Equal(t, up, e[0][1] < d[0][1])
		wide, tall := e[0][0]-d[0][0], e[0][1]-d[0][1]
		require.InDelta(t, wide, 2*math.Abs(float64(tall)), 2)
		require.Contains(t, lines[len(lines)-1], "level all the way")
	}
}

func TestRouteIsDrawnWithinItsRoom(t *testing.T) {
	r := routeOf(t, reach.Straight{Length: 310}, reach.Bend{Angle: math.Pi / 2, Radius: 1.2}, reach.Straight{Length: 420, Slope: 0.026},
		reach.Bend{Angle: math.Pi / 2, Radius: 1.2}, reach.Straight{Length: 180, Slope: -0.03})
	for w := range 130 {
		for h := range 40 {
			lines := PlotRoute(r, q.Known(q.Length(500)), metricUnits, w, h)
			require.LessOrEqual(t, len(lines), max(h, 0))
			for _, line := range lines {
				require.LessOrEqual(t, lipgloss.Width(line), w)
			}
			if len(lines) > 0 {
				text := strings.Join(lines[1:], "\n")
				require.Contains(t, text, "X", fmt.Sprint(w, "x", h))
				require.True(t, w < 60 || strings.Contains(text, "left and right in turn"))
			}
		}
	}
	require.Empty(t, PlotRoute(r, q.Maybe[q.Length]{}, metricUnits, 20, 30))
}
