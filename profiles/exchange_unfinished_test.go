package profiles

import (
	"crypto/rand"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// twoTablets are the library of a run that moves, another's, and the stick that goes between them.
type twoTablets struct {
	own, other *Library
	stick      string
	run        *Run
	clock      *runClock
}

func newTwoTablets(t *testing.T) twoTablets {
	t.Helper()
	l, clock := runLibrary(t)
	other, err := libraryIn(t.TempDir(), clock.now, rand.Reader)
	require.NoError(t, err)
	r := newRun(t, l)
	beginRun(t, r)
	return twoTablets{l, other, t.TempDir(), r, clock}
}

func (w twoTablets) exchange(t *testing.T) (out, in Exchanged) {
	t.Helper()
	out, err := exchangeWith(w.own, w.stick, nil)
	require.NoError(t, err)
	in, err = exchangeWith(w.other, w.stick, nil)
	require.NoError(t, err)
	require.Empty(t, append(out.Refused, in.Refused...))
	return out, in
}

// effect is what the other tablet says of the job.
func (w twoTablets) effect(t *testing.T) Effect {
	t.Helper()
	v, err := w.other.Cover(coverRecord(t, "job.toml", nil), w.clock.at)
	require.NoError(t, err)
	return v.Effect
}

// What hurt a cable is news on every tablet at once, whether or not the run is finished: the run
// is copied as another's, which nobody goes on with.
func TestExchangeTakesUnfinishedHurts(t *testing.T) {
	for _, reason := range []string{run.StopFold, run.StopJacket} {
		w := newTwoTablets(t)
		name := "runs/" + w.run.ID() + ".toml"
		out, _ := w.exchange(t)
		require.Equal(t, []string{name}, out.Open)
		require.Equal(t, Covered, w.effect(t))

		require.NoError(t, w.run.Append(RunStop{Reason: reason, By: "AB"}))
		out, in := w.exchange(t)
		require.Contains(t, out.Out, name)
		require.Contains(t, in.In, name)
		require.Empty(t, append(out.Open, in.Open...))
		news := map[string]bool{name: reason == run.StopFold}
		require.Equal(t, news, out.News)
		require.Equal(t, news, in.News)
		require.Equal(t, Retest, w.effect(t), "before the run is closed")
		open, unreadable, err := w.other.UnfinishedRuns()
		require.NoError(t, err)
		require.Empty(t, open)
		require.Empty(t, unreadable)
		_, _, err = w.other.OpenRun(w.run.ID())
		require.Error(t, err, "nobody goes on with another's run")
		open, _, err = w.own.UnfinishedRuns()
		require.NoError(t, err)
		require.Len(t, open, 1)
		out, in = w.exchange(t)
		require.Empty(t, append(append(out.Out, in.In...), append(out.Grown, in.Grown...)...), "once")
	}
}

// The copy of an unfinished run grows with it: where the fold is taken back, and where it is closed.
func TestExchangeGrowsUnfinishedHurts(t *testing.T) {
	w := newTwoTablets(t)
	name := "runs/" + w.run.ID() + ".toml"
	fold := RunStop{Reason: run.StopFold, By: "AB"}
	require.NoError(t, w.run.Append(fold))
	w.exchange(t)
	require.Equal(t, Retest, w.effect(t))
	require.NoError(t, w.run.TakeBack(w.run.Engine().LastNumber()))
	out, in := w.exchange(t)
	require.Equal(t, []string{name}, out.Grown)
	require.Equal(t, []string{name}, in.Grown)
	require.Equal(t, Covered, w.effect(t), "it was none, which speaks against nothing")

	require.NoError(t, w.run.Append(fold))
	w.exchange(t)
	require.Equal(t, Retest, w.effect(t))
	endRun(t, w.run, Closing{Folds: 1})
	require.NoError(t, w.run.Close())
	w.exchange(t)
	require.Equal(t, fileText(t, w.own.store.Where(runName(w.run.ID()))), fileText(t, filepath.Join(w.other.Where(), "runs", receivedFolder, w.run.ID()+".toml")))
	out, in = w.exchange(t)
	require.Empty(t, append(out.Grown, in.Grown...))
}

// A run is written to by its own tablet alone while it is unfinished: what a stick has more of it,
// or otherwise, changes nothing here.
func TestExchangeNeverWritesToAnUnfinishedRun(t *testing.T) {
	l, _ := runLibrary(t)
	r := newRun(t, l)
	beginRun(t, r)
	require.NoError(t, r.Append(RunStop{Reason: run.StopFold, By: "AB"}))
	was := fileText(t, l.store.Where(runName(r.ID())))
	require.NoError(t, r.TakeBack(r.Engine().LastNumber()))
	longer := fileText(t, l.store.Where(runName(r.ID())))
	require.NoError(t, r.Close())
	writeInto(t, l, "runs/"+r.ID()+".toml", was)
	stick := t.TempDir()
	writeInto(t, inFolder(stick), "runs/received/"+r.ID()+".toml", longer)
	x, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"runs/" + r.ID() + ".toml"}, x.Open)
	require.Equal(t, was, fileText(t, l.store.Where(runName(r.ID()))))

	// One that went on otherwise is kept beside, and told.
	r, _, err = l.OpenRun(r.ID())
	require.NoError(t, err)
	require.NoError(t, r.Append(RunPoint{CableTemperature: quantity[q.Temperature](t, "44 °F")}))
	require.NoError(t, r.Close())
	mine := fileText(t, l.store.Where(runName(r.ID())))
	x, err = exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Len(t, x.Differing, 1)
	require.Equal(t, mine, fileText(t, l.store.Where(runName(r.ID()))))
	require.Equal(t, longer, fileText(t, filepath.Join(stick, "runs", receivedFolder, r.ID()+".toml")))
}

// A fold in a trial that is not finished is news as one in a run is; nobody else goes on with it.
func TestExchangeTakesAnOpenTrialsFold(t *testing.T) {
	w := newTwoTablets(t)
	trial, err := w.own.NewTrial(coverRecord(t, "job.toml", nil))
	require.NoError(t, err)
	defer func() { require.NoError(t, trial.Close()) }()
	push := func(outcome session.Outcome) {
		t.Helper()
		grip, err := NewQuantity[q.Pressure]("6 psi")
		require.NoError(t, err)
		speed, err := NewReading("60 ft/min")
		require.NoError(t, err)
		require.NoError(t, trial.Append(Attempt{Grip: grip, Speed: speed, Outcome: outcome}))
	}
	push(session.Stall)
	name := "trials/" + trial.ID() + ".toml"
	out, _ := w.exchange(t)
	require.Contains(t, out.Open, name)
	require.Equal(t, Covered, w.effect(t))

	push(session.Fold)
	out, in := w.exchange(t)
	require.Contains(t, out.Out, name)
	require.Equal(t, map[string]bool{name: true}, in.News)
	require.Equal(t, Retest, w.effect(t), "95 ft/min is above what folded at 60")
	open, _, err := w.other.Unfinished()
	require.NoError(t, err)
	require.Empty(t, open)

	require.NoError(t, trial.Append(Undo{Drops: trial.Session().LastNumber()}))
	w.exchange(t)
	require.Equal(t, Covered, w.effect(t), "it was misread, and the copy grows with what its own tablet writes")
}

// What speaks against a profile is on the stick before the profile is.
func TestExchangeTakesNewsFirst(t *testing.T) {
	w := newTwoTablets(t)
	require.NoError(t, w.run.Append(RunStop{Reason: run.StopFold, By: "AB"}))
	var order []string
	_, err := exchangeWith(w.own, w.stick, func(done, _ int) {
		for _, folder := range []string{"profiles", "runs"} {
			if _, err := os.Stat(filepath.Join(w.stick, folder)); err == nil && !slices.Contains(order, folder) {
				order = append(order, folder)
			}
		}
	})
	require.NoError(t, err)
	require.Equal(t, []string{"runs", "profiles"}, order)
}
