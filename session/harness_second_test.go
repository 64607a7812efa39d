package session

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// TestSecondTrial plays a cold morning's trial and a second one on the same cable in
// the warmer afternoon, begun from the first and begun afresh (-v prints both).
//
// The truth: a share of 0.65 ± 0.20 of polyethylene's change of stiffness reaches the
// fold speed, and the thermometer is wrong by 3 °F either time. Source: derived here.
func TestSecondTrial(t *testing.T) {
	n, seed := trials(t, 60)
	for _, s := range scenarios() {
		if !secondTrialScenarios[s.name] {
			continue
		}
		t.Run(s.name, func(t *testing.T) {
			var second, afresh []result
			for i := range uint64(n) {
				a, b, ok := playDay(t, s, seed+i)
				if ok {
					second, afresh = append(second, a), append(afresh, b)
				}
			}
			t.Logf("%s, N = %d, seed %d%s", s.name, len(second), seed, table(
				[]contender{{name: oursName}, {name: frozenName}}, map[string][]result{oursName: second, frozenName: afresh}))
			tries := stat.Mean(columns[0].values(second), nil)
			require.Less(t, tries, 4.0+8/math.Sqrt(float64(n)), "about three pushes")
			for i, r := range second {
				require.True(t, r.ended, "seed %d: the trial does not end", seed+uint64(i))
				require.False(t, r.beyondFold, "seed %d: a setting at or above a fold", seed+uint64(i))
			}
		})
	}
}

var secondTrialScenarios = map[string]bool{"A as assumed": true, "C gauges only": true, "D repeats scatter": true}

// playDay makes a morning's trial and the two ways of an afternoon's.
func playDay(t *testing.T, s scenario, seed uint64) (second, afresh result, ok bool) {
	day := rand.New(rand.NewPCG(seed, 1))
	w := newWorld(s, rand.New(rand.NewPCG(seed, 0)))
	morning := &ourRule{s.trial(DefaultPolicy())}
	cold := q.From[q.Temperature](50, "°F")
	morning.trial.Conditions.CableTemperature = q.Known(cold)
	if r := playOn(w, morning, day); r.refused {
		return result{}, result{}, false
	}
	warm := cold + q.Temperature((5+20*day.Float64())/1.8)
	wrong := func() q.Temperature { return q.Temperature(3 * day.NormFloat64() / 1.8) }
	before, err := cable.Multiplier(cold + wrong())
	require.NoError(t, err)
	now, err := cable.Multiplier(warm + wrong())
	require.NoError(t, err)
	w.foldLoad *= math.Pow(now/before, 0.65+0.20*day.NormFloat64())

	job := s.trial(DefaultPolicy())
	job.Conditions.CableTemperature = q.Known(warm)
	begun, err := job.After(morning.trial)
	require.NoError(t, err)
	return playOn(w, &ourRule{begun}, day), playOn(w, &ourRule{job}, day), true
}
