package reach

import (
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func courseOf(t testing.TB, name string) *Course {
	t.Helper()
	c, err := NewCourse(jobOf(t, name))
	require.NoError(t, err)
	return c
}

// All of these figures are the reference program's.
func TestDriveAtAPlace(t *testing.T) {
	for _, tt := range []struct {
		name        string
		head, drive float64
		within      float64
	}{
		{"A", 900, 79.775, 0.01}, {"A", 1500, 98.02, 0.02}, {"B", 1200, 34.76, 0.02}, {"C", 2008.2, 207.15, 0.02}, {"E", 600, 2.38, 0.01}, {"G", 787.5, 98.4 + 90.48, 0.15},
	} {
		j := jobOf(t, tt.name)
		push, known := courseOf(t, tt.name).Drive(Moment{Head: min(j.Route.Length(), q.Length(tt.head)), Inlet: j.Air.Inlet, Temperature: j.Air.Temperature}, j.Friction).Get()
		require.True(t, known)
		require.InDelta(t, tt.drive, float64(push), tt.within, "reference program, case %s at %v m", tt.name, tt.head)
	}
	_, known := courseOf(t, "D").Drive(Moment{Head: 500, Inlet: bar(7), Temperature: 15}, 0.22).Get()
	require.False(t, known, "locked")
}

// Speeds with 1 m/s at most; the reference program's.
func TestFastest(t *testing.T) {
	for _, tt := range []struct {
		name        string
		head, speed float64
	}{{"B", 600, 1}, {"B", 1200, 0.8554}, {"D", 200, 1}, {"D", 215, 0.01954}, {"G", 400, 1}, {"G", 700, 0.7449}, {"G", 780, 0.2008}} {
		require.InDelta(t, tt.speed, float64(courseOf(t, tt.name).Fastest(q.Length(tt.head))), 0.004, "reference program, case %s at %v m", tt.name, tt.head)
	}
}

// It rises with friction, and where nothing can be meant it is not known. What was asked
// before changes nothing.
func TestDriveProperties(t *testing.T) {
	c := courseOf(t, "A")
	for head := 50.0; head <= 1500; head += 50 {
		for _, speed := range []float64{0, 0.3, 1} {
			m := Moment{q.Length(head), q.Speed(speed), bar(8), 15}
			before := -1e9
			for mu := 0.02; mu < 0.2; mu += 0.01 {
				push, known := c.Drive(m, mu).Get()
				if !known {
					break
				}
				require.Greater(t, float64(push), before, "at %v m", head)
				before = float64(push)
				again, _ := courseOf(t, "A").Drive(m, mu).Get()
				require.InDelta(t, float64(again), float64(push), 1e-9)
			}
		}
	}
	for _, m := range []Moment{{-1, 0, bar(8), 15}, {1501, 0, bar(8), 15}, {10, -1, bar(8), 15}, {10, 0, bar(80), 15}, {10, 0, bar(8), 400}} {
		require.False(t, c.Drive(m, 0.1).Known(), "%+v", m)
	}
	require.False(t, c.Drive(Moment{10, 0, bar(8), 15}, 5).Known())
	require.Zero(t, courseOf(t, "D").Fastest(900), "it never gets there")
}
