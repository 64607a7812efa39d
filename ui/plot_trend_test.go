package ui

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	q "brinkmark/session/quantity"
)

// A straight line of settings is drawn as one: each dot stands in the row and column that
// proportion gives, worked out here by hand for a plane of 40 to 60 degrees and 0 to 100.
func TestPlotTrendProportions(t *testing.T) {
	tr := trend{degrees: "°F", speedUnit: "ft/min", legend: "a Rig 2"}
	for _, d := range [][2]float64{{40, 100}, {45, 75}, {50, 50}, {55, 25}, {60, 0}} {
		tr.dots = append(tr.dots, trendDot{d[0], d[1], 'a'})
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
	tr := trend{degrees: "°C", speedUnit: "m/min", legend: strings.Repeat("a Rig 2  ", 30)}
	tr.dots = []trendDot{{-12, 30, 'a'}, {-12, 30, 'b'}, {31, 3, markOne}, {math.Pi, 12, 'z'}}
	tr.line = []trendDot{{40, 2, markDropTo}}
	for w := range 140 {
		for h := range 50 {
			lines := PlotTrend(tr, w, h)
			require.LessOrEqual(t, len(lines), max(h, 0))
			for _, line := range lines {
				require.LessOrEqual(t, len([]rune(line)), w)
			}
			if w >= 48 && h >= 12 {
				require.Contains(t, strings.Join(lines, "\n"), string(markOne))
				require.Contains(t, strings.Join(lines[1:h-h/4-2], "\n"), string(markSeveral), "two at one place")
			}
		}
	}
	require.Nil(t, PlotTrend(trend{}, 80, 24))
}

// Readings that are no speed are never converted, and those of another control left out.
func TestReadingIn(t *testing.T) {
	for _, row := range []struct {
		text, unit string
		want       float64
		ok         bool
	}{
		{"95 ft/min", "m/min", 95 * 0.3048, true}, // a foot is 0.3048 m: international yard and pound agreement, 1959
		{"30 m/min", "ft/min", 30 / 0.3048, true},
		{"7 notches", "notches", 7, true},
		{"7 notches", "ft/min", 0, false},
		{"95 ft/min", "notches", 0, false},
		{"95 ft/min", "", 0, false},
	} {
		r, err := q.ParseReading(row.text)
		require.NoError(t, err)
		v, ok := readingIn(r, row.unit)
		require.Equal(t, row.ok, ok, row)
		if row.ok {
			require.InDelta(t, row.want, v, 1e-9)
		}
	}
}

// Each rig has a mark of its own, as far as there are letters.
func TestRigLetters(t *testing.T) {
	var records []*profiles.Listed
	for i := range 40 {
		name := "Rig " + string(rune('A'+i%30))
		records = append(records, &profiles.Listed{Rig: name}, &profiles.Listed{Rig: " " + strings.ToUpper(name)})
	}
	l := rigLetters(records)
	require.Len(t, l.of, 30)
	seen := map[rune]int{}
	for _, mark := range l.of {
		seen[mark]++
	}
	require.Equal(t, 30-len(rigMarks), seen[markOthers])
	require.Contains(t, l.legend, fmt.Sprintf("%d other rigs", 30-len(rigMarks)))
	for _, mark := range rigMarks {
		require.Equal(t, 1, seen[mark])
	}
}
