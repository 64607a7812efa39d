package draw

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// The plot's expected distance is the integral of the expected speed: at half a metre a second
// 300 m in ten minutes. A run at just that speed covers it.
func TestPlotRun(t *testing.T) {
	start := time.Date(2026, 5, 14, 8, 0, 0, 0, time.UTC)
	trace := RunTrace{Expected: []Spot{{0, 0.5, true}, {1000, 0.5, true}}, Start: run.Start{Mark: session.Mark{At: start}}, Now: start.Add(10 * time.Minute)}
	for i := range 10 {
		s := run.State{At: start.Add(time.Duration(i+1) * time.Minute), In: q.Known(q.Length(30 * (i + 1))), Speed: q.Known(q.Speed(0.5))}
		trace.View.Log = append(trace.View.Log, s)
	}
	lines := PlotRun(trace, 80, 24)
	require.Equal(t, "o in, m   . as expected", lines[0])
	require.Contains(t, lines[1], "300 |")
	require.NotContains(t, strings.Join(lines[1:12], ""), ".", "all behind the way that was gone")
	require.Contains(t, strings.Join(lines, "\n"), "30 |", "m/min")
	way := expectedWay(curve{places: trace.Expected}, 10, "m")
	require.InDelta(t, 300, way[len(way)-1].Y, 1e-6)
	require.Empty(t, PlotRun(trace, 10, 3))
}
