package reach

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// The jobs are invented. Their figures were worked out by a reference program of the same
// equations, written apart from this one: "reference program" in these tests.

const degree = math.Pi / 180

func route(t testing.TB, sections ...Section) Route {
	t.Helper()
	r, err := NewRoute(sections)
	require.NoError(t, err)
	return r
}

// spread is a route of some length with right-angled level bends evenly along it.
func evenly(t testing.TB, length float64, bends int, radius float64) Route {
	t.Helper()
	straight := Straight{Length: q.Length((length - float64(bends)*math.Pi/2*radius) / float64(bends+1))}
	var all []Section
	for range bends {
		all = append(all, straight, Bend{Angle: math.Pi / 2, Radius: q.Length(radius)})
	}
	return route(t, append(all, straight)...)
}

func straight(t testing.TB, length float64) Route { return evenly(t, length, 0, 1) }

func bar(p float64) q.Pressure { return q.From[q.Pressure](p, "bar") }

func air(p float64) Air { return Air{Inlet: bar(p), Temperature: 15, Ambient: StandardAmbient} }

func waves(amplitude, period float64) q.Maybe[Waves] {
	return q.Known(Waves{q.Length(amplitude), q.Length(period)})
}

// jobOf returns one of the invented cases A to H.
func jobOf(t testing.TB, name string) Job {
	t.Helper()
	a := Job{Cable{0.012, 0.115, 2.0}, 0.026, air(8), 0.10, Push{250, 300, 0}, waves(0.05, 10), evenly(t, 1500, 6, 1), ContactAlways}
	switch name {
	case "A":
	case "B":
		return Job{Cable{0.006, 0.028, 0.060}, 0.008, air(10), 0.10, Push{60, 100, 0}, waves(0.02, 4), evenly(t, 1200, 8, 0.5), ContactAlways}
	case "C":
		r := route(t, Straight{Length: 300}, Bend{Angle: 90 * degree, Radius: 1.5}, Straight{400, 1.5 * degree}, Bend{Angle: 45 * degree, Radius: 1.5},
			Straight{Length: 300}, Bend{Angle: 90 * degree, Radius: 1.5}, Straight{300, -1.5 * degree}, Bend{Angle: 90 * degree, Radius: 1.5}, Straight{Length: 700})
		return Job{Cable{0.0145, 0.170, 5.0}, 0.033, air(9), 0.10, Push{400, 500, 0}, waves(0.05, 12), r, ContactAlways}
	case "D":
		return Job{Cable{0.010, 0.085, 0.80}, 0.026, air(7), 0.22, Push{180, 300, 0}, waves(0.05, 10), evenly(t, 1000, 14, 0.6), ContactAlways}
	case "E":
		return Job{Cable{0.0018, 0.0026, 0.0010}, 0.0035, air(10), 0.20, Push{6, 10, 0}, q.Maybe[Waves]{}, evenly(t, 600, 6, 0.15), ContactAlways}
	case "F":
		a.Air.FreeAir = q.Known(q.From[q.FlowRate](1.2, "m³/min"))
	case "G":
		a.Friction = 0.15
	case "H":
		return Job{Cable{0.007, 0.038, 0.100}, 0.008, air(10), 0.12, Push{80, 120, 0}, waves(0.02, 4), evenly(t, 1200, 8, 0.5), ContactAlways}
	default:
		require.Fail(t, "no case "+name)
	}
	return a
}

func balanceOf(t testing.TB, j Job) *balance {
	t.Helper()
	require.NoError(t, j.Check())
	return newBalance(j)
}

func found(t testing.TB, j Job) Result {
	t.Helper()
	r, err := Find(j)
	require.NoError(t, err)
	return r
}

// near requires a figure to a relative tolerance.
func near(t testing.TB, want, got, part float64, about ...any) {
	t.Helper()
	if len(about) == 0 {
		about = []any{"%v", want}
	}
	require.InDelta(t, want, got, part*math.Max(math.Abs(want), 1e-12), about...)
}
