package push

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

var (
	stoutFriction = Friction{stout, stoutWeight, 0.2}
	looseFriction = Friction{loose, slimWeight, 0.2}
)

func TestFriction(t *testing.T) {
	drive := func(tip q.Force, l q.Length) float64 { return value(stoutFriction.DrivePush(tip, l)) }
	tip := func(f Friction, drive q.Force) float64 { return value(f.TipPush(drive, 3)) }
	lockUp := func(tip q.Force) float64 { return value(stoutFriction.LockUpLength(tip)) }
	unit := 0.2 * lockUp(0) / math.Pi // √(EI/wr)
	checkRows(t, []row{
		{"√(EI/wr)", unit, 13.2881, 5e-5, derived},
		{"lock-up", lockUp(0), 208.729, 5e-4, derived},
		{"lock-up, straight at first", 4.05939 * unit / 0.2, 269.708, 5e-3, derived},
		{"lock-up, weight left out in the helix", 3 * math.Sqrt2 * unit / 0.2, 281.884, 5e-3, "the 3√2 of Wicks, Wardle & Pafitis 2008, through notes"},
		{"nothing at the tip, 100 m", drive(0, 100), 26.8446, 5e-5, derived},
		{"100 N at the tip, 20 m", drive(100, 20), 221.546, 5e-4, derived},
		{"100 N at the tip, by the equation's solver", drive(100, 20), 221.54552, 5e-5, derived},
		{"100 N locks up", lockUp(100), 37.1002, 5e-5, derived},
		{"stout, drive 200 N", tip(stoutFriction, 200), 172.223, 5e-4, derived},
		{"stout, drive 500 N", tip(stoutFriction, 500), 358.263, 5e-4, derived},
		{"stout, drive 1000 N", tip(stoutFriction, 1000), 559.037, 5e-4, derived},
		{"stout, ceiling", value(stoutFriction.TipCeiling(3)), 1269.84, 5e-3, derived},
		{"loose, ceiling", value(looseFriction.TipCeiling(3)), 49.3827, 5e-5, derived},
	})
	require.Greater(t, drive(0, 100), 0.2*float64(stoutWeight)*100, "friction of the helix adds to that of the weight")
}

// Without weight 1/F_tip = 1/F_drive + 1/ceiling. The lightest cable in range comes near.
func TestWeightlessFriction(t *testing.T) {
	for _, tt := range []struct {
		c         Column
		drive     q.Force
		want, tol float64
	}{
		{stout, 200, 172.786, 6e-4}, {stout, 500, 358.744, 6e-4}, {stout, 1000, 559.441, 6e-4},
		{loose, 100, 33.058, 6e-4}, {loose, 200, 39.604, 6e-4},
	} {
		feather := Friction{tt.c, weightRange.Low, 0.2}
		tip := value(feather.TipPush(tt.drive, 3))
		require.InDelta(t, tt.want, tip, tt.tol, derived)
		require.InEpsilon(t, 1/(1/float64(tt.drive)+1/value(feather.TipCeiling(3))), tip, 1e-5)
	}
	// the slim cable's weight takes a little more
	for drive, weightless := range map[q.Force]float64{100: 33.058, 200: 39.604} {
		tip := value(looseFriction.TipPush(drive, 3))
		require.Less(t, tip, weightless)
		require.InEpsilon(t, weightless, tip, 3e-3)
	}
}

func TestLockUp(t *testing.T) {
	force, err := stoutFriction.DrivePush(100, 50) // a tangent past its pole would give -294 N
	require.Zero(t, force)
	var lockUp *LockUpError
	require.True(t, errors.As(err, &lockUp))
	require.InDelta(t, 37.1002, float64(lockUp.Longest), 5e-5, derived)
	require.EqualError(t, err, "push at the tip: 100 N: 50 m of duct lock the cable up, it goes at most 37.1 m")

	_, err = stoutFriction.DrivePush(100, 37.1)
	require.False(t, errors.As(err, &lockUp), "not yet locked up")
	require.ErrorContains(t, err, "must be from 0 N to 100000 N, no drive gives more")
}

func TestFrictionThereAndBack(t *testing.T) {
	for tip := q.Force(0.5); tip < 400; tip *= 1.7 {
		for length := q.Length(0.1); length < 9; length *= 1.6 {
			drive, err := stoutFriction.DrivePush(tip, length)
			require.NoError(t, err)
			require.Greater(t, drive, tip)
			back, err := stoutFriction.TipPush(drive, length)
			require.NoError(t, err)
			require.InEpsilon(t, float64(tip), float64(back), 1e-9)
			more, err := stoutFriction.DrivePush(tip, length*1.1)
			require.NoError(t, err)
			require.Greater(t, more, drive)
		}
	}
	require.Zero(t, value(stoutFriction.TipPush(1, 100)), "friction eats it all")
}

// The equation dF/dx = µ(w + rF²/4EI) itself, in small steps.
func TestDrivePushSolvesTheEquation(t *testing.T) {
	const steps = 200000
	f := 100.0
	for range steps {
		rate := func(f float64) float64 {
			return 0.2 * (float64(stoutWeight) + stout.clearance*f*f/(4*stout.stiffness))
		}
		f += 20.0 / steps * rate(f+10.0/steps*rate(f))
	}
	require.InEpsilon(t, f, value(stoutFriction.DrivePush(100, 20)), 1e-7)
}

func TestCapstan(t *testing.T) {
	checkRows(t, []row{
		{"90°, µ 0.2", value(Capstan(1, 0.2, math.Pi/2)), 1.36911, 5e-6, "capstan equation"},
		{"the other way", value(Capstan(1, 0.2, -math.Pi/2)), 1.36911, 5e-6, "capstan equation"},
		{"no bend", value(Capstan(50, 0.2, 0)), 50, 1e-12, "capstan equation"},
	})
	_, err := Capstan(100, 0.2, 60)
	require.ErrorContains(t, err, "no drive gives more")
	_, err = Capstan(100, -0.2, 1)
	require.EqualError(t, err, "friction coefficient: -0.2: must be from 0.001 to 5")
	_, err = Capstan(-1, 0.2, 1)
	require.EqualError(t, err, "push: -1 N: must be from 0 N to 100000 N")
}

func TestFrictionErrors(t *testing.T) {
	_, err := Friction{stout, stoutWeight, 0}.DrivePush(1, 1)
	require.EqualError(t, err, "friction coefficient: 0: must be from 0.001 to 5")
	_, err = Friction{stout, 0, 0.2}.TipPush(1, 1)
	require.EqualError(t, err, "weight: 0 N/m: must be from 0.0001 N/m to 1000 N/m")
	_, err = stoutFriction.TipPush(-1, 1)
	require.EqualError(t, err, "push: -1 N: must be from 0 N to 100000 N")
	_, err = stoutFriction.TipCeiling(0)
	require.EqualError(t, err, "length of the duct: 0 m: must be from 0.001 m to 100000 m")
}

func TestTraction(t *testing.T) {
	const coulomb = "Coulomb friction on two faces"
	psi := q.From[q.Pressure](60, "psi")
	clamp := q.Force(value(ClampPerGrip(0.025)) * float64(psi))
	checkRows(t, []row{
		{"clamp for 300 N at 0.25", value(ClampFor(300, 0.25)), 600, 1e-12, coulomb},
		{"3300 N at 0.2", value(SlipPush(0.2, 3300)), 1320, 1e-9, coulomb},
		{"3300 N at 0.3", value(SlipPush(0.3, 3300)), 1980, 1e-9, coulomb},
		{"3300 N at 0.5", value(SlipPush(0.5, 3300)), 3300, 1e-9, coulomb},
		{"25 mm cylinder at 60 psi", float64(clamp), 203.067, 5e-4, "pressure times area"},
		{"its slip at 0.3", value(SlipPush(0.3, clamp)), 121.840, 5e-4, coulomb},
	})
	_, err := SlipPush(0, 100)
	require.EqualError(t, err, "friction coefficient: 0: must be from 0.001 to 5")
	_, err = SlipPush(0.3, -1)
	require.EqualError(t, err, "clamp force: -1 N: must be from 0 N to 1000000 N")
	_, err = ClampPerGrip(0)
	require.EqualError(t, err, "bore of the cylinder: 0 mm: must be from 1 mm to 1000 mm")
}

func TestImpact(t *testing.T) {
	const bars = "longitudinal impact of bars, Timoshenko & Goodier, from memory; Hudson & Housner, problem 3.38"
	axial := q.Force(50e9 * math.Pi * 0.0025 * 0.0025 / 4) // a 2.5 mm rod of 50 GPa
	speed := value(WaveSpeed(axial, 0.110))
	checkRows(t, []row{
		{"axial stiffness", float64(axial), 245437, 0.5, derived},
		{"per m/s", value(Impact(1, axial, 0.110)), 164.311, 5e-4, bars},
		{"0.5 m/s", value(Impact(0.5, axial, 0.110)), 82.1554, 5e-5, bars},
		{"twice the speed", value(Impact(1, axial, 0.110)) / value(Impact(0.5, axial, 0.110)), 2, 1e-12, bars},
		{"wave speed", speed, 1493.74, 5e-3, bars},
		{"there and back over 3 m, ms", 1000 * 6 / speed, 4.01678, 5e-6, bars},
		{"steel", value(WaveSpeed(207e9*1e-6, 7850*1e-6)), 5135.12, 5e-3, bars},
		{"steel, per area", value(Impact(1, 207e9*1e-6, 7850*1e-6)) / 1e-6, 4.03107e7, 50, bars},
		{"standing still", value(Impact(0, axial, 0.110)), 0, 0, bars},
	})
	_, err := Impact(1, 0, 0.11)
	require.EqualError(t, err, "axial stiffness: 0 kN: must be from 0.001 kN to 1000000 kN")
	_, err = Impact(-1, axial, 0.11)
	require.EqualError(t, err, "speed: -60 m/min: must be from 0 m/min to 6000 m/min")
	_, err = WaveSpeed(axial, 0)
	require.EqualError(t, err, "mass: 0 kg/km: must be from 0.1 kg/km to 50000 kg/km")
}
