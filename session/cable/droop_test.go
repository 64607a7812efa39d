package cable

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func TestDroopSolve(t *testing.T) {
	plain := Droop{Overhang: 1, Drop: 0.25, Mass: 0.110}
	b, err := plain.Solve()
	require.NoError(t, err)
	ruler := Droop{Overhang: 0.4, Drop: 0.0898177, Mass: q.LinearDensity(0.3032 / 0.4 / standardGravity)}
	r, err := ruler.Solve()
	require.NoError(t, err)
	checkRows(t, []row{
		{"1 m, 110 kg/km, 0.25 m", float64(b.Stiffness), 0.512093, 6e-7, "derived here; 0.539366 by the small-drop formula"},
		{"error per mm", b.ErrorPerMM, 1.108 / 250, 2e-6, "derived here"},
		{"steel ruler 25 × 0.4 mm, 194.3 GPa", float64(r.Stiffness), 194.3e9 * 0.025 * 0.4e-3 * 0.4e-3 * 0.4e-3 / 12, 1e-7,
			"load 1.87257 derived here from the figures of Beléndez, Neipp & Beléndez 2003, Int. J. Engng Ed. 19(6), 885–892; the numbers from memory"},
	})
	require.False(t, b.SetRadius.Known())
	require.Equal(t, []string{"the set from the reel is not taken out: turn the cable half round and read the drop again"}, b.Warnings)
}

func TestDroopSolveTurned(t *testing.T) {
	d := Droop{Overhang: 1, Drop: -0.00034, Turned: q.Known(q.Length(0.44318)), Mass: 0.110}
	b, err := d.Solve()
	require.NoError(t, err)
	checkRows(t, []row{
		{"stiffness", float64(b.Stiffness), 1.0787315 / 2, 5e-6, "derived here: load 2.000000"},
		{"set radius", float64(b.SetRadius.Or(0)), 2, 1e-4, "derived here: overhang over set radius 0.5"},
	})
	require.Empty(t, b.Warnings)

	d.Drop, d.Turned = d.Turned.Or(0), q.Known(d.Drop)
	swapped, err := d.Solve()
	require.NoError(t, err)
	require.Equal(t, b, swapped, "which side comes first makes no difference")
}

func TestDroopSetTooSmallToRead(t *testing.T) {
	b, err := Droop{Overhang: 1, Drop: 0.2500, Turned: q.Known(q.Length(0.2505)), Mass: 0.110}.Solve()
	require.NoError(t, err)
	require.False(t, b.SetRadius.Known())
	require.Empty(t, b.Warnings)
}

func TestDroopErrorPerMMIsTheWorst(t *testing.T) {
	const mm q.Length = 1e-3
	d := Droop{Overhang: 0.8, Drop: 0.3, Turned: q.Known(q.Length(0.1)), Mass: 0.118}
	b, err := d.Solve()
	require.NoError(t, err)
	worst := 0.0
	for _, wrong := range [][2]q.Length{{mm, mm}, {mm, -mm}, {-mm, mm}, {-mm, -mm}} {
		other, err := Droop{d.Overhang, d.Drop + wrong[0], q.Known(d.Turned.Or(0) + wrong[1]), d.Mass}.Solve()
		require.NoError(t, err)
		worst = math.Max(worst, math.Abs(float64(other.Stiffness/b.Stiffness)-1))
	}
	require.InEpsilon(t, worst, b.ErrorPerMM, 0.03)
}

func TestDroopWarnings(t *testing.T) {
	none := q.Maybe[q.Length]{}
	for _, tt := range []struct {
		name   string
		drop   q.Length
		turned q.Maybe[q.Length]
		want   string // the first warning, empty when there is none
	}{
		{"shallow", 0.05, q.Known(q.Length(0.05)), "the drop is only 5 % of the overhang, so a misread millimetre counts for much: lengthen the overhang until it is 10 % to 50 %"},
		{"deep", 0.62, q.Known(q.Length(0.62)), "the drop is 62 % of the overhang, where it tells little of the stiffness: shorten the overhang until it is 10 % to 50 %"},
		{"deep on one side", 0.55, q.Known(q.Length(0.3)), "the drop is 55 % of the overhang, where it tells little of the stiffness: shorten the overhang until it is 10 % to 50 %"},
		{"strong set", 0.44, q.Known(q.Length(-0.05)), "the set from the reel is strong: straighten the cable and measure a shorter overhang"},
		{"one side", 0.3, none, "the set from the reel is not taken out: turn the cable half round and read the drop again"},
		{"edge low", 0.1, q.Known(q.Length(0.1)), ""},
		{"edge high", 0.5, q.Known(q.Length(0.5)), ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b, err := Droop{1, tt.drop, tt.turned, 0.118}.Solve()
			require.NoError(t, err)
			if tt.want == "" {
				require.Empty(t, b.Warnings)
				return
			}
			require.Equal(t, tt.want, b.Warnings[0])
		})
	}
}

func TestDroopErrors(t *testing.T) {
	none := q.Maybe[q.Length]{}
	for _, tt := range []struct {
		name string
		d    Droop
		want string
	}{
		{"zero mass", Droop{1, 0.25, none, 0}, "mass: 0 kg/km: must be from 0.1 kg/km to 50000 kg/km"},
		{"kg/km taken for kg/m", Droop{1, 0.25, none, 110}, "mass: 110000 kg/km: must be from 0.1 kg/km to 50000 kg/km"},
		{"no overhang", Droop{0, 0.25, none, 0.11}, "overhang: 0 m: must be from 0.05 m to 20 m"},
		{"longer than the overhang", Droop{1, 1.2, none, 0.11}, "drop: 1200 mm: must be from 20 mm to 800 mm, 2 % to 80 % of the overhang"},
		{"no drop", Droop{1, 0, none, 0.11}, "drop: 0 mm: must be from 20 mm to 800 mm, 2 % to 80 % of the overhang"},
		{"turned too deep", Droop{1, 0.3, q.Known(q.Length(0.9)), 0.11}, "drop turned: 900 mm: must be from -600 mm to 800 mm, -60 % to 80 % of the overhang"},
		{"mean too small", Droop{1, 0.3, q.Known(q.Length(-0.3)), 0.11}, "mean of the two drops: 0 mm: must be from 20 mm to 800 mm, 2 % to 80 % of the overhang"},
		{"no such cable", Droop{1, 0.8, q.Known(q.Length(-0.6)), 0.11}, "drop and drop turned: 800 mm and -600 mm: no cable of one stiffness and one set hangs so"},
		{"no number", Droop{1, q.Length(math.NaN()), none, 0.11}, "drop: NaN: must be from 20 mm to 800 mm, 2 % to 80 % of the overhang"},
		{"too limp", Droop{0.05, 0.04, none, 0.0001}, "bending stiffness: 0.000000007523 N·m²: must be from 0.000001 N·m² to 1000000 N·m²"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b, err := tt.d.Solve()
			require.EqualError(t, err, tt.want)
			require.Zero(t, b)
		})
	}
}

// A cable twice as heavy and stiff droops the same; twice the lengths at the same
// shape mean eight times the stiffness.
func TestDroopScaling(t *testing.T) {
	solve := func(overhang, drop q.Length, mass q.LinearDensity) float64 {
		b, err := Droop{overhang, drop, q.Known(drop * 0.7), mass}.Solve()
		require.NoError(t, err)
		return float64(b.Stiffness)
	}
	base := solve(0.7, 0.2, 0.118)
	require.InEpsilon(t, 2*base, solve(0.7, 0.2, 0.236), 1e-9)
	require.InEpsilon(t, 8*base, solve(1.4, 0.4, 0.118), 1e-9)
	require.Greater(t, base, solve(0.7, 0.21, 0.118))
}

func FuzzDroop(f *testing.F) {
	f.Add(1.0, 0.25, 0.0, false, 0.110)
	f.Add(1.0, 0.44318, -0.00034, true, 0.110)
	f.Add(1.0, 0.8, -0.6, true, 0.110)
	f.Fuzz(func(t *testing.T, overhang, drop, turned float64, two bool, mass float64) {
		d := Droop{Overhang: q.Length(overhang), Drop: q.Length(drop), Mass: q.LinearDensity(mass)}
		if two {
			d.Turned = q.Known(q.Length(turned))
		}
		b, err := d.Solve()
		if err != nil {
			require.Zero(t, b)
			return
		}
		require.NoError(t, StiffnessRange.Check(b.Stiffness))
		require.True(t, b.ErrorPerMM > 0 && !math.IsInf(b.ErrorPerMM, 0))
		radius, known := b.SetRadius.Get()
		require.True(t, !known || radius > 0 && !math.IsInf(float64(radius), 0))
	})
}
