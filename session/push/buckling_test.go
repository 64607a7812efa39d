package push

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func TestBucklingConstants(t *testing.T) {
	checkRows(t, []row{
		{"helix over snaking", HelixComplete / SnakingOnset, 1.8, 0.05, "Wu & Juvkam-Wold 1993: about 1.8 times"},
		{"helix over the average", HelixComplete / HelixAverage, 1.3, 0.05, "Wu & Juvkam-Wold 1993: about 1.3 times"},
		{"helix over snaking, exactly", HelixComplete / SnakingOnset, 1.82843, 5e-6, derived},
		{"helix over the average, exactly", HelixComplete / HelixAverage, 1.29289, 5e-6, derived},
		{"average over snaking", HelixAverage / SnakingOnset, 1.41421, 5e-6, "Ghalambor & Guo 2005, course notes: 2 and 2.828"},
		{"average", HelixAverage, 2.828, 5e-4, "Ghalambor & Guo 2005, course notes"},
		{"complete", HelixComplete, 3.6569, 5e-5, derived},
		{"certain", HelixCertain, 5.6569, 5e-5, derived},
		{"certain over the average", HelixCertain / HelixAverage, 2, 1e-12, "Mitchell 1997, about twice the helical load, through notes"},
	})
}

func TestLongDuctLoad(t *testing.T) {
	load := func(c Column, w q.LineLoad, k float64) float64 { return value(c.LongDuctLoad(k, w)) }
	checkRows(t, []row{
		{"slim, snaking", load(slim, slimWeight, SnakingOnset), 7.67072, 5e-6, derived},
		{"slim, average", load(slim, slimWeight, HelixAverage), 10.8480, 5e-5, derived},
		{"slim, helix", load(slim, slimWeight, HelixComplete), 14.0253, 5e-5, derived},
		{"stout, snaking", load(stout, stoutWeight, SnakingOnset), 28.6686, 5e-5, derived},
		{"stout, average", load(stout, stoutWeight, HelixAverage), 40.5436, 5e-5, derived},
		{"stout, helix", load(stout, stoutWeight, HelixComplete), 52.4185, 5e-5, derived},
		{"loose, snaking", load(loose, slimWeight, SnakingOnset), 2.95246, 5e-6, derived},
		{"loose, average", load(loose, slimWeight, HelixAverage), 4.17541, 5e-6, derived},
		{"loose, helix", load(loose, slimWeight, HelixComplete), 5.39836, 5e-6, derived},
	})
}

// Wicks, Wardle & Pafitis 2008, Int. J. Mech. Sci. 50, an oil well, read through
// stored notes: steel of 207 GPa or composite of 35 GPa, 9.97e-6 m⁴, 140 mm in 222 mm,
// 315 N/m or 16.6 N/m, 2000 m. Both stiffness and weight are divided by ten to come
// into our ranges: lengths are unchanged by that, and loads a tenth.
func TestWicksWell(t *testing.T) {
	const source = "Wicks, Wardle & Pafitis 2008, through notes"
	well, weight := column(0.140, 0.222, 20.7e9*9.97e-6), q.LineLoad(31.5)
	composite := column(0.140, 0.222, 3.5e9*9.97e-6)
	stub, err := well.StubSnaking(2000, weight)
	require.NoError(t, err)
	long := value(well.LongLength(weight))
	average := q.Force(value(well.LongDuctLoad(HelixAverage, weight)))
	helix, err := well.Helix(average)
	require.NoError(t, err)
	straight := 3 * math.Sqrt2 / math.Pi // lock-up with the helix's own weight left out, over ours
	lockUp := func(c Column, w q.LineLoad) float64 { return straight * value(Friction{c, w, 0.3}.LockUpLength(0)) }
	checkRows(t, []row{
		{"half-waves", float64(stub.Waves), 157, 0.5, source},
		{"long", long, 151, 0.5, source},
		{"long, exactly", long, 150.601, 5e-4, derived},
		{"contact at the average load, in weights", float64(helix.Contact / weight), 2, 1e-9, source},
		{"lock-up of steel", lockUp(well, weight), 5700, 50, source},
		{"lock-up of steel, exactly", lockUp(well, weight), 5653.28, 6e-3, derived},
		{"lock-up of composite", lockUp(composite, 1.66), 10100, 50, source},
		{"lock-up of composite, exactly", lockUp(composite, 1.66), 10126.3, 0.06, derived},
		{"snaking", 10 * value(well.LongDuctLoad(SnakingOnset, weight)), 251841, 0.6, derived},
		{"average", 10 * float64(average), 356157, 0.6, derived},
		{"helix", 10 * value(well.LongDuctLoad(HelixComplete, weight)), 460473, 0.6, derived},
	})
	require.False(t, stub.Short)
}

func TestStubLoads(t *testing.T) {
	for _, tt := range []struct {
		name                      string
		c                         Column
		w                         q.LineLoad
		snaking, snakingTol       float64
		halfWaves                 int
		helix, helixTol           float64
		turns                     int
		long, longTol, lift, tol3 float64
	}{
		{"slim", slim, slimWeight, 7.6739, 5e-5, 6, 11.2102, 5e-5, 4, 6.01, 5e-3, 0.470, 5e-4},
		{"stout", stout, stoutWeight, 30.1486, 5e-5, 3, 46.8025, 5e-5, 2, 13.90, 5e-3, 1.088, 5e-4},
		{"loose", loose, slimWeight, 2.9966, 5e-5, 4, 4.2386, 5e-5, 2, 9.68, 5e-3, 0.758, 5e-4},
	} {
		t.Run(tt.name, func(t *testing.T) {
			snake, err := tt.c.StubSnaking(3, tt.w)
			require.NoError(t, err)
			require.InDelta(t, tt.snaking, float64(snake.Push), tt.snakingTol, derived)
			require.Equal(t, tt.halfWaves, snake.Waves)
			require.True(t, snake.Short, "every stub of 3 m is short")
			helix, err := tt.c.StubHelix(3, tt.w)
			require.NoError(t, err)
			require.InDelta(t, tt.helix, float64(helix.Push), tt.helixTol, derived)
			require.Equal(t, tt.turns, helix.Waves)
			require.InDelta(t, tt.long, value(tt.c.LongLength(tt.w)), tt.longTol, derived)
			require.InDelta(t, tt.lift, value(tt.c.LiftOff(tt.w)), tt.tol3, derived)
		})
	}
}

// No whole number of waves gives less, and a long duct gives the long-duct load.
func TestStubLoadIsTheLeast(t *testing.T) {
	for length := 0.2; length < 300; length *= 1.3 {
		l2 := length * length
		least := math.Inf(1)
		for n := 1.0; n < 1000; n++ {
			p := n * n * math.Pi * math.Pi
			least = math.Min(least, p*stout.stiffness/l2+float64(stoutWeight)*l2/(p*stout.clearance))
		}
		stub, err := stout.StubSnaking(q.Length(length), stoutWeight)
		require.NoError(t, err)
		require.InEpsilon(t, least, float64(stub.Push), 1e-12)
		if !stub.Short {
			require.InEpsilon(t, 28.6686, float64(stub.Push), 0.01, derived)
		}
	}
}

func TestGapLoad(t *testing.T) {
	gap := func(ei q.Stiffness, l q.Length, h EndHold) float64 { return value(GapLoad(ei, l, h)) }
	const source = "Euler, with the K of 1.0, 0.7 and 0.5 in Timoshenko & Gere"
	checkRows(t, []row{
		{"2.0, 0.15 m, pinned–pinned", gap(2, 0.15, PinnedPinned), 877.30, 5e-3, source},
		{"2.0, 0.15 m, fixed–pinned", gap(2, 0.15, FixedPinned), 1794.73, 5e-3, derived},
		{"2.0, 0.15 m, fixed–fixed", gap(2, 0.15, FixedFixed), 3509.19, 5e-3, source},
		{"2.0, 0.30 m, pinned–pinned", gap(2, 0.30, PinnedPinned), 219.32, 5e-3, source},
		{"2.0, 0.30 m, fixed–pinned", gap(2, 0.30, FixedPinned), 448.68, 5e-3, derived},
		{"2.0, 0.30 m, fixed–fixed", gap(2, 0.30, FixedFixed), 877.30, 5e-3, source},
		{"0.10, 0.10 m, pinned–pinned", gap(0.1, 0.1, PinnedPinned), 98.70, 5e-3, source},
		{"0.10, 0.10 m, fixed–pinned", gap(0.1, 0.1, FixedPinned), 201.91, 5e-3, derived},
		{"0.10, 0.10 m, fixed–fixed", gap(0.1, 0.1, FixedFixed), 394.78, 5e-3, source},
		{"500 N on the longest gap", gap(2, 0.39738, FixedFixed), 500, 0.02, derived},
		{"factor", gap(1, 1, FixedPinned), 20.1907, 5e-5, "first root of tan x = x, 4.493409"},
		{"K", math.Sqrt(gap(1, 1, PinnedPinned) / gap(1, 1, FixedPinned)), 0.7, 5e-3, "Timoshenko & Gere"},
		{"tan x = x", math.Tan(math.Sqrt(FixedPinned.eulerFactor())), math.Sqrt(FixedPinned.eulerFactor()), 1e-11, "its definition"},
	})
	_, err := GapLoad(2, 0, FixedPinned)
	require.EqualError(t, err, "gap: 0 mm: must be from 1 mm to 10000 mm")
	_, err = GapLoad(0, 0.1, FixedPinned)
	require.EqualError(t, err, "bending stiffness: 0 N·m²: must be from 0.000001 N·m² to 1000000 N·m²")
}

func TestBucklingErrors(t *testing.T) {
	_, err := slim.LongDuctLoad(SnakingOnset, 0)
	require.EqualError(t, err, "weight: 0 N/m: must be from 0.0001 N/m to 1000 N/m")
	_, err = slim.StubSnaking(0, 1)
	require.EqualError(t, err, "length of the duct: 0 m: must be from 0.001 m to 100000 m")
	_, err = slim.LiftOff(q.LineLoad(math.NaN()))
	require.EqualError(t, err, "weight: NaN: must be from 0.0001 N/m to 1000 N/m")
}

// Four times the stiffness or weight, or a quarter of the clearance, doubles the loads.
func TestLongDuctLoadScaling(t *testing.T) {
	base := value(column(0.01, 0.03, 1).LongDuctLoad(SnakingOnset, 1))
	require.InEpsilon(t, 2*base, value(column(0.01, 0.03, 4).LongDuctLoad(SnakingOnset, 1)), 1e-12)
	require.InEpsilon(t, 2*base, value(column(0.01, 0.03, 1).LongDuctLoad(SnakingOnset, 4)), 1e-12)
	require.InEpsilon(t, 2*base, value(column(0.01, 0.015, 1).LongDuctLoad(SnakingOnset, 1)), 1e-12)
}
