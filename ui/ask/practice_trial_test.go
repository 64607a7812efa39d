package ask

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/lessons"
	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/rehearsal"
)

// trainee answers the flow's own questions on a practice trial. It looks before it
// answers a check, and answers the two questions by what the push showed.
type trainee struct {
	t     *testing.T
	trial *PracticeTrial
	flow  Flow
	now   time.Time
	haste time.Duration // between two answers; 5 s where none is said
	blind bool          // believes belts and line alone, and answers every check as right
}

func newTrainee(t *testing.T, lesson string, seed uint64) *trainee {
	t.Helper()
	ls, wrong := lessons.BuiltIn()
	require.Empty(t, wrong)
	for _, l := range ls {
		if l.ID == lesson {
			w := &trainee{t: t, now: rehearsal.Morning}
			var err error
			w.trial, err = NewPracticeTrial(l, seed, func() time.Time { return w.now })
			require.NoError(t, err)
			w.flow = Flow{}.See(w.trial)
			return w
		}
	}
	t.Fatalf("no lesson %q", lesson)
	return nil
}

// take makes one choice of a question.
func (w *trainee) take(q Question, begins string) {
	w.t.Helper()
	for _, c := range q.Choices {
		if strings.HasPrefix(c.Label, begins) {
			next, effect := c.Do(w.flow)
			w.carry(next, effect)
			return
		}
	}
	w.t.Fatalf("%s: no choice begins with %q: %v", q.ID, begins, q.Choices)
}

func (w *trainee) carry(next Flow, effect Effect) {
	w.t.Helper()
	w.now = w.now.Add(cmp.Or(w.haste, 5*time.Second))
	_, err := Keeper{Trial: w.trial, Save: func(session.Setting) (string, error) { return "nowhere", nil }}.Carry(effect)
	require.NoError(w.t, err)
	w.flow = next.See(w.trial)
	w.flow.Now = w.trial.Now()
}

// answer answers the question that is asked, and reports whether there was one left
// that practice is about.
func (w *trainee) answer() bool {
	w.t.Helper()
	w.flow.Now = w.trial.Now()
	q := w.flow.Question()
	truth := func() practice.Truth { return w.trial.Bench.Last().Truth }
	yes := func(v bool) string {
		if v {
			return "Yes"
		}
		return "No"
	}
	switch {
	case q.ID == "review":
		return false
	case q.ID == "push":
		w.take(q, "Read it")
	case q.ID == "first-act":
		w.take(q, "Press stop")
	case q.ID == "dial" && w.blind:
		w.take(q, q.Choices[0].Label)
	case q.ID == "read" && truth().Outcome == session.Void && !w.blind:
		w.take(q, "VOID")
	case q.ID == "read":
		w.take(q, "Answer")
	case q.ID == "belts":
		w.take(q, yes(truth().BeltsTurning))
	case q.ID == "line":
		w.take(q, yes(truth().LineMoved))
	case q.ID == "witness":
		w.take(q, yes(truth().WitnessHeld || w.blind))
	case q.ID == "void" && q.Enter != nil:
		next, effect, err := q.Enter.Take(w.flow, truth().Reason)
		require.NoError(w.t, err)
		w.carry(next, effect)
	case q.Stage == session.CheckStage:
		w.check(q)
	case len(q.Choices) > 0:
		w.take(q, q.Choices[0].Label)
	}
	return true
}

// check answers a check by what is seen there; a blind one says that all is well.
func (w *trainee) check(q Question) {
	w.t.Helper()
	if q.Enter != nil && (len(q.Choices) == 0 || q.Choices[0].Rank != Major || strings.HasPrefix(q.Choices[0].Label, "Leave")) {
		next, effect, err := q.Enter.Take(w.flow, q.Enter.Example)
		require.NoError(w.t, err)
		w.carry(next, effect)
		return
	}
	for _, c := range w.flow.Trial.DueChecks(w.flow.Now, nil) {
		sight, well := w.trial.Bench.Sees(c.ID)
		switch {
		case q.ID == c.ID && (well || !w.blind):
			w.take(q, sight.State)
			return
		case q.ID == c.ID:
			w.take(q, c.States[0])
			return
		case q.ID == "block" && !well && !w.blind && slices.ContainsFunc(q.Rows, func(r [2]string) bool { return r[0] == c.Ask }):
			w.take(q, "Not so: "+c.Ask)
			return
		}
	}
	w.take(q, q.Choices[0].Label)
}

func (w *trainee) toTheEnd() practice.Review {
	w.t.Helper()
	for i := 0; w.answer(); i++ {
		require.Less(w.t, i, 600, "%v", w.flow.Question())
	}
	return w.trial.end.review
}

// A whole lesson runs through the crew's own questions, and the same rig tells a
// trainee who looks from one who does not.
func TestPracticeThroughTheFlow(t *testing.T) {
	rehearsal.Long(t)
	for _, id := range []string{"first-clean-trial", "plug-crept", "interrupted"} {
		t.Run(id, func(t *testing.T) {
			r := newTrainee(t, id, 1).toTheEnd()
			require.True(t, r.Passed, "%q", r.Lines())
			require.Equal(t, r.Attempts, r.Right)
			if id == "first-clean-trial" {
				return
			}
			blind := newTrainee(t, id, 1)
			blind.blind = true
			worse := blind.toTheEnd()
			require.False(t, worse.Passed)
			require.Less(t, worse.Score, r.Score)
		})
	}
}

// The truth is told when the push was read, and not before.
func TestPracticeTellsAfterReading(t *testing.T) {
	w := newTrainee(t, "first-clean-trial", 1)
	for i := 0; w.trial.Bench.Made() == 0; i++ {
		require.Less(t, i, 200)
		require.True(t, w.answer())
	}
	_, told := w.trial.Told()
	require.False(t, told)
	for i := 0; !told; i++ {
		require.Less(t, i, 50)
		require.True(t, w.answer())
		_, told = w.trial.Told()
	}
	v, _ := w.trial.Told()
	require.NotEmpty(t, v.Truth.GaveAway)
	require.Equal(t, 1, v.Push)
}

// A job that no rig can be made up about says why, and can be changed.
func TestPracticeFreeRefuses(t *testing.T) {
	job, _, err := rehearsal.ReadFile("../../testdata/jobs/example.toml")
	require.NoError(t, err)
	*job, err = job.With("duct.inner_diameter", "12.4 mm")
	require.NoError(t, err)
	library, err := rehearsal.OpenLibrary(t.TempDir(), func() time.Time { return rehearsal.Morning }, rand.NewChaCha8([32]byte{}))
	require.NoError(t, err)
	k, _, err := newSchool(library).putTogether(jobOnly(*job)).To(Keeper{})
	require.NoError(t, err)
	f := k.First()
	q := f.Question()
	require.Equal(t, "This job cannot be practised on yet", q.Title)
	require.Contains(t, strings.Join(q.Body, "\n"), "! duct.inner_diameter: 12.4 mm: must be from 12.5 mm")
	i := slices.IndexFunc(q.Choices, func(c Choice) bool { return c.Label == "Change a value" })
	f, _ = q.Choices[i].Do(f)
	require.Equal(t, "fields", f.Question().ID)
}
