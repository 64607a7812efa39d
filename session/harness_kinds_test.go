package session

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	q "brinkmark/session/quantity"
)

// outcomes are what many trials of one kind came to: shares and means in percent.
type outcomes struct{ tries, installed, risk, claim []float64 }

func (o *outcomes) add(r result) {
	o.tries = append(o.tries, r.tries)
	if r.refused {
		o.installed = append(o.installed, 0)
		return
	}
	o.installed = append(o.installed, 100)
	o.risk = append(o.risk, 100*r.risk)
	o.claim = append(o.claim, 100*r.claim)
}

// check prints what was found and holds the claim to the truth, within three standard
// errors of the risk.
func (o *outcomes) check(t *testing.T, what string) {
	t.Helper()
	risk, sd := stat.MeanStdDev(o.risk, nil)
	claim := stat.Mean(o.claim, nil)
	t.Logf("%s: %.1f pushes, %.0f %% end with a setting, risk %.2f %%, claimed %.2f %%, N = %d",
		what, stat.Mean(o.tries, nil), stat.Mean(o.installed, nil), risk, claim, len(o.tries))
	require.LessOrEqual(t, risk, claim+3*sd/math.Sqrt(float64(len(o.risk)))+0.1, "%s claims less than the truth", what)
}

// TestWhatEnoughProves plays trials that climb to a quarter above what the run needs, for
// runs that need from 0.4 to 0.9 of the speed that folds half the cables.
func TestWhatEnoughProves(t *testing.T) {
	n, seed := trials(t, 60)
	for _, s := range scenarios() {
		if s.name != "A as assumed" && s.name != "C gauges only" {
			continue
		}
		var got outcomes
		for i := range uint64(n) {
			w := newWorld(s, rand.New(rand.NewPCG(seed+i, 0)))
			noise := rand.New(rand.NewPCG(seed+i, 3))
			job := s.trial(DefaultPolicy())
			job.Kind = Enough
			need := math.Min(w.foldLoad*(0.4+0.5*noise.Float64()), mostSpeed/1.5)
			job.Plan.Speed = q.Known(job.Rig.Reading(math.Max(math.Round(need/10)*10, 60)))
			got.add(playOn(w, &ourRule{job}, noise))
		}
		got.check(t, s.name+", enough")
	}
}

// TestWhatShortCheckProves checks the setting of a cold morning's trial on the warmer
// cable of the afternoon, as far apart as a check may confirm.
func TestWhatShortCheckProves(t *testing.T) {
	n, seed := trials(t, 60)
	s := scenarios()[0]
	var got outcomes
	var unchecked []float64
	for i := range uint64(n) {
		w := newWorld(s, rand.New(rand.NewPCG(seed+i, 0)))
		noise := rand.New(rand.NewPCG(seed+i, 4))
		morning := &ourRule{at(s.trial(DefaultPolicy()), "°F", 50)}
		r := playOn(w, morning, noise)
		if r.refused {
			continue
		}
		warm := at(s.trial(DefaultPolicy()), "°F", 57+13*noise.Float64())
		ratio, _ := stiffnessRatio(warm.Conditions.CableTemperature.Or(0), morning.trial.Conditions.CableTemperature.Or(0))
		w.foldLoad *= math.Pow(ratio, 0.65+0.20*noise.NormFloat64())
		risk, _ := w.hit(r.grip, r.speed)
		unchecked = append(unchecked, 100*risk)
		check, err := warm.After(morning.trial)
		require.NoError(t, err)
		check.Kind = ShortCheck
		check.Plan = Plan{Grip: q.Known(q.From[q.Pressure](r.grip, "psi")), Speed: q.Known(check.Rig.Reading(r.speed))}
		got.add(playOn(w, &ourRule{check}, noise))
	}
	t.Logf("the old setting used unchecked: risk %.2f %%", stat.Mean(unchecked, nil))
	got.check(t, "short check, passed")
	require.Less(t, stat.Mean(got.risk, nil), stat.Mean(unchecked, nil), "a check that is passed must mean something")
}
