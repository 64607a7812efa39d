package ask

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/draw"

	q "brinkmark/session/quantity"
)

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
	require.Equal(t, 30-len(draw.RigMarks), seen[draw.MarkOthers])
	require.Contains(t, l.legend, fmt.Sprintf("%d other rigs", 30-len(draw.RigMarks)))
	for _, mark := range draw.RigMarks {
		require.Equal(t, 1, seen[mark])
	}
}
