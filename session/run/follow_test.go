package run

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

func TestStagesInOrder(t *testing.T) {
	p := plan(t)
	w := newWriter(p)
	at := func(want Stage) {
		t.Helper()
		stage, err := w.run.Stage()
		require.NoError(t, err)
		require.Equal(t, want, stage)
		v := NewModel(p).View(w.run, w.at)
		require.Equal(t, want, v.Stage)
		require.Equal(t, want == ClosedStage, w.run.Closed())
	}
	at(ProveStage)
	refused := func(e session.Entry, why string) {
		t.Helper()
		require.ErrorContains(t, w.run.Refuses(e), why)
	}
	refused(Start{Mark: w.mark(0)}, "a start cannot be written at this step, prove the duct")
	refused(session.Answer{Mark: w.mark(0), Item: ItemProved, State: DuctProved}, "not yet, still open: Stub and plug?; Which duct is it, at both ends?; Far end")
	w.right(t)
	refused(session.Answer{Mark: w.mark(0), Item: ItemProved, State: DuctProved}, "still open: the duct's proving sheet")
	w.add(t, Proving{Mark: w.mark(0), Passes: 2})
	w.answer(t, ItemProved, DuctProved)
	at(AirStage)
	refused(Start{Mark: w.mark(0)}, "Hoses and fittings?; Guards, hands, sleeves, hair?; Stop control, pressed just now?")
	w.right(t)
	refused(Start{Mark: w.mark(0)}, "still open: the dialled setting, read back")
	w.add(t, Dialled{Mark: w.mark(0), Setting: p.Setting})
	w.add(t, Start{Mark: w.mark(time.Minute), Printed: 1000})
	at(RunStage)
	require.Empty(t, w.run.Due(w.at))
	w.add(t, Point{Mark: w.mark(time.Minute), Printed: q.Known[q.Length](1010)})
	refused(Stop{Mark: w.mark(time.Minute)}, "a stop needs its reason")
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopPlanned})
	at(StopStage)
	refused(Restart{Mark: w.mark(time.Minute)}, "Far end, by radio, now?")
	w.right(t)
	w.add(t, Restart{Mark: w.mark(time.Minute)})
	at(RunStage)
	refused(End{Mark: w.mark(0)}, "needs a reason")
	w.add(t, End{Mark: w.mark(time.Minute), Arrived: true})
	at(ArriveStage)
	closed := func() session.Answer {
		return session.Answer{Mark: w.mark(0), Item: ItemClosed, State: RunClosed}
	}
	refused(closed(), "Made safe?; what was found at the end")
	w.right(t)
	w.add(t, Closing{Mark: w.mark(0)})
	refused(closed(), "whether the stub is retired")
	w.add(t, Closing{Mark: w.mark(0), StubRetired: q.Known(true)})
	w.add(t, closed())
	at(ClosedStage)
	refused(session.Undo{Mark: w.mark(0), Drops: 3}, "the run is closed")
	require.Empty(t, NewModel(p).View(w.run, w.at).May)
	require.Empty(t, w.run.OpenKillers())
}

// Every kind of entry, in every stage: the table alone says whether it may follow.
func TestWhatMayFollow(t *testing.T) {
	kinds := map[What]session.Entry{
		AnswerEntry: session.Answer{Item: "x"}, ProvingEntry: Proving{}, DialledEntry: Dialled{}, StartEntry: Start{}, PointEntry: Point{},
		StopEntry: Stop{}, RestartEntry: Restart{}, EndEntry: End{}, ClosingEntry: Closing{},
		DuctProvedEntry: session.Answer{Item: ItemProved}, ClosedEntry: session.Answer{Item: ItemClosed},
	}
	require.Len(t, kinds, int(ClosedEntry))
	leading := map[Stage][]session.Entry{
		ProveStage: {}, AirStage: {kinds[DuctProvedEntry]}, RunStage: {kinds[DuctProvedEntry], kinds[StartEntry]},
		StopStage:   {kinds[DuctProvedEntry], kinds[StartEntry], kinds[StopEntry]},
		ArriveStage: {kinds[EndEntry]}, ClosedStage: {kinds[EndEntry], kinds[ClosedEntry]},
	}
	require.Len(t, leading, len(follows))
	for stage, before := range leading {
		for kind, e := range kinds {
			require.Equal(t, kind, what(e))
			r := Run{Entries: append(append([]session.Entry{}, before...), e)}
			next, may := follows[stage][kind]
			got, err := r.Stage()
			if may {
				require.NoError(t, err)
				require.Equal(t, next, got, "%s in %s", kind, stage)
				continue
			}
			var order *OrderError
			require.ErrorAs(t, err, &order)
			require.Equal(t, OrderError{0, kind, stage}, *order)
			require.NotContains(t, order.Error(), "\n")
		}
	}
}

func TestKillersCannotBeLeftOut(t *testing.T) {
	for _, c := range Checks() {
		w := newWriter(plan(t))
		if stage := stageOf(t, c.ID); stage == AirStage {
			w = beforeAir(t)
		} else if stage == ArriveStage {
			w.add(t, End{Mark: w.mark(0), Reason: "duct blocked"})
		}
		err := w.run.Refuses(session.Answer{Mark: w.mark(0), Item: c.ID, SkipReason: "no time"})
		require.Equal(t, c.Killer, err != nil, c.ID)
	}
}

func stageOf(t *testing.T, id string) Stage {
	t.Helper()
	for stage := ProveStage; stage <= ArriveStage; stage++ {
		for _, c := range stageChecks[stage] {
			if c.ID == id {
				return stage
			}
		}
	}
	require.Fail(t, "no stage has "+id)
	return 0
}

func beforeAir(t *testing.T) *writer {
	t.Helper()
	w := newWriter(plan(t))
	w.right(t)
	w.add(t, Proving{Mark: w.mark(time.Minute)})
	w.answer(t, ItemProved, DuctProved)
	return w
}

// Killers are asked again after a pause, and the far end after every stop.
func TestKillersSpoil(t *testing.T) {
	w := beforeAir(t)
	w.right(t)
	w.add(t, Dialled{Mark: w.mark(0), Setting: w.run.Plan.Setting})
	require.NoError(t, w.run.Refuses(Start{Mark: w.mark(9 * time.Minute), Printed: 1000}))
	late := Start{Mark: w.mark(3 * time.Minute), Printed: 1000}
	require.ErrorContains(t, w.run.Refuses(late), "Stub and plug?; Hoses and fittings?; Guards, hands, sleeves, hair?; Stop control, pressed just now?; Far end, by radio, now?")
	w.right(t)
	w.add(t, Start{Mark: w.mark(0), Printed: 1000})
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopPlanned})
	require.Equal(t, "far-end-clear", w.run.Due(w.at)[0].ID, "said clear a minute ago, but before the stop")

	w.run.Entries = append(w.run.Entries, Restart{Mark: w.mark(0)})
	require.Equal(t, []string{"far-end-clear"}, w.run.OpenKillers(), "a reader sees what the writer would have refused")
}

// Each pressure that was shut in is let out before anything is opened, and read zero.
func TestVentedAfterEachTest(t *testing.T) {
	w := newWriter(plan(t))
	held := Proving{HeldAt: q.Known[q.Pressure](6e5), Lost: q.Known[q.Pressure](6e5), HeldFor: q.Known(2 * time.Minute)}
	for range 2 {
		held.Mark = w.mark(time.Minute)
		w.add(t, held)
		require.Contains(t, w.run.Due(w.at)[len(w.run.Due(w.at))-1].ID, "proof-vented")
		w.right(t)
		require.Empty(t, w.run.Due(w.at))
	}
	w.add(t, Proving{Mark: w.mark(time.Minute), Passes: 1})
	require.Empty(t, w.run.Due(w.at), "nothing was held")
}

// A run of before the drive's checks were asked in it is asked by its own table.
func TestOlderRunsAreAskedByTheirTable(t *testing.T) {
	w := newWriter(plan(t))
	w.run.Checks = ""
	w.right(t)
	w.add(t, Proving{Mark: w.mark(0), Passes: 2})
	w.answer(t, ItemProved, DuctProved)
	for _, c := range w.run.Due(w.at) {
		require.NotContains(t, []string{session.CheckGuards, session.CheckStop}, c.ID)
	}
	require.ErrorContains(t, KnownTable("table-9"), "of a newer version")
}

func TestUndoKeepsTheOrder(t *testing.T) {
	w := moving(t, plan(t))
	start := w.run.LastNumber()
	w.add(t, at(w, 20))
	require.ErrorContains(t, w.run.Refuses(session.Undo{Mark: w.mark(0), Drops: start}), "take back the later ones first")
	w.add(t, session.Undo{Mark: w.mark(0), Drops: start + 1})
	w.add(t, session.Undo{Mark: w.mark(0), Drops: start})
	stage, err := w.run.Stage()
	require.NoError(t, err)
	require.Equal(t, AirStage, stage)
}

// Every check can be asked aloud, and no caution is missing where it is due.
func TestChecksAndCautions(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range Checks() {
		require.False(t, seen[c.ID], c.ID)
		seen[c.ID] = true
		for _, text := range []string{c.ID, c.Ask, c.Why, c.How, c.Wrong, c.Teach} {
			require.NotEmpty(t, strings.TrimSpace(text), c.ID)
			require.LessOrEqual(t, len(text), 110, text)
		}
		require.Greater(t, len(c.States), c.RightStates, c.ID)
		require.Positive(t, c.RightStates, c.ID)
		known, ok := CheckByID(c.ID)
		require.True(t, ok)
		require.Equal(t, c.ID, known.ID)
	}
	ids := func(s Stage) (all []string) {
		for _, c := range Cautions(s) {
			all = append(all, c.ID)
		}
		return all
	}
	require.Contains(t, ids(ProveStage), "far-end-first")
	require.Contains(t, ids(ProveStage), "read-zero")
	require.Contains(t, ids(AirStage), "hoses-tied")
	require.Contains(t, ids(RunStage), "never-above-trial")
	require.Contains(t, ids(ArriveStage), "read-zero")
	require.Empty(t, ids(ClosedStage))

	w := newWriter(plan(t))
	require.False(t, NewModel(w.run.Plan).View(w.run, w.at).CautionsRead)
	w.answer(t, CautionItem(ProveStage), session.CautionsRead)
	require.True(t, NewModel(w.run.Plan).View(w.run, w.at).CautionsRead)
}

func TestGivenUpBeforeTheStart(t *testing.T) {
	w := newWriter(plan(t))
	w.add(t, End{Mark: w.mark(0), Reason: "duct blocked at 210 m"})
	w.right(t)
	w.add(t, Closing{Mark: w.mark(0), StubRetired: q.Known(false), Folds: 0})
	w.answer(t, ItemClosed, RunClosed)
	require.True(t, w.run.Closed())
	require.False(t, w.run.Arrived())
}

func TestHurt(t *testing.T) {
	for _, tt := range []struct {
		name            string
		e               session.Entry
		folded, damaged bool
	}{
		{"nothing", Closing{}, false, false},
		{"a fold at the end", Closing{Folds: 1}, true, false},
		{"a mark at the end", Closing{Damaged: true}, false, true},
		{"a fold on the way", Stop{Reason: StopFold}, true, false},
		{"a mark on the way", Stop{Reason: StopJacket}, false, true},
	} {
		r := Run{Entries: []session.Entry{tt.e}}
		folded, damaged := r.Hurt()
		require.Equal(t, tt.folded, folded, tt.name)
		require.Equal(t, tt.damaged, damaged, tt.name)
	}
}
