package session

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// pushedTrial is a gauge-only trial that folded, was repeated and is over.
func pushedTrial(t *testing.T) Trial {
	t.Helper()
	trial := gaugeTrial()
	for {
		try, ok := Decide(trial).(Try)
		if !ok {
			break
		}
		outcome := Stall
		if try.Setting.Speed.Value >= 700 {
			outcome = Fold
		}
		trial.push(try.Setting, outcome)
	}
	require.IsType(t, Install{}, Decide(trial))
	return trial
}

func at(t Trial, unit string, degrees float64) Trial {
	t.Conditions.Unit = unit
	t.Conditions.CableTemperature = q.Known(q.From[q.Temperature](degrees, unit))
	return t
}

// TestEarlierAtOneTemperature splits one trial into two at the same temperature: weighing
// the first and then the second is weighing all, whatever the order.
func TestEarlierAtOneTemperature(t *testing.T) {
	whole := pushedTrial(t)
	whole = at(whole, "°F", 41)
	for _, cut := range []int{1, 4, len(whole.Entries) - 1} {
		morning, noon := whole, whole
		morning.Entries, noon.Entries = whole.Entries[:cut], whole.Entries[cut:]
		both, err := noon.After(morning)
		require.NoError(t, err)
		a, b := newFacts(whole), newFacts(both)
		require.Equal(t, len(a.post.weight), len(b.post.weight), "one grid")
		for i := range a.post.weight {
			require.InDelta(t, a.post.weight[i], b.post.weight[i], 1e-12)
		}
		require.Equal(t, a.lowestFold, b.lowestFold)
		require.InDelta(t, a.topStall, b.topStall, 1e-9)
	}
}

func TestSecondTrialNeedsItsOwnStalls(t *testing.T) {
	morning := at(pushedTrial(t), "°F", 50)
	afternoon := at(gaugeTrial(), "°F", 75)
	begun, err := afternoon.After(morning)
	require.NoError(t, err)
	for n := range 3 {
		try, ok := Decide(begun).(Try)
		require.True(t, ok, "after %d pushes: %v", n, Decide(begun))
		require.Less(t, try.Setting.Speed.Value, 700*0.90, "under the gap below the morning's fold")
		begun.push(try.Setting, Stall)
	}
	warm, ok := Decide(begun).(Install)
	require.True(t, ok, "three stalls of its own end it: %v", Decide(begun))
	cold := Decide(morning).(Install)
	require.Less(t, warm.Setting.Speed.Value, cold.Setting.Speed.Value, "a warmer cable folds earlier")
	require.Equal(t, 3, View(begun).Attempts)
	require.Contains(t, View(begun).Warnings, "an earlier trial of this cable is weighed too, moved from 50 °F to 75 °F and trusted less for it")
}

// TestEarlierSlipsOnly begins from a trial that never stalled: the weighing of its slips,
// and the range it needs, are those of one trial.
func TestEarlierSlipsOnly(t *testing.T) {
	psi := func(v float64) q.Pressure { return q.From[q.Pressure](v, "psi") }
	whole := at(gaugeTrial(), "°F", 41)
	for _, speed := range []float64{60, 50, 40, 30} {
		whole.push(Setting{psi(40), whole.Rig.Reading(speed)}, Slip)
	}
	whole.push(Setting{psi(40), whole.Rig.Reading(20)}, Stall)
	morning, noon := whole, whole
	morning.Entries, noon.Entries = whole.Entries[:4], whole.Entries[4:]
	both, err := noon.After(morning)
	require.NoError(t, err)
	require.InDelta(t, newFacts(whole).post.slipChance(float64(psi(40)), 20), newFacts(both).post.slipChance(float64(psi(40)), 20), 1e-9)

	fresh := at(gaugeTrial(), "°F", 41)
	begun, err := fresh.After(morning)
	require.NoError(t, err)
	try, ok := Decide(begun).(Try)
	require.True(t, ok, "%v", Decide(begun))
	require.Greater(t, try.Setting.Grip, psi(2), "the lowest grip pressure has slipped by that account")
}

// TestEarlierMove computes the move by hand: from 50 to 80 °F polyethylene keeps 0.93/1.32
// of its stiffness (table from memory), of which a share of 0.65 ± 0.20 reaches the fold.
func TestEarlierMove(t *testing.T) {
	morning, afternoon := at(gaugeTrial(), "°F", 50), at(gaugeTrial(), "°F", 80)
	lambda := math.Log(0.93 / 1.32)
	d := afternoon.doubtAfter(morning)
	jacket := 0.65 * 0.0116 * 5
	require.InDelta(t, math.Sqrt(0.04*lambda*lambda+2*jacket*jacket), d.fold, 1e-9)
	require.InDelta(t, 0.10, d.slip, 1e-9)
	require.Equal(t, doubt{}, morning.doubtAfter(morning), "nothing changed, nothing is lost")
	afternoon.Cable.Reel = "another"
	require.InDelta(t, math.Hypot(d.fold, 0.10), afternoon.doubtAfter(morning).fold, 1e-9)
}

func TestBlur(t *testing.T) {
	g := grid{lnFold: even(100, 1000, 0.05), lnSlip: even(1, 10, 0.1), spread: []float64{0.1}}
	p := newWeights(g, prior{make([]float64, len(g.lnFold)), make([]float64, len(g.lnSlip)), make([]float64, 1)}, DefaultPolicy())
	for i := range p.weight {
		p.weight[i] = 0
	}
	mid := len(g.lnSlip)/2*len(g.lnFold) + len(g.lnFold)/2
	p.weight[mid] = 1
	p.blur(doubt{fold: 0.2, slip: 0.3})
	p.sum()
	sum, mean, square := 0.0, 0.0, 0.0
	for i, w := range p.pair {
		z := g.lnFold[i] - g.lnFold[len(g.lnFold)/2]
		sum, mean, square = sum+w, mean+w*z, square+w*z*z
	}
	require.InDelta(t, 1, sum, 1e-12)
	require.InDelta(t, 0, mean, 1e-12)
	require.InDelta(t, 0.2, math.Sqrt(square), 0.002, "the sd asked for, cut at four of them")
}

func TestAfterRefuses(t *testing.T) {
	today := at(gaugeTrial(), "°F", 60)
	psi := at(gaugeTrial(), "°F", 50)
	psi.Rig.PushUnit, psi.Rig.SpeedLimit = "psi", q.Known(q.Reading{Value: 2400, Unit: "psi"})
	psi.Rig.SpeedDivision, psi.Ladder = q.Maybe[q.Reading]{}, Ladder{}
	_, err := today.After(psi)
	require.ErrorContains(t, err, "cannot be compared")
	_, err = at(today, "°F", 150).After(at(gaugeTrial(), "°F", 50))
	require.ErrorContains(t, err, "no table says")
	check := at(gaugeTrial(), "°F", 50)
	check.Kind = ShortCheck
	_, err = today.After(check)
	require.ErrorContains(t, err, "short check")
	_, err = today.After(Trial{})
	require.ErrorContains(t, err, "missing")

	self := at(gaugeTrial(), "°F", 50) // a circle of records ends
	self.Before = &self
	begun, err := today.After(self)
	require.NoError(t, err)
	require.NotPanics(t, func() { Decide(begun) })
}
