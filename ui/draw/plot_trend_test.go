package draw

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A straight line of settings is drawn as one: each dot stands in the row and column that
// proportion gives, worked out here by hand for a plane of 40 to 60 degrees and 0 to 100.
func TestPlotTrendProportions(t *testing.T) {
	tr := Trend{Degrees: "°F", SpeedUnit: "ft/min", Legend: "a Rig 2"}
	for _, d := range [][2]float64{{40, 100}, {45, 75}, {50, 50}, {55, 25}, {60, 0}} {
		tr.Dots = append(tr.Dots, TrendDot{d[0], d[1], 'a'})
	}
	const columns, rows = 41, 21 // half a degree a column, five a row
	lines := PlotTrend(tr, columns+plotMargin+1, rows+4)
	require.Len(t, lines, rows+4)
	for i := range 5 {
		at := lines[1+5*i]
		require.Equal(t, byte('a'), at[plotMargin+1+10*i], "dot %d in %q", i, at)
		require.Equal(t, 1, strings.Count(at[plotMargin:], "a"))
	}
	require.Equal(t, "     100 |a", lines[1])
	require.True(t, strings.HasSuffix(lines[rows+2], "60"), lines[rows+2])
	require.Contains(t, lines[rows+3], "a Rig 2")
}

func TestPlotTrendSizes(t *testing.T) {
	tr := Trend{Degrees: "°C", SpeedUnit: "m/min", Legend: strings.Repeat("a Rig 2  ", 30)}
	tr.Dots = []TrendDot{{-12, 30, 'a'}, {-12, 30, 'b'}, {31, 3, MarkOne}, {math.Pi, 12, 'z'}}
	tr.Line = []TrendDot{{40, 2, MarkDropTo}}
	for w := range 140 {
		for h := range 50 {
			lines := PlotTrend(tr, w, h)
			require.LessOrEqual(t, len(lines), max(h, 0))
			for _, line := range lines {
				require.LessOrEqual(t, len([]rune(line)), w)
			}
			if w >= 48 && h >= 12 {
				require.Contains(t, strings.Join(lines, "\n"), string(MarkOne))
				require.Contains(t, strings.Join(lines[1:h-h/4-2], "\n"), string(markSeveral), "two at one place")
			}
		}
	}
	require.Nil(t, PlotTrend(Trend{}, 80, 24))
}
