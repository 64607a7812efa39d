package lessons

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	"brinkmark/session/practice"
)

// player is a trainee with habits. The zero player looks at everything, reads every
// push right and does what the rule says.
type player struct {
	blind  bool                                                // answers every check as right without looking
	hasty  bool                                                // puts the hands in without isolating
	sleepy bool                                                // makes pushes without answering the checks
	misled bool                                                // believes the belts and the line, and nothing else
	read   func(n int, honest session.Attempt) session.Attempt // what is written down
	end    func(session.Trial, session.Next) session.Answer    // how the trial is ended
	most   int                                                 // pushes after which it is left; 0 for none
}

// play takes a lesson as a crew would, through the checks, the rule and the record.
func play(t *testing.T, l Lesson, seed uint64, who player) practice.Review {
	t.Helper()
	bench, err := practice.NewBench(l.Lesson, seed)
	require.NoError(t, err)
	trial := l.Job
	now := time.Date(2026, 3, 4, 8, 0, 0, 0, time.UTC)
	write := func(e session.Entry) { trial.Entries = append(trial.Entries, e) }
	mark := func() session.Mark { return session.Mark{Seq: trial.LastNumber() + 1, At: now} }
	for n := 1; who.most == 0 || n <= who.most; n++ {
		if !who.sleepy {
			who.check(bench, trial, now, func(a session.Answer) {
				a.Mark = mark()
				write(a)
			})
		}
		next := session.Decide(trial)
		try, pushing := next.(session.Try)
		if !pushing {
			a := ending(trial, next)
			if who.end != nil {
				a = who.end(trial, next)
			}
			a.Mark = mark()
			write(a)
			break
		}
		open := trial.DueChecks(now, nil)
		p, err := bench.Push(try.Setting)
		require.NoError(t, err)
		a := who.reading(n, p)
		a.CableTemperature = trial.Conditions.CableTemperature
		a.Mark = mark()
		_, err = bench.Read(a, open)
		require.NoError(t, err)
		write(a)
		if !who.hasty {
			bench.Do(practice.StopAndIsolate)
		}
		bench.Do(practice.HandsIn)
		now = now.Add(90 * time.Second)
		if n == l.Pause.After {
			now = now.Add(l.Pause.Lasts)
		}
		require.Less(t, n, 80, "the trial does not end")
	}
	r, err := bench.Review(trial)
	require.NoError(t, err)
	return r
}

// check answers what is open: what is wrong as it is, then as put right.
func (who player) check(b *practice.Bench, trial session.Trial, now time.Time, write func(session.Answer)) {
	for _, c := range trial.DueChecks(now, nil) {
		if _, wrong := b.Look(c.ID); wrong != "" && !who.blind {
			a := session.Answer{Item: c.ID, State: wrong}
			b.Answer(a)
			write(a)
		}
		a := session.Answer{Item: c.ID, Value: "as measured"}
		if len(c.States) > 0 {
			a.State = c.States[0]
		}
		b.Answer(a)
		write(a)
	}
}

func (who player) reading(n int, p *practice.Push) session.Attempt {
	a := practice.Honest(p)
	if who.misled {
		a.Outcome, a.VoidReason = p.Truth.Looks, ""
	}
	if who.read != nil {
		a = who.read(n, a)
	}
	return a
}

// ending takes what the rule recommends.
func ending(trial session.Trial, next session.Next) session.Answer {
	if s, ok := session.SettingOf(next); ok {
		return session.Answer{Item: session.ItemSetting, State: session.SettingAccepted, Value: trial.Rig.Show(s)}
	}
	return session.Answer{Item: session.ItemClosed, State: session.TrialClosed}
}

// instead writes down another outcome for every push of one kind.
func instead(of, other session.Outcome) func(int, session.Attempt) session.Attempt {
	return func(_ int, a session.Attempt) session.Attempt {
		if a.Outcome == of {
			a.Outcome = other
		}
		return a
	}
}
