package session

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func psi(v float64) q.Pressure { return q.From[q.Pressure](v, "psi") }

func notches(v float64) q.Reading { return q.Reading{Value: v, Unit: "notch"} }

// follow pushes at the advised setting, one outcome after the other: S stall,
// F fold, L slip.
func (t *Trial) follow(outcomes string) {
	for _, o := range outcomes {
		s, _ := SettingOf(Decide(*t))
		t.push(s, map[rune]Outcome{'S': Stall, 'F': Fold, 'L': Slip}[o])
	}
}

func (t *Trial) pushAt(grip, speed float64, o Outcome) {
	t.push(Setting{psi(grip), notches(speed)}, o)
}

// amendLast adds a finding to the last attempt.
func (t *Trial) amendLast(amend func(*Attempt)) {
	a := t.Entries[len(t.Entries)-1].(Attempt)
	amend(&a)
	t.Entries[len(t.Entries)-1] = a
}

// rowHistories holds, for every row of the rule, a history that only this row
// decides. Derived here.
var rowHistories = map[string]func(*Trial){
	"jacket marked at the lowest grip pressure": func(t *Trial) {
		t.follow("S")
		t.amendLast(func(a *Attempt) { a.JacketDamage = true })
	},
	"short check": func(t *Trial) {
		t.Kind = ShortCheck
		t.Plan = Plan{q.Known(psi(8)), q.Known(notches(300))}
	},
	"push does not follow the push control": func(t *Trial) {
		for range 2 {
			t.follow("S")
			t.amendLast(func(a *Attempt) { a.StallReading = q.Known(q.Reading{Value: 400, Unit: "psi"}) })
		}
	},
	"first push": func(*Trial) {},
	"enough for the run": func(t *Trial) {
		t.Kind = Enough
		t.Plan.Speed = q.Known(notches(100))
		t.follow("SSSSSS")
	},
	"proved":       func(t *Trial) { t.follow("SSSLSSLSLSSFSS") },
	"three folds":  func(t *Trial) { t.follow("SSSFFF") },
	"cable budget": func(t *Trial) { t.Limits.CableBudget = q.Known(q.Length(1.5)); t.follow("SSSF") },
	"slip":         func(t *Trial) { t.follow("SSSL") },
	"climb":        func(t *Trial) { t.follow("SSS") },
	"repeat":       func(t *Trial) { t.follow("SSSF") },
	"too many pushes": func(t *Trial) {
		t.follow("SSSSF")
		for range 14 {
			t.pushAt(2, 10, Stall)
		}
	},
	"fold with no stall below": func(t *Trial) { t.follow("F") },
	"nothing left under the gap": func(t *Trial) {
		t.Rig.SpeedDivision = q.Known(notches(60))
		t.follow("F")
	},
	"slip at every speed": func(t *Trial) {
		t.Rig.GripLimit = q.Known(psi(2))
		t.pushAt(2, 10, Slip)
	},
	"new grip pressure": func(t *Trial) {
		for range 3 {
			t.pushAt(20, 560, Stall)
		}
		t.pushAt(16, 780, Fold)
	},
}

func TestEveryRowDecides(t *testing.T) {
	for _, row := range rule {
		t.Run(row.name, func(t *testing.T) {
			history, ok := rowHistories[row.name]
			require.True(t, ok, "no history is decided by this row")
			trial := gaugeTrial()
			history(&trial)
			require.NoError(t, trial.Advisable())
			require.Equal(t, row.name, View(trial).Row)
		})
	}
	require.Len(t, rowHistories, len(rule), "a history for a row that is no more")
}

// randomHistory is a trial some way in, at settings that follow the advice or are
// drawn at random; what happens is drawn from a truth.
func randomHistory(r *rand.Rand, advised bool) Trial {
	trial, h := gaugeTrial(), newTruth(r)
	for range r.IntN(18) {
		s := Setting{psi(float64(2 + 2*r.IntN(20))), notches(float64(10 + 10*r.IntN(120)))}
		if advised {
			try, ok := Decide(trial).(Try)
			if !ok {
				break
			}
			s = try.Setting
		}
		trial.push(s, h.push(s, r))
	}
	return trial
}

// candidateAfter is the candidate once one more push is in.
func candidateAfter(t Trial, s Setting, o Outcome) float64 {
	t.Entries = slices.Clone(t.Entries)
	t.push(s, o)
	return newFacts(t).candidate
}

// A fold at or above the candidate must not raise it, nor a stall there lower it.
// Two steps of the grid are allowed: a fold also says how much the cable repeats.
func TestCandidateFollowsOutcomes(t *testing.T) {
	long(t)
	for seed := range uint64(240) {
		r := rand.New(rand.NewPCG(seed, 4))
		trial := randomHistory(r, seed%2 == 0)
		f := newFacts(trial)
		c, division := f.candidate, f.speed.division
		if c == 0 {
			continue // nothing to be at or above
		}
		harder := math.Ceil(c*(1+r.ExpFloat64()/2)/division) * division
		s := Setting{psi(float64(2 + 2*r.IntN(20))), notches(min(harder, f.speed.limit))}
		slack := max(2*division, c*math.Expm1(2*f.policy.FoldSpacing))
		require.LessOrEqual(t, candidateAfter(trial, s, Fold), c+slack, "seed %d: fold at %v", seed, s)
		require.GreaterOrEqual(t, candidateAfter(trial, s, Stall), c-slack, "seed %d: stall at %v", seed, s)
	}
}
