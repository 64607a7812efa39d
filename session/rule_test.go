package session

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// gaugeTrial is a job with gauges and nothing else.
func gaugeTrial() Trial {
	return Trial{
		Kind: Full, Policy: DefaultPolicy(),
		Cable:      Cable{Make: "Northmoor", Type: "LT-96"},
		Duct:       Duct{Size: "1.25 in SDR 11"},
		Conditions: Conditions{CableTemperature: q.Known[q.Temperature](5), Unit: "°C"},
		Rig: Rig{
			GripUnit: "psi", PushUnit: "notch",
			GripLimit:     q.Known(q.From[q.Pressure](40, "psi")),
			SpeedLimit:    q.Known(q.Reading{Value: 2400, Unit: "notch"}),
			GripDivision:  q.Known(q.From[q.Pressure](2, "psi")),
			SpeedDivision: q.Known(q.Reading{Value: 10, Unit: "notch"}),
		},
		Ladder: Ladder{
			GripStart:  q.Known(q.From[q.Pressure](2, "psi")),
			GripStep:   q.Known(q.From[q.Pressure](2, "psi")),
			SpeedStart: q.Known(q.Reading{Value: 60, Unit: "notch"}),
		},
	}
}

func (t *Trial) push(s Setting, o Outcome) {
	used := q.Length(0)
	switch o {
	case Fold:
		used = 1.5
	case Slip:
		used = 0.3
	}
	t.Entries = append(t.Entries, Attempt{
		Mark: Mark{Seq: t.LastNumber() + 1}, Setting: s, Outcome: o, CableUsed: used,
		CableTemperature: t.Conditions.CableTemperature,
	})
}

// truth is a cable and rig whose limits the rule does not see.
type truth struct {
	fold, slip, impact, foldSpread, slipSpread float64
}

func newTruth(r *rand.Rand) truth {
	kappa := 0.25 * math.Exp(0.40*r.NormFloat64())
	force := 180 * math.Exp(0.40*r.NormFloat64())
	thrust := 0.2 * math.Exp(0.10*r.NormFloat64())
	traction := 12 * math.Exp(0.25*r.NormFloat64())
	return truth{force / ((1 + kappa) * thrust), traction / thrust, kappa, 0.10 * math.Exp(0.35*r.NormFloat64()), 0.08}
}

func (h truth) push(s Setting, r *rand.Rand) Outcome {
	grip, speed := q.In(s.Grip, "psi"), s.Speed.Value
	line := h.slip * grip * math.Exp(h.slipSpread*r.NormFloat64())
	limit := h.fold * math.Exp(h.foldSpread*r.NormFloat64())
	switch load := (min(speed, line) + h.impact*speed) / (1 + h.impact); {
	case load >= limit:
		return Fold
	case speed > line:
		return Slip
	}
	return Stall
}

// TestAdviceProperties plays whole trials, some with outcomes drawn from a truth
// and some at random, and holds every push to what must always be true.
func TestAdviceProperties(t *testing.T) {
	long(t)
	trials := uint64(150)
	if racing {
		trials = 30
	}
	for seed := range trials {
		r := rand.New(rand.NewPCG(seed, 1))
		trial := gaugeTrial()
		if seed%3 == 1 {
			trial.Kind = Enough
			trial.Plan.Speed = q.Known(q.Reading{Value: 100 + 1500*r.Float64(), Unit: "notch"})
		}
		h := newTruth(r)
		for n := 0; ; n++ {
			require.Less(t, n, 70, "seed %d: the trial does not end", seed)
			next := Decide(trial)
			require.Equal(t, next, Decide(trial), "seed %d: same record, same advice", seed)
			holdsAlways(t, seed, trial, next)
			try, ok := next.(Try)
			if !ok {
				break
			}
			o := h.push(try.Setting, r)
			if seed%3 == 2 {
				o = Outcome(1 + r.IntN(3))
			}
			trial.push(try.Setting, o)
		}
	}
}

func holdsAlways(t *testing.T, seed uint64, trial Trial, next Next) {
	t.Helper()
	s, ok := SettingOf(next)
	if !ok {
		return
	}
	lowestFold, topStall, topGrip := math.Inf(1), 0.0, 0.0
	var last Attempt
	for _, a := range trial.pushes() {
		last = a
		topGrip = max(topGrip, float64(a.Setting.Grip))
		switch a.Outcome {
		case Fold:
			lowestFold = min(lowestFold, a.Setting.Speed.Value)
		case Stall:
			topStall = max(topStall, a.Setting.Speed.Value)
		}
	}
	v, psi := s.Speed.Value, q.In(s.Grip, "psi")
	require.LessOrEqual(t, v, 0.90*lowestFold*(1+ties), "seed %d: too close under a fold", seed)
	require.LessOrEqual(t, v, 2400.0)
	require.Positive(t, v)
	require.LessOrEqual(t, psi, 40*(1+ties))
	require.InDelta(t, math.Round(v/10), v/10, 1e-9, "seed %d: not on the dial", seed)
	require.InDelta(t, math.Round(psi/2), psi/2, 1e-9)
	if last.Outcome == 0 {
		return
	}
	if topStall > 0 {
		require.LessOrEqual(t, v, max(1.4*topStall, topStall+10)*(1+ties), "seed %d: skipped a rung", seed)
	}
	require.LessOrEqual(t, psi, q.In(q.Pressure(topGrip), "psi")+2+ties, "seed %d: skipped a rung of grip pressure", seed)
	if last.Outcome == Slip {
		require.LessOrEqual(t, v, last.Setting.Speed.Value*(1+ties), "seed %d: more speed after a slip", seed)
	}
	if install, ok := next.(Install); ok {
		require.GreaterOrEqual(t, newFacts(trial).stallsFrom(v), 3, "seed %d", seed)
		require.NotZero(t, install.EndedOn)
		if install.EndedOn != EndFold {
			require.True(t, math.IsInf(lowestFold, 1))
		}
	}
}

func TestUnitsDoNotMatter(t *testing.T) {
	for seed := range uint64(10) {
		r := rand.New(rand.NewPCG(seed, 2))
		a, b := gaugeTrial(), gaugeTrial()
		const k = 6.895
		b.Rig.PushUnit = "kPa"
		b.Rig.SpeedLimit = q.Known(q.Reading{Value: 2400 * k, Unit: "kPa"})
		b.Rig.SpeedDivision = q.Known(q.Reading{Value: 10 * k, Unit: "kPa"})
		b.Ladder.SpeedStart = q.Known(q.Reading{Value: 60 * k, Unit: "kPa"})
		h := newTruth(r)
		for {
			x, y := View(a), View(b)
			sx, ok := SettingOf(x.Next)
			sy, _ := SettingOf(y.Next)
			require.Equal(t, x.Row, y.Row)
			require.InDelta(t, sx.Speed.Value, sy.Speed.Value/k, 1e-6)
			require.InDelta(t, x.FoldChance.Or(0), y.FoldChance.Or(0), 1e-9)
			if _, try := x.Next.(Try); !ok || !try {
				break
			}
			o := h.push(sx, r)
			a.push(sx, o)
			sx.Speed = sy.Speed
			b.push(sx, o)
		}
	}
}

func BenchmarkDecide(b *testing.B) {
	for _, n := range []int{10, 30, 60} {
		trial := gaugeTrial()
		r := rand.New(rand.NewPCG(1, 3))
		for range n {
			trial.push(Setting{q.From[q.Pressure](float64(2+2*r.IntN(12)), "psi"), q.Reading{Value: float64(60 + 10*r.IntN(60)), Unit: "notch"}}, Stall)
		}
		b.Run("distinct "+string(rune('0'+n/10))+"0", func(b *testing.B) {
			for b.Loop() {
				Decide(trial)
			}
		})
	}
}
