package reach

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A quarter circle to the left of radius r from the origin eastward ends at (r, r), and a
// whole one where it began: plane geometry. A rise of 30° over 10 m is 5 m: sin 30° = 1/2.
func TestTraceIsPlaneGeometry(t *testing.T) {
	for _, row := range []struct {
		name        string
		sections    []Section
		e, n, h, by float64
	}{
		{"straight", []Section{Straight{Length: 10}}, 10, 0, 0, 1e-9},
		{"rise", []Section{Straight{Length: 10, Slope: math.Pi / 6}}, 10 * math.Sqrt(3) / 2, 0, 5, 1e-9},
		{"left", []Section{Bend{Angle: math.Pi / 2, Radius: 7, Plane: Left}}, 7, 7, 0, 2e-3},
		{"right", []Section{Bend{Angle: math.Pi / 2, Radius: 7, Plane: Right}}, 7, -7, 0, 2e-3},
		{"round", []Section{Bend{Angle: 2 * math.Pi, Radius: 7, Plane: Right}}, 0, 0, 0, 1e-6},
		{"up", []Section{Bend{Angle: math.Pi / 2, Radius: 7, Plane: Up}}, 7, 0, 7, 2e-3},
		{"up and down", []Section{Bend{Angle: math.Pi / 4, Radius: 7, Plane: Up}, Bend{Angle: math.Pi / 4, Radius: 7, Plane: Down}}, 14 * math.Sin(math.Pi/4), 0, 14 * (1 - math.Cos(math.Pi/4)), 2e-3},
		{"S of sides not known", []Section{Bend{Angle: math.Pi / 2, Radius: 7}, Bend{Angle: math.Pi / 2, Radius: 7}}, 14, 14, 0, 4e-3},
	} {
		r, err := NewRoute(row.sections)
		require.NoError(t, err)
		spots, _ := r.Trace()
		end := spots[len(spots)-1]
		require.InDelta(t, row.e, float64(end.East), row.by, row.name)
		require.InDelta(t, row.n, float64(end.North), row.by, row.name)
		require.InDelta(t, row.h, float64(end.Height), row.by, row.name)
		require.InDelta(t, float64(r.Length()), float64(end.At), 1e-9, row.name)
	}
}

// From its other end a route is the same way back: left is right.
func TestTraceOfReversed(t *testing.T) {
	r, err := NewRoute([]Section{Straight{Length: 20}, Bend{Angle: 1, Radius: 3, Plane: Left}, Straight{Length: 5}, Bend{Angle: 0.5, Radius: 3, Plane: Right}, Straight{Length: 9}})
	require.NoError(t, err)
	there, _ := r.Trace()
	back, guessed := r.Reversed().Trace()
	require.False(t, guessed)
	a, b := there[len(there)-1], back[len(back)-1]
	require.InDelta(t, math.Hypot(float64(a.East), float64(a.North)), math.Hypot(float64(b.East), float64(b.North)), 1e-9)
	require.Len(t, back, len(there))
}

// The side of a bend changes nothing but the drawing.
func TestSideChangesNoForce(t *testing.T) {
	forces := map[Plane]Result{}
	for _, plane := range []Plane{Level, Left, Right} {
		r, err := NewRoute([]Section{Straight{Length: 300}, Bend{Angle: math.Pi / 2, Radius: 1.2, Plane: plane}, Straight{Length: 300}})
		require.NoError(t, err)
		got, err := Find(Job{
			Cable: Cable{OuterDiameter: 0.0124, Mass: 0.118, Stiffness: 1.9}, Bore: 0.0345, Friction: 0.13, Route: r,
			Air: Air{Inlet: 9e5, Temperature: 18, Ambient: StandardAmbient}, Push: Push{Safe: 240, Drive: 320},
		})
		require.NoError(t, err)
		forces[plane] = got
	}
	require.Equal(t, forces[Level], forces[Left])
	require.Equal(t, forces[Level], forces[Right])
}
