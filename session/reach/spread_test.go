package reach

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func source() *rand.Rand { return rand.New(rand.NewPCG(1, 2)) }

func TestSpread(t *testing.T) {
	j := jobOf(t, "G")
	var told []int
	r, err := Spread(j, UsualDoubt(j.Friction), 400, source(), func(done, of int) {
		require.Equal(t, 400, of)
		told = append(told, done)
	})
	require.NoError(t, err)
	require.Len(t, told, 400)
	require.Equal(t, 400, told[399])
	require.Less(t, r.Low, r.Likely)
	require.Less(t, r.Likely, r.High)
	require.InDelta(t, 813.3, float64(r.Likely), 1.5, "reference program")
	require.Equal(t, "friction", r.Inputs[0].Of, "the least known of all matters most")
	require.Less(t, r.EndShare, 0.2)

	again, err := Spread(j, UsualDoubt(j.Friction), 400, source(), nil)
	require.NoError(t, err)
	require.Equal(t, r, again, "the same samples, however many work at them")

	narrow, err := Spread(j, Doubt{j.Friction, j.Friction, 0, 0, 0, 0}, 50, source(), nil)
	require.NoError(t, err)
	require.Equal(t, r.Likely, narrow.Low, "with no doubt but the contact")
	require.Equal(t, "contact", narrow.Inputs[0].Of)

	sure, err := Spread(jobOf(t, "E"), Doubt{0.19, 0.21, 0, 0, 0, 0}, 50, source(), nil)
	require.NoError(t, err)
	require.InDelta(t, 1, sure.EndShare, 1e-9)
	require.Equal(t, sure.Low, sure.High, "capped at the route")

	for _, d := range []Doubt{{FrictionLow: 0.2, FrictionHigh: 0.3}, {FrictionLow: 0.1, FrictionHigh: 0.12}} {
		_, err = Spread(j, d, 10, source(), nil)
		require.ErrorContains(t, err, "friction.")
	}
}

func TestTriangle(t *testing.T) {
	require.InDelta(t, 1, triangle(1, 2, 4, 0), 1e-12)
	require.InDelta(t, 2, triangle(1, 2, 4, 1.0/3), 1e-12, "a third lies below the mode")
	require.InDelta(t, 4, triangle(1, 2, 4, 1), 1e-12)
	require.InDelta(t, 2, triangle(2, 2, 2, 0.7), 1e-12)
}

func TestAdvise(t *testing.T) {
	j := jobOf(t, "G")
	h, err := Advise(j, Ratings{Compressor: q.Known(bar(12)), Hose: q.Known(bar(14))})
	require.NoError(t, err)

	mu, known := h.Friction.Get()
	require.True(t, known)
	at := j
	at.Friction = mu
	require.True(t, passes(at), "with it the end is reached")
	at.Friction = mu * 1.02
	require.False(t, passes(at), "and with hardly more it is not")

	more, known := h.Pressure.Get()
	require.True(t, known)
	needed, known := more.Needed.Get()
	require.True(t, known)
	require.LessOrEqual(t, needed, bar(12), "never above the weakest link")
	at = j
	at.Air.Inlet = needed
	require.True(t, passes(at))

	require.False(t, h.NeededPush.Known(), "no push helps where it locks")
	require.False(t, h.OtherEnd.ReachesEnd, "it is the same from either end")
	require.InDelta(t, 813.3, float64(h.OtherEnd.Reach), 1.5)

	second, known := h.Second.Get()
	require.True(t, known)
	require.True(t, second.ReachesEnd)
	first, rest := j, j
	first.Route, rest.Route = j.Route.SplitAt(second.At)
	require.True(t, passes(first))
	require.True(t, passes(rest))

	h, err = Advise(jobOf(t, "A"), Ratings{})
	require.NoError(t, err)
	near(t, 98.02, float64(h.NeededPush.Or(0)), 0.01, "reference program: the drive at the end")
	require.False(t, h.Pressure.Known(), "without a rating no more pressure is advised")
	require.False(t, h.Second.Known(), "none is needed")

	hill := jobOf(t, "A") // one end is better where the route climbs
	hill.Friction = 0.12
	hill.Route = route(t, Straight{Length: 200}, Bend{90 * degree, 1, Level}, Straight{700, 4 * degree}, Straight{Length: 300})
	h, err = Advise(hill, Ratings{})
	require.NoError(t, err)
	require.Greater(t, float64(h.OtherEnd.Reach), float64(found(t, hill).Reach))

	_, err = Advise(j, Ratings{Duct: q.Known(q.Pressure(1))})
	require.ErrorContains(t, err, "limits.duct: pressure rating")
}

func benchmarkJob(b *testing.B, length float64, bends int, mu float64) Job {
	j := jobOf(b, "A")
	j.Route, j.Friction = evenly(b, length, bends, 1), mu
	return j
}

// One reach of 2 km with 20 bends, arriving and stuck.
func BenchmarkReach(b *testing.B) {
	for name, mu := range map[string]float64{"arrives": 0.06, "sticks": 0.12} {
		b.Run(name, func(b *testing.B) {
			j := benchmarkJob(b, 2000, 20, mu)
			var r Result
			for b.Loop() {
				r, _ = Find(j)
			}
			b.ReportMetric(float64(r.Marches), "marches/op")
			b.ReportMetric(float64(r.Forces), "forces/op")
		})
	}
}

func BenchmarkSpread(b *testing.B) {
	j := benchmarkJob(b, 2000, 20, 0.1)
	for b.Loop() {
		_, _ = Spread(j, UsualDoubt(0.1), 1000, source(), nil)
	}
}

// Twice the route, with twice the bends, costs no more than four times the work.
func TestWorkGrowsNoFasterThanTheSquare(t *testing.T) {
	work := func(length float64, mu float64) (whole, march float64) {
		j := jobOf(t, "A")
		j.Route, j.Friction = evenly(t, length, int(length/100), 1), mu
		r := found(t, j)
		require.Equal(t, mu < 0.1, r.ReachesEnd)
		return float64(r.Forces), float64(r.Forces) / float64(r.Marches)
	}
	for _, length := range []float64{500, 1000, 2000} {
		once, _ := work(length, 0.03)
		twice, _ := work(2*length, 0.03)
		require.LessOrEqual(t, twice, 4*once, "%v m", length)
	}
	for _, length := range []float64{2000, 4000} {
		_, once := work(length, 0.12)
		_, twice := work(2*length, 0.12)
		require.LessOrEqual(t, twice, 2.2*once, "one march, where it sticks, %v m", length)
	}
}
