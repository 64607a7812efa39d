package reach

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// still is a stream that falls by so much per metre at the inlet's pressure.
func still(fall float64) stream { return stream{inlet: 9e5, atHead: 1e5, fall: 2 * 9e5 * fall} }

func TestAirForce(t *testing.T) {
	b := balanceOf(t, jobOf(t, "A"))
	near(t, 0.131947, 1000*b.shear, 1e-5, "shear at 1000 Pa/m, worked out apart")
	near(t, 0.113097, 1000*b.share, 1e-5, "pressure at 1000 Pa/m, worked out apart")
	near(t, 0.245044, b.with(still(1000), 0).help(0), 1e-5, "(π/4)·d·D·1000 Pa/m")
	shear := 1000 * (0.026 - 0.012) / 4 // on either wall, Pa
	near(t, 0.417832, shear*math.Pi*(0.026+0.012), 1e-5, "both walls together")
	near(t, 1000*b.pipe.ringArea(), shear*math.Pi*(0.026+0.012), 1e-12, "balance of the air: shear on both walls is fall times area")
	for _, tt := range []struct{ d, gauge, want float64 }{
		{12, 8, 90.478}, {6, 10, 28.274}, {8.5, 10, 56.745}, {10, 10, 78.540}, {14.5, 10, 165.13},
	} {
		b.pipe.cable = tt.d / 1000
		near(t, tt.want, b.entry(stream{inlet: tt.gauge*1e5 + 101325}), 1e-4, "pressure times area, worked out apart")
	}
}

func TestPureAirLimit(t *testing.T) {
	const p1 = 9.01325e5
	length := math.Pi * 0.012 * 0.026 * (p1*p1 - 101325.0*101325.0) / (8 * 0.1 * 0.115 * gravity * p1)
	near(t, 966.838, length, 1e-5, "π·d·D·(p₁²−p_a²)/(8·µ·w·p₁), attributed to papers of the 1980s from memory")
	j := jobOf(t, "A")
	j.Route, j.Waves = straight(t, length), q.Maybe[Waves]{}
	b := balanceOf(t, j)
	b.pipe.steady = true
	near(t, 0.1*0.115*gravity, b.run(length, 0).help(0), 1e-6, "there the air just carries the cable at the inlet")
}

func TestStraightWithoutCoils(t *testing.T) {
	j := jobOf(t, "A")
	j.Route, j.Waves, j.Contact = straight(t, 1000), q.Maybe[Waves]{}, ContactNever
	b := balanceOf(t, j)
	b.pipe.steady = true
	push, _ := b.required(1000)
	near(t, -83.2589, push, 2e-6, "µ·w·L − (π/4)·d·D·(p₁−p_a)")
	drive := push + b.entry(b.run(1000, 0).air)
	require.InDelta(t, 7.2190, drive, 2e-4, "µ·w·L − (π/4)·d·(D−d)·(p₁−p_a): the seal counts once")
	push, _ = b.required(500)
	near(t, -55.3894, push, 2e-5, "reference program")
	near(t, 4.45172e5, b.run(500, 0).air.atHead, 1e-5, "reference program")
}

// pushed carries a push back along one piece without air.
func pushed(t testing.TB, j Job, p piece, push float64) float64 {
	t.Helper()
	j.Air.Inlet = 0
	b := balanceOf(t, j)
	return b.run(0, 0).along(p, span{p.to, p.from, false}, push, nil)
}

func arc(angle, radius float64) piece { return piece{to: angle * radius, sideways: 1 / radius} }

func TestBends(t *testing.T) {
	j := jobOf(t, "A")
	j.Waves, j.Contact = q.Maybe[Waves]{}, ContactNever
	j.Cable.Mass = 1e-4 // as good as none
	for mu, want := range map[float64]float64{0.1: 1.17009, 0.2: 1.36911, 0.3: 1.60198} {
		j.Friction = mu
		near(t, want, pushed(t, j, arc(math.Pi/2, 1), 100)/100, 1e-5, "e^(µφ), right angle")
		near(t, -1/want, pushed(t, j, arc(math.Pi/2, 1), -100)/100, 1e-5, "a pull falls as a push rises")
	}
	j.Friction = 0.1
	push := 100.0
	for range 6 {
		push = pushed(t, j, arc(math.Pi/2, 1), push)
	}
	near(t, 2.56633, push/100, 2e-5, "e^(6µφ): bends multiply; added they would give 1.942, in degrees 8103")

	j.Cable.Mass = 1.1278 / gravity
	heavy := pushed(t, j, arc(math.Pi/2, 1), 50)
	near(t, 58.5064, heavy, 1e-5, "reference program")
	reach := 50*math.Cosh(0.1*math.Pi/2) + math.Sqrt(50*50+1.1278*1.1278)*math.Sinh(0.1*math.Pi/2)
	near(t, reach, heavy, 1e-6, "T₁·cosh µφ + √(T₁²+(wR)²)·sinh µφ, form of Rifenburg from memory")

	b := balanceOf(t, j)
	near(t, 0.579655, math.Sqrt(24*1*0.014), 1e-6, "length of the passage")
	near(t, 0.1*13.8013, 2*b.bendEnds(1), 1e-5, "four reactions of EI/(R·l), derived here")
}

func TestSlopeAndVerticalBends(t *testing.T) {
	j := jobOf(t, "A")
	j.Waves, j.Contact, j.Friction = q.Maybe[Waves]{}, ContactNever, leastMu
	w := float64(j.Cable.Mass) * gravity
	up := piece{to: 100, slope: 10 * degree}
	got := pushed(t, j, up, 0)
	near(t, 100*w*(math.Sin(10*degree)+leastMu*math.Cos(10*degree)), got, 1e-9, "weight along and across the slope")

	// a sag presses a pushed cable down, a crest lifts it
	j.Friction = 0.2
	sag := pushed(t, j, piece{to: 1, slope: -0.25, upward: 0.5}, 2)
	crest := pushed(t, j, piece{to: 1, slope: 0.25, upward: -0.5}, 2)
	require.Greater(t, sag, crest)
}

func TestWaves(t *testing.T) {
	near(t, 0.0125664, waveTurn(0.05, 10), 1e-5, "8·π·a/λ², worked out apart")
	near(t, 0.0314159, waveTurn(0.02, 4), 1e-5, "8·π·a/λ², worked out apart")
	turn := 0.0 // mean of |y″| over a period of y = a·sin(2πx/λ)
	for i := range 10000 {
		turn += math.Abs(0.05*math.Pow(2*math.Pi/10, 2)*math.Sin(2*math.Pi*(float64(i)+0.5)/10000)) / 10000
	}
	near(t, turn, waveTurn(0.05, 10), 1e-6, "mean curvature of a sine, summed")
	near(t, 0.00853, waveStiffness(2, 0.043, 10), 1e-3, "reference program")
	near(t, 1.0535, waveStiffness(2, 0.043, 3), 1e-4, "reference program")
	require.Zero(t, waveStiffness(2, -0.001, 3), "it lies straight within the bore")
}

func TestCoilPush(t *testing.T) {
	for _, tt := range []struct{ ei, w, r, want float64 }{{2, 1.1278, 0.007, 50.772}, {0.06, 0.2746, 0.001, 11.481}, {5, 1.6671, 0.00925, 84.907}} {
		near(t, tt.want, coilPush(tt.ei, tt.w, tt.r), 1e-4, "2√2·√(EI·w/r), Chen, Lin & Cheatham 1990 from memory")
	}
}

// Without air a push gets this far into a straight level duct, and none further than the limit.
func TestPushOnly(t *testing.T) {
	limit := func(ei, w, r, mu float64) float64 { return math.Pi / mu * math.Sqrt(ei/(w*r)) }
	near(t, 500.04, limit(2, 1.1278, 0.007, 0.1), 1e-4, "(π/µ)·√(EI/(w·r))")
	near(t, 464.39, limit(0.06, 0.2746, 0.001, 0.1), 1e-4, "(π/µ)·√(EI/(w·r))")
	near(t, 565.69, limit(5, 1.6671, 0.00925, 0.1), 1e-4, "(π/µ)·√(EI/(w·r))")

	j := jobOf(t, "A")
	j.Waves, j.Air.Inlet, j.Route = q.Maybe[Waves]{}, 0, straight(t, 1000)
	j.Cable.Mass = 1.1278 / gravity
	for push, want := range map[float64]float64{50: 301.809, 100: 390.318, 250: 454.638} {
		j.Push.Safe = q.Force(push)
		at, all := balanceOf(t, j).reach(balanceOf(t, j).available)
		require.False(t, all)
		require.InDelta(t, want, at, 0.02, "(1/µ)·√(4EI/(wr))·atan(P·√(r/(4EI·w)))")
	}
	r := found(t, j)
	locks, known := r.Stuck.Or(Stuck{}).Locks.Get()
	require.True(t, known)
	require.InDelta(t, 500.04, float64(locks), 2, "the limit for any push")
}
