package push

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func coil(t *testing.T, c Column, push q.Force) Helix {
	t.Helper()
	h, err := c.Helix(push)
	require.NoError(t, err)
	return h
}

func TestHelix(t *testing.T) {
	a, b, c := coil(t, slim, 200), coil(t, stout, 200), coil(t, loose, 200)
	const formula = "derived here; p after Lubinski, Althouse & Logan 1962"
	checkRows(t, []row{
		{"slim, pitch", float64(a.Pitch), 0.19869, 5e-6, formula},
		{"slim, pitches in 3 m", 3 / float64(a.Pitch), 15.10, 5e-3, formula},
		{"slim, radius", float64(a.BendRadius), 0.5000, 5e-5, derived},
		{"slim, moment", a.Moment, 0.200, 5e-4, derived},
		{"slim, contact", float64(a.Contact), 200.0, 0.05, derived},
		{"stout, pitch", float64(b.Pitch), 0.88858, 5e-6, formula},
		{"stout, pitches in 3 m", 3 / float64(b.Pitch), 3.376, 5e-4, formula},
		{"stout, radius", float64(b.BendRadius), 1.90476, 5e-6, derived},
		{"stout, moment", b.Moment, 1.050, 5e-4, derived},
		{"stout, contact", float64(b.Contact), 52.50, 5e-3, derived},
		{"loose, pitch", float64(c.Pitch), 0.19869, 5e-6, formula},
		{"loose, radius", float64(c.BendRadius), 0.07407, 5e-6, derived},
		{"loose, moment", c.Moment, 1.350, 5e-4, derived},
		{"loose, contact", float64(c.Contact), 1350, 0.5, derived},
		{"loose, slope", q.In(c.Slope, "deg"), 23, 0.5, derived},
		{"stout at 500 N, pitch while loading", float64(coil(t, stout, 500).Pitch), 0.56199, 5e-6, formula},
	})
}

func TestMomentDoesNotDependOnStiffness(t *testing.T) {
	a, b := coil(t, stout, 200), coil(t, column(0.012, 0.033, 4), 200)
	require.InEpsilon(t, a.Moment, b.Moment, 1e-12)
	require.InEpsilon(t, 2*float64(a.BendRadius), float64(b.BendRadius), 1e-12)
}

func TestSlack(t *testing.T) {
	checkRows(t, []row{
		{"stout, 500 N", 1000 * value(stout.Slack(500, 3)), 20.672, 5e-4, derived},
		{"loose, 100 N", 1000 * value(loose.Slack(100, 3)), 136.688, 5e-4, derived},
	})
	_, err := column(0.006, 0.033, 0.05).Slack(220, 3)
	require.ErrorContains(t, err, "push: 220 N: must be from 0 N to 211.2 N, where the helix collapses")
	_, err = stout.Slack(500, 0)
	require.EqualError(t, err, "length of the duct: 0 m: must be from 0.001 m to 100000 m")
}

func TestHelixErrors(t *testing.T) {
	for push, want := range map[q.Force]string{
		0:   "push: 0 N: must be from 0.01 N to 100000 N",
		-5:  "push: -5 N: must be from 0.01 N to 100000 N",
		423: "push: 423 N: must be from 0 N to 422.4 N, where the helix collapses",
	} {
		h, err := loose.Helix(push)
		require.EqualError(t, err, want)
		require.Zero(t, h)
	}
}

func TestLoadAtRadius(t *testing.T) {
	at := func(c Column, r q.Length) float64 { return value(c.LoadAtRadius(r)) }
	// smallSlope undoes the factor that makes the formula exact
	smallSlope := func(c Column, r q.Length) float64 { return at(c, r) / math.Sqrt(1-c.clearance/float64(r)) }
	checkRows(t, []row{
		{"slim, 20 OD, small slope", smallSlope(slim, 0.12), 833.333, 5e-4, derived},
		{"stout, 20 OD, small slope", smallSlope(stout, 0.24), 1587.30, 5e-3, derived},
		{"loose, 20 OD, small slope", smallSlope(loose, 0.12), 123.457, 5e-4, derived},
		{"slim, 10 OD, small slope", smallSlope(slim, 0.06), 1666.67, 5e-3, derived},
		{"stout, 10 OD, small slope", smallSlope(stout, 0.12), 3174.60, 5e-3, derived},
		{"loose, 10 OD, small slope", smallSlope(loose, 0.06), 246.914, 5e-4, derived},
		{"slim, 10 OD", at(slim, 0.06), 1638.65, 5e-3, derived},
		{"stout, 10 OD", at(stout, 0.12), 3032.54, 5e-3, derived},
		{"loose, 10 OD", at(loose, 0.06), 217.368, 5e-4, derived},
		{"slim, 5 OD", at(slim, 0.03), 3220.31, 5e-3, derived},
		{"stout, 5 OD", at(stout, 0.06), 5766.95, 5e-3, derived},
		{"loose, 5 OD", at(loose, 0.03), 366.232, 5e-4, derived},
		{"loose, 5 OD, small slope", smallSlope(loose, 0.03), 493.827, 5e-4, derived},
		{"loose, exact over small slope", at(loose, 0.03) / smallSlope(loose, 0.03), 0.74162, 5e-6, derived},
		{"slim, collapse", float64(slim.CollapseLoad()), 19245.0, 0.05, derived},
		{"stout, collapse", float64(stout.CollapseLoad()), 13964.6, 0.05, derived},
		{"loose, collapse", float64(loose.CollapseLoad()), 422.387, 5e-4, derived},
		{"loose, tighter than collapse", at(loose, 0.018), 422.387, 5e-4, derived},
		{"the two meet", at(loose, q.Length(1.5*loose.clearance)*(1+1e-9)), 422.387, 5e-4, derived},
	})
	_, err := slim.LoadAtRadius(0)
	require.EqualError(t, err, "bend radius: 0 mm: must be from 0.25 mm to 100000 mm")
}

// The energy of a helix without twist at a slope α, per EI/r²: bending sin⁴α/2 less
// the work of the push, least at the slope that LoadAtRadius takes. This finds the
// slope by search instead: derived here.
func TestLoadAtRadiusIsWhereEnergyIsLeast(t *testing.T) {
	for _, radius := range []q.Length{0.03, 0.06, 0.12, 0.3} {
		push := value(loose.LoadAtRadius(radius)) * loose.clearance * loose.clearance / loose.stiffness
		energy := func(a float64) float64 { return math.Pow(math.Sin(a), 4)/2 - push*(1-math.Cos(a)) }
		best := 0.0
		for a := 0.0; a < 54.7*math.Pi/180; a += 1e-5 {
			if energy(a) < energy(best) {
				best = a
			}
		}
		s := math.Sin(best)
		require.InEpsilon(t, float64(radius), loose.clearance/(s*s), 1e-3)
	}
}

func TestLoadAtRadiusFallsWithRadius(t *testing.T) {
	last := math.Inf(1)
	for r := 0.001; r < 10; r *= 1.05 {
		load := value(loose.LoadAtRadius(q.Length(r)))
		require.LessOrEqual(t, load, last)
		require.LessOrEqual(t, load, float64(loose.CollapseLoad())*(1+1e-12))
		last = load
	}
}

func TestDoublingBack(t *testing.T) {
	for _, tt := range []struct {
		name       string
		od, id     q.Length
		two, three bool
	}{
		{"slim, ID/OD 1.667", 0.006, 0.010, false, false},
		{"stout, 2.750", 0.012, 0.033, true, true},
		{"loose, 5.500", 0.006, 0.033, true, true},
		{"just two", 0.012, 0.024, true, false},
		{"just under two", 0.012, 0.02399, false, false},
		{"not quite three", 0.01, 0.0215, true, false},
		{"three", 0.01, 0.0216, true, true},
	} {
		require.Equal(t, tt.two, CanDoubleBack(tt.od, tt.id), tt.name)
		require.Equal(t, tt.three, RoomForThree(tt.od, tt.id), tt.name)
	}
	require.InDelta(t, 1+2/math.Sqrt(3), threeLegs, 1e-15, "three touching circles in a circle")
	require.InDelta(t, 4/(3*math.Sqrt(3)), collapse, 1e-15, derived)
}
