package session

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func logEven(lo, hi float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Log(lo) + math.Log(hi/lo)*float64(i)/float64(n-1)
	}
	return out
}

// bell is the log weight of a normal in ln x; a zero median is flat.
func bell(at []float64, median, sd float64) []float64 {
	out := make([]float64, len(at))
	for i, ln := range at {
		if median > 0 {
			z := (ln - math.Log(median)) / sd
			out[i] = -z * z / 2
		}
	}
	return out
}

// goldenTrace is ten pushes worked out by an independent program in another
// language (derived here, agreed to 1e-6 between the two).
var goldenTrace = []shot{
	{6, 250, 0, Stall}, {6, 300, 0, Stall}, {8, 365, 0, Stall}, {8, 440, 0, Slip}, {10, 440, 0, Stall},
	{12, 535, 0, Stall}, {14, 650, 0, Fold}, {12, 500, 0, Stall}, {12, 500, 0, Stall}, {12, 500, 0, Stall},
}

func goldenPosterior(foldTop float64, n int, foldMedian, slipMedian float64, shots []shot) posterior {
	spreads := []float64{.03, .05, .08, .12, .18, .27}
	lnSpreads := make([]float64, len(spreads))
	for i, s := range spreads {
		lnSpreads[i] = math.Log(s)
	}
	g := grid{logEven(60, foldTop, n), logEven(15, 240, 24), spreads}
	pr := prior{bell(g.lnFold, foldMedian, 0.42), bell(g.lnSlip, slipMedian, 0.27), bell(lnSpreads, 0.10, 0.5)}
	return newPosterior(g, pr, DefaultPolicy(), shots)
}

func TestGoldenTrace(t *testing.T) {
	p := goldenPosterior(4000, 60, 720, 60, goldenTrace)
	for _, row := range []struct{ speed, want float64 }{
		{400, 0.002490}, {450, 0.011420}, {500, 0.049466}, {550, 0.176397}, {600, 0.403266}, {650, 0.630373},
	} {
		require.InDelta(t, row.want, p.foldChance(row.speed), 1e-5, "fold chance at %v", row.speed)
	}
	require.InDelta(t, 599.69, p.foldSpeed(0.5), 0.01)
	require.InDelta(t, 517.36, p.foldSpeed(0.05), 0.01)
	require.InDelta(t, 768.73, p.foldSpeed(0.95), 0.01)
	require.InDelta(t, 0.1062, p.spreadMean(), 5e-5)
	meanLn := 0.0
	for i, w := range p.slip {
		meanLn += w * p.grid.lnSlip[i]
	}
	require.InDelta(t, 55.62, math.Exp(meanLn), 0.01)
	require.InDelta(t, 0.0207, p.foldChance(470), 5e-5)
	require.InDelta(t, 0.053, p.foldChanceBound(470, 0.90), 5e-4)

	gaugeOnly := goldenPosterior(4000, 60, 0, 0, goldenTrace)
	require.InDelta(t, 0.0516, gaugeOnly.foldChance(500), 5e-5)
}

// The pitfalls below carry numbers worked out by the same independent program.
func TestPosteriorPitfalls(t *testing.T) {
	chance := func(speed float64, shots ...shot) float64 {
		p := goldenPosterior(4000, 60, 720, 60, shots)
		return p.foldChance(speed)
	}
	require.InDelta(t, 0.3385, chance(600), 5e-5, "before any push")
	slip, stall := shot{2, 600, 0, Slip}, shot{14, 600, 0, Stall}
	require.InDelta(t, 0.333, chance(600, slip, slip, slip), 5e-4, "a slip is no proof that the cable holds")
	require.InDelta(t, 0.033, chance(600, stall, stall, stall), 5e-4)
	require.InDelta(t, 0.1985, chance(535, goldenTrace[:7]...), 5e-5, "the last stall is not the threshold")
	require.InDelta(t, 0.1252, chance(535, goldenTrace...), 5e-5)
	require.InDelta(t, 0.0532, chance(500, shot{14, 500, 0, Stall}), 5e-5, "one clean stall is not certainty")
	require.Less(t, chance(60, goldenTrace...), 1e-4, "a misread is no part of a stated chance")

	top := goldenPosterior(8000, 70, 720, 60, goldenTrace)
	require.InDelta(t, 0.02074, top.foldChance(470), 0.001, "the end of the grid must not fake a fold")
}

func TestPosteriorOrderDoesNotMatter(t *testing.T) {
	forward := goldenPosterior(4000, 60, 720, 60, goldenTrace)
	var back []shot
	for i := len(goldenTrace) - 1; i >= 0; i-- {
		back = append(back, goldenTrace[i])
	}
	backward := goldenPosterior(4000, 60, 720, 60, back)
	for s := 100.0; s < 1000; s += 50 {
		require.InDelta(t, forward.foldChance(s), backward.foldChance(s), 1e-9)
	}
}

func TestQuickNormal(t *testing.T) {
	for z := -9.0; z <= 9; z += 0.00137 {
		require.InDelta(t, normal(z), quickNormal(z), 5e-9, "z %v", z)
	}
	// Standard normal table, e.g. NIST/SEMATECH e-Handbook 1.3.6.7.1 (from memory).
	for _, row := range []struct{ z, p float64 }{{0, .5}, {1, .84134}, {1.6449, .95}, {1.96, .975}, {2.5758, .995}} {
		require.InDelta(t, row.p, normal(row.z), 1e-5)
	}
}

// newPosterior weighs pushes on a grid.
func newPosterior(g grid, pr prior, pol Policy, shots []shot) posterior {
	p := newWeights(g, pr, pol)
	p.weigh(shots)
	p.sum()
	return p
}

// spreadMean is the mean repeat spread of the fold speed.
func (p *posterior) spreadMean() float64 {
	sum := 0.0
	for i, w := range p.pair {
		sum += w * p.grid.spread[i%len(p.grid.spread)]
	}
	return sum
}
