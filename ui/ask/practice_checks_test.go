package ask

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/lessons"
	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/rehearsal"
)

// pressOne presses 1 for ever, or types what stands beside an entry; one who looks answers
// the checks by what is seen. It reports whether the lesson ended.
func (w *trainee) pressOne(most int, looks bool) bool {
	w.t.Helper()
	for range most {
		alarms := 0
		for _, m := range w.trial.Bench.Misjudged() {
			if m.Alarm {
				alarms++
			}
		}
		if alarms > 3 { // the same for ever: no way on, and too many to pass
			return false
		}
		w.flow.Now = w.trial.Now()
		q := w.flow.Question()
		if q.ID == "review" {
			return true
		}
		if looks && q.Stage == session.CheckStage {
			w.check(q)
			continue
		}
		if len(q.Choices) == 0 || q.Choices[0].Rank != Major && q.Enter != nil {
			next, effect, err := q.Enter.Take(w.flow, q.Enter.Example)
			require.NoError(w.t, err)
			w.carry(next, effect)
			continue
		}
		next, effect := q.Choices[0].Do(w.flow)
		w.carry(next, effect)
	}
	return false
}

// Who presses 1 and nothing else passes no lesson, on no seed.
func TestPressingOnePassesNothing(t *testing.T) {
	rehearsal.Long(t)
	all, wrong := lessons.BuiltIn()
	require.Empty(t, wrong)
	ended := 0
	for _, l := range all {
		if l.Run != nil {
			continue
		}
		for seed := range uint64(6) {
			w := newTrainee(t, l.ID, seed+1)
			looks := seed%2 == 0
			if w.pressOne(200, looks) {
				ended++
				require.False(t, w.trial.end.review.Passed, "%s, seed %d: %q", l.ID, seed+1, w.trial.end.review.Lines())
				require.LessOrEqual(t, w.trial.end.review.Score, 60)
			}
		}
	}
	require.Positive(t, ended)
}

// untilCheck answers until a check of the wanted kind is asked.
func untilCheck(t *testing.T, lesson string, wanted func(session.Check, bool) bool) (*trainee, Question, session.Check) {
	t.Helper()
	for seed := range uint64(40) {
		w := newTrainee(t, lesson, seed+1)
		for i := 0; i < 60 && w.trial.Bench.Made() == 0; i++ {
			w.flow.Now = w.trial.Now()
			q := w.flow.Question()
			if c, ok := session.CheckByID(q.ID); ok && q.Stage == session.CheckStage {
				if _, well := w.trial.Bench.Sees(c.ID); wanted(c, well) {
					return w, q, c
				}
			}
			require.True(t, w.answer())
		}
	}
	t.Fatal("no seed asks for it")
	return nil, Question{}, session.Check{}
}

// What is seen at a check is told, never whether it is right; a fault that is named is put
// right and asked again; one that is passed over is told after the push, and in the review.
func TestPracticeChecksAreJudgedByTheTrainee(t *testing.T) {
	w, q, c := untilCheck(t, "first-clean-trial", func(c session.Check, well bool) bool { return c.Killer && !well })
	sight, _ := w.trial.Bench.Sees(c.ID)
	require.Equal(t, "You see: "+sight.Seen, q.Body[0])
	w.take(q, sight.State)
	q = w.flow.Question()
	require.Equal(t, c.ID, q.ID)
	require.Contains(t, q.Body[0], "It was put right. You see: ")
	require.NotContains(t, q.Body[0], sight.Seen)
	r := w.toTheEnd()
	require.True(t, r.Passed, "%q", r.Lines())
	require.Equal(t, 100, r.Score, "%q", r.Lines())

	w, q, c = untilCheck(t, "first-clean-trial", func(c session.Check, well bool) bool { return c.Killer && !well })
	w.take(q, c.States[0])
	for i := 0; w.flow.Question().ID != "truth"; i++ {
		require.Less(t, i, 100)
		require.True(t, w.answer())
	}
	require.Contains(t, strings.Join(w.flow.Question().Body, "\n"), "called right what was wrong. "+c.Ask)
	r = w.toTheEnd()
	require.False(t, r.Passed)
	require.LessOrEqual(t, r.Score, 40)

	w, q, c = untilCheck(t, "first-clean-trial", func(c session.Check, well bool) bool { return c.Killer && well })
	w.take(q, c.States[len(c.States)-1])
	q = w.flow.Question()
	require.Equal(t, c.ID, q.ID)
	require.Contains(t, q.Body[0], "look once more. You see: ")
	r = w.toTheEnd()
	require.True(t, r.Passed, "one false alarm: %q", r.Lines())
	require.Equal(t, 95, r.Score)
}

// The order of the answers is another from seed to seed in practice, and the table's outside.
func TestPracticeOrderOfAnswers(t *testing.T) {
	first := map[string]bool{}
	for seed := range uint64(8) {
		w := newTrainee(t, "first-clean-trial", seed+1)
		for i := 0; w.flow.Question().ID != "plug-held"; i++ {
			require.Less(t, i, 60)
			require.True(t, w.answer())
		}
		q := w.flow.Question()
		c, _ := session.CheckByID("plug-held")
		require.Len(t, q.Choices[:3], 3)
		first[q.Choices[0].Label] = true
		real := w.flow
		real.site = nil
		outside := real.Question()
		for i, state := range c.States {
			require.Equal(t, state, outside.Choices[i].Label)
			require.True(t, slices.ContainsFunc(q.Choices[:3], func(c Choice) bool { return c.Label == state }))
		}
	}
	require.Len(t, first, 3)
}

// A block of checks shows what is seen at each, and is confirmed or not as a whole.
func TestPracticeBlock(t *testing.T) {
	w := newTrainee(t, "slip-before-fold", 3)
	w.trial.record.People.Trainee = false
	require.NoError(t, w.trial.take(w.trial.record))
	w.flow = w.flow.See(w.trial)
	blocks, wrong := 0, 0
	for i := 0; w.trial.Bench.Made() == 0; i++ {
		require.Less(t, i, 80)
		w.flow.Now = w.trial.Now()
		q := w.flow.Question()
		if q.ID == "block" {
			blocks++
			for _, row := range q.Rows {
				for _, c := range session.Checks() {
					if c.Ask == row[0] {
						sight, well := w.trial.Bench.Sees(c.ID)
						require.Contains(t, row[1], sight.Seen)
						if !well {
							wrong++
						}
					}
				}
			}
		}
		require.True(t, w.answer())
	}
	require.Positive(t, blocks)
	require.Empty(t, w.trial.Bench.Misjudged())
	t.Logf("%d blocks, %d faults", blocks, wrong)
}

// After the second time that the same two outcomes were mixed up, both are shown side by
// side, and what differs; then the lesson goes on.
func TestMisreadTwiceIsShownBeside(t *testing.T) {
	w := newTrainee(t, "first-clean-trial", 1)
	shown := 0
	for i := 0; shown == 0; i++ {
		require.Less(t, i, 200)
		w.flow.Now = w.trial.Now()
		q := w.flow.Question()
		last := func() practice.Truth { return w.trial.Bench.Last().Truth }
		switch {
		case q.ID == "belts" && last().Outcome == session.Stall:
			w.take(q, "Yes")
		case q.ID == "beside":
			shown++
			require.Equal(t, 2, w.trial.Bench.Made())
			require.Equal(t, "Twice now: it was a STALL, and was read as a SLIP", q.Title)
			require.Equal(t, []string{"", "SLIP", "STALL"}, q.Table.Head)
			signs := session.Signs()
			require.Equal(t, []string{"! belts", "Keep turning", "Stop or hum"}, q.Table.Rows[0].Cells)
			require.Contains(t, q.Table.Rows[1].Cells[1], signs[1].Line[1:])
			require.Contains(t, q.Body[0], "The belts stood still.")
			w.take(q, "Seen; go on")
			require.NotEqual(t, "beside", w.flow.Question().ID)
		default:
			require.True(t, w.answer())
		}
	}
}
