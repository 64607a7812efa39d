package draw

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is drawn is what the numbers are.
func TestPlotIsToScale(t *testing.T) {
	straight := curve{symbol: 'o', places: []Spot{{0, 0, true}, {100, 50, true}}}
	scaled(&straight)
	lines := plot([]curve{straight}, 100, "m", 20+plotMargin+1, 13)
	require.Len(t, lines, 13)
	require.Equal(t, "       0 |o", lines[10])
	require.True(t, strings.HasPrefix(lines[0], "      50 |"))
	require.True(t, strings.HasSuffix(lines[0], "o"))
	require.Equal(t, 20+plotMargin+1, len(lines[0]), "the end of the curve is at the end of the axis")
	middle := strings.IndexByte(lines[5], 'o') - plotMargin - 1
	require.InDelta(t, 9.5, middle, 1)
	require.Equal(t, "          0              100 m", lines[12])

	broken := curve{symbol: 'o', places: []Spot{{0, 1, true}, {50, 1, true}, {60, 0, false}}, low: 0, high: 1}
	_, known := broken.at(55)
	require.False(t, known, "nothing is drawn where nothing is known")
	_, known = broken.at(70)
	require.False(t, known)
	y, known := broken.at(25)
	require.True(t, known)
	require.InDelta(t, 1, y, 0)
}
