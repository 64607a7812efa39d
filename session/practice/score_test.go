package practice

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// anyMistakes draws how often each mistake was made, none of some.
func anyMistakes(from *rand.Rand, but ...mistake) (n [mistakes]int) {
	for m := range n {
		if from.IntN(3) == 0 {
			n[m] = from.IntN(12)
		}
	}
	for _, m := range but {
		n[m] = 0
	}
	return n
}

var onRuns = []mistake{runFolded, runLate, runEarly, runHarder}

// A mistake more never raises a score, whatever else was done.
func TestMoreMistakesNeverRaiseTheScore(t *testing.T) {
	from := rand.New(rand.NewPCG(1, 2))
	for range 5000 {
		n := anyMistakes(from)
		before := score(n)
		require.True(t, before >= 0 && before <= 100)
		for m := range n {
			n[m]++
			require.LessOrEqual(t, score(n), before, "%v and one %q more", n, scoring[m].what)
			n[m]--
		}
	}
}

// Who misreads a fold has less than anybody who read every push right, with the goal met
// or missed and whatever else was done.
func TestFoldMisreadIsTheGravest(t *testing.T) {
	from := rand.New(rand.NewPCG(3, 4))
	for range 5000 {
		misread := anyMistakes(from)
		misread[foldMissed]++
		right := anyMistakes(from, append(append([]mistake{nothingRead}, misreadings...), onRuns...)...)
		require.Less(t, score(misread), score(right), "%v\n%v", misread, right)
	}
	var goalOnly [mistakes]int
	goalOnly[goalMissed] = 1
	require.Equal(t, 60, score(goalOnly))
}

// The table says of every mistake what it is, what it costs and why; a mistake that harms
// more never costs less than a harmless one.
func TestScoring(t *testing.T) {
	require.Equal(t, 100, score([mistakes]int{}))
	for m, row := range scoring {
		require.NotEmpty(t, row.what)
		require.NotEmpty(t, row.why)
		require.Positive(t, row.costs)
		var once [mistakes]int
		once[m] = 1
		require.LessOrEqual(t, score(once), row.most)
		require.Less(t, score(once), 100)
	}
	require.Less(t, scoring[foldMissed].most, readRight)
	for _, m := range []mistake{falseProof, unsafeAct, setTooHard} {
		require.Less(t, scoring[m].most, scoring[otherMisread].most)
		require.Greater(t, scoring[m].costs, scoring[otherMisread].costs)
	}
}

// What a wrong reading is, by hand.
func TestKindsOfMisreading(t *testing.T) {
	folded := Truth{Outcome: session.Fold, Looks: session.Fold, CableUsed: usedByFold}
	hurt := Truth{Outcome: session.Void, Looks: session.Fold, CableUsed: usedByFold}
	crept := Truth{Outcome: session.Void, Looks: session.Fold}
	short := Truth{Outcome: session.Void, Looks: session.Stall}
	stall := Truth{Outcome: session.Stall, Looks: session.Stall}
	slip := Truth{Outcome: session.Slip, Looks: session.Slip}
	marked := Truth{Outcome: session.Stall, Looks: session.Stall, JacketMarked: true}
	for _, row := range []struct {
		name  string
		truth Truth
		read  session.Outcome
		want  mistake
	}{
		{"fold as stall", folded, session.Stall, foldMissed},
		{"fold as slip", folded, session.Slip, foldMissed},
		{"fold as void", folded, session.Void, foldMissed},
		{"fold not written down", folded, 0, foldMissed},
		{"a hurt cable's fold as stall", hurt, session.Stall, foldMissed},
		{"a hurt cable's fold as fold", hurt, session.Fold, otherMisread},
		{"crept as stall", crept, session.Stall, falseProof},
		{"crept as fold", crept, session.Fold, otherMisread},
		{"short as stall", short, session.Stall, falseProof},
		{"slip as stall", slip, session.Stall, falseProof},
		{"slip as fold", slip, session.Fold, otherMisread},
		{"stall as fold", stall, session.Fold, otherMisread},
		{"stall not written down", stall, 0, otherMisread},
		{"mark missed", marked, session.Stall, markMissed},
		{"gauge", stall, session.Stall, gaugeMisread},
	} {
		require.Equal(t, row.want, Verdict{Read: row.read, Truth: row.truth}.of(), row.name)
	}
	require.Equal(t, otherMisread, Verdict{Read: session.Stall, Marked: true, Truth: stall}.of(), "a mark that is none")
}

// A setting above nine tenths of what truly folds misses the goal, unless the rule would
// install it too.
func TestSettingTooNearTheFold(t *testing.T) {
	b := bench(t, nil)
	from, err := b.rig.foldsFrom(at(20, 1).Grip, 1)
	require.NoError(t, err)
	fold, ok := from.Get()
	require.True(t, ok)
	half, err := b.rig.foldChance(session.Setting{Grip: at(20, 1).Grip, Speed: at(20, fold*60/0.3048).Speed}, 1)
	require.NoError(t, err)
	require.InDelta(t, 0.5, half, 0.02, "half the cables like this one fold from there")
	rule, err := engine(b.lesson, 1)
	require.NoError(t, err)
	own, _ := rule.Setting.Get()
	for part, hard := range map[float64]bool{0.5: false, 0.89: false, 0.92: true, 1.5: true} {
		r := Review{Engine: rule}
		s := at(20, part*fold*60/0.3048)
		r.Setting = q.Known(s)
		require.NoError(t, b.tooHard(&r))
		require.Equal(t, hard && s.Speed.Value > own.Speed.Value, r.TooHard, "%v", part)
		require.Equal(t, r.TooHard, len(b.goal(r, WithSetting)) > 0, "%v", part)
	}
	require.Less(t, own.Speed.Value, 0.92*fold, "this seed's rule is no excuse")
}
