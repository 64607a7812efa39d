package session

import (
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func TestFoldCurve(t *testing.T) {
	trial := gaugeTrial()
	for _, p := range []struct {
		grip, speed float64
		outcome     Outcome
	}{{6, 250, Stall}, {6, 350, Stall}, {8, 490, Stall}, {10, 680, Fold}, {8, 560, Stall}} {
		trial.push(Setting{q.From[q.Pressure](p.grip, "psi"), trial.Rig.Reading(p.speed)}, p.outcome)
	}
	speeds := []float64{0, 300, 400, 500, 600, 700, 900, 1500}
	curve := FoldCurve(trial, speeds)
	require.Len(t, curve, len(speeds)-1, "a speed of nothing has no chance")
	for i, p := range curve {
		require.LessOrEqual(t, p.Low, p.High)
		require.True(t, p.Mean >= 0 && p.Mean <= 1)
		if i > 0 {
			require.GreaterOrEqual(t, p.Mean, curve[i-1].Mean, "more speed cannot fold less")
			require.GreaterOrEqual(t, p.High, curve[i-1].High)
		}
	}
	at := View(trial).FoldAt
	for i, level := range FoldLevels {
		require.InDelta(t, level, FoldCurve(trial, []float64{at[i].Or(0)})[0].Mean, 0.01*level)
	}
}
