package practice

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// running is a run of the plain lesson on a rig without chance.
func running(t *testing.T, run Run, change func(*Rig)) *RunBench {
	t.Helper()
	l := lesson()
	l.Rig, l.Run = sure(change), &run
	b, err := NewRun(l, 1)
	require.NoError(t, err)
	return b
}

// While the push is small, friction is Coulomb's, µ·w·x; the waves of a longer run only
// add to it. The drive's push falls
// evenly to nothing at its free-running speed, so the cable runs at that times one less
// the part of the stall thrust that friction takes. By hand: w = 0.055 kg/m · 9.80665
// m/s², stall thrust 800 N/(m/s) · 0.5 m/s.
func TestRunSlowsByFriction(t *testing.T) {
	b := running(t, Run{Length: 100, Friction: 0.2, Speed: 0.5, Harder: 0.1, SnagAt: 1000}, nil)
	require.Equal(t, RunState{Cable: 0.5, Reading: 0.5}, b.State())
	for _, x := range []float64{20, 40, 60, 80} {
		s := b.Do(RunOn)
		needed := 0.2 * 0.055 * 9.80665 * x
		require.InDelta(t, x, float64(s.In), 1e-9)
		require.GreaterOrEqual(t, float64(s.Push), needed)
		if x == 20 {
			require.InEpsilon(t, needed, float64(s.Push), 0.02)
		}
		require.InEpsilon(t, 0.5*(1-float64(s.Push)/400), float64(s.Cable), 1e-6)
		require.False(t, s.Ended)
	}
	s := b.Do(RunOn)
	require.True(t, s.Home && s.Ended && !s.Folded)
	require.Equal(t, q.Length(100), s.In)
	require.Equal(t, s, b.Do(PushHarder), "after the end nothing moves")
	require.Zero(t, b.Review().Run.Overrides)
	require.True(t, b.Review().Passed)
}

// One looks more often where the run slows, and no look is nearer than two metres.
func TestRunIsLookedAtWhereItSlows(t *testing.T) {
	b := running(t, Run{Length: 2000, Friction: 0.2, Speed: 0.45, Harder: 0.1, SnagAt: 5000}, nil)
	last, shortest := b.State(), q.Length(100)
	for n := 0; !last.Ended; n++ {
		require.Less(t, n, 200)
		s := b.Do(RunOn)
		if stride := s.In - last.In; !s.Ended {
			require.GreaterOrEqual(t, float64(stride), 2.0-1e-9)
			require.LessOrEqual(t, float64(stride), 20.0+1e-9)
			shortest = min(shortest, stride)
			if stride > 2.5 {
				require.GreaterOrEqual(t, float64(s.Cable), 0.9*float64(s.Reading))
			}
		}
		last = s
	}
	require.Less(t, float64(shortest), 3.0)
	require.Zero(t, last.Cable, "friction brought it to a stand")
	require.Contains(t, strings.Join(b.Review().Lines(), "\n"), "Friction brought it to a stand there.")
}

// A head that stops dead: the stall thrust, and what moves with the belts on top.
//
// Source: longitudinal impact of a mass on a spring, v·√(kM) (from memory); k of a cable
// as long as the run, by hand from that of the stub.
func TestSnag(t *testing.T) {
	b := running(t, Run{Length: 100, Friction: 0.2, Speed: 0.3, Harder: 0.1, SnagAt: 30}, nil)
	before := b.Do(RunOn)
	require.InDelta(t, 20, float64(before.In), 1e-9)
	per, err := b.rig.takeUp(1) // of 3 m
	require.NoError(t, err)
	s := b.Do(RunOn)
	require.Equal(t, q.Length(30), s.In)
	require.True(t, s.Ended && s.Cable == 0)
	want := 800*0.3 + float64(before.Cable)*math.Sqrt(80/(per*10))
	require.InEpsilon(t, want, float64(s.Push), 1e-6)
	require.Equal(t, want >= b.limit, s.Folded)

	harder := running(t, Run{Length: 100, Friction: 0.2, Speed: 0.3, Harder: 0.5, SnagAt: 30}, nil)
	harder.Do(PushHarder)
	require.True(t, harder.Do(RunOn).Folded, "0.8 m/s is 640 N at least, and the cable folds at %v N", harder.limit)
	require.Equal(t, 1, harder.Review().Run.Overrides)
}

// A run that is stopped has ended, whole.
func TestRunStopped(t *testing.T) {
	b := running(t, Run{Length: 100, Friction: 0.2, Speed: 0.3, Harder: 0.1, SnagAt: 30}, nil)
	b.Do(RunOn)
	require.True(t, b.Do(StopAndLook).Ended)
	r := b.Review()
	require.True(t, r.Run.Stopped && r.Run.Early && !r.Passed)
	require.Contains(t, strings.Join(r.Lines(), "\n"), "Cable in the duct: 66 ft. It was stopped there, with the cable whole.")
}

// The lines of a review say what was done, each thing once.
func TestReviewLines(t *testing.T) {
	rig := gauges().Rig
	setting := q.Known(at(8, 60))
	r := Review{
		Title: "T", Passed: true, Score: 100, Attempts: 3, CableUsed: 1.5, Right: 3, Setting: setting, FoldChance: q.Known(0.02), Shown: rig, Teaches: "That.",
		Engine: Engine{Attempts: 3, CableUsed: 1.5, Setting: setting, FoldChance: q.Known(0.02)},
	}
	require.Equal(t, []string{Notice, "T: passed. Score 100 of 100.",
		"You: 3 pushes, 4.9 ft of cable. Setting 8 psi, 60 ft/min, where 2 in 100 would fold.",
		"The program's rule on the same rig: the same.", "Readings right: 3 of 3.", "That."}, r.Lines())
	r.Passed, r.Setting, r.Missing = false, q.Maybe[session.Setting]{}, []string{"M."}
	r.Wrong = []Verdict{{Push: 2, Why: "W.", Read: session.Slip, Truth: Truth{GaveAway: []string{"G."}}}}
	r.Overlooked = []TroubleKind{NoFence}
	r.Unsafe = []Unsafe{{2, "A."}, {3, "B."}, {4, "A."}}
	require.Equal(t, []string{Notice, "T: not passed. Score 100 of 100.", "M.",
		"  10 points off for another wrong reading; 90 is the most then. It costs cable, time and a better setting, and hurts nobody.",
		"  75 points off for an unsafe act, 3 times; 40 is the most then. It could have cost a hand or a life. No setting is worth that.",
		"  10 points off for something wrong passed over; 90 is the most then. What is wrong at the set-up speaks in every push.",
		"You: 3 pushes, 4.9 ft of cable. No setting.",
		"The program's rule on the same rig: 3 pushes, 4.9 ft of cable. Setting 8 psi, 60 ft/min, where 2 in 100 would fold.",
		"Readings right: 3 of 4.", "  Push 2: W. G.", "  Overlooked: no fence. There is no fence at the plug end.",
		"  ! Before push 2, 4: A.", "  ! Before push 3: B.", "That."}, r.Lines())
}
