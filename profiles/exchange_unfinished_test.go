package profiles

import (
	"crypto/rand"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// What hurt a cable is news on every tablet at once, whether or not the run is finished: the run
// is copied as another's, which nobody goes on with, and grows there as it grows here.
func TestExchangeTakesUnfinishedHurts(t *testing.T) {
	for _, reason := range []string{run.StopFold, run.StopJacket} {
		l, clock := runLibrary(t)
		other, err := OpenLibrary(t.TempDir(), clock.now, rand.Reader)
		require.NoError(t, err)
		stick := t.TempDir()
		both := func() (out, in Exchanged) {
			t.Helper()
			out, err := l.Exchange(stick, nil)
			require.NoError(t, err)
			in, err = other.Exchange(stick, nil)
			require.NoError(t, err)
			require.Empty(t, append(out.Refused, in.Refused...))
			return out, in
		}
		effect := func() Effect {
			t.Helper()
			v, err := other.Cover(coverRecord(t, "job.toml", nil), clock.at)
			require.NoError(t, err)
			return v.Effect
		}
		r := newRun(t, l)
		beginRun(t, r)
		name := "runs/" + r.ID() + ".toml"
		both()
		require.Equal(t, Covered, effect())

		require.NoError(t, r.Append(RunStop{Reason: reason, By: "AB"}))
		out, in := both()
		require.Contains(t, out.Out, name)
		require.Contains(t, in.In, name)
		require.Empty(t, append(out.Open, in.Open...))
		fold := reason == run.StopFold
		require.Equal(t, map[string]bool{name: fold}, out.News)
		require.Equal(t, map[string]bool{name: fold}, in.News)
		require.Equal(t, Retest, effect(), "before the run is closed")
		open, unreadable, err := other.UnfinishedRuns()
		require.NoError(t, err)
		require.Empty(t, open)
		require.Empty(t, unreadable)
		_, _, err = other.OpenRun(r.ID())
		require.Error(t, err, "nobody goes on with another's run")
		open, _, err = l.UnfinishedRuns()
		require.NoError(t, err)
		require.Len(t, open, 1)

		out, in = both()
		require.Empty(t, append(append(out.Out, in.In...), append(out.Grown, in.Grown...)...), "once")

		// It was no fold: taken back, it speaks against nothing on either.
		require.NoError(t, r.TakeBack(r.Engine().LastNumber()))
		out, in = both()
		require.Equal(t, []string{name}, out.Grown)
		require.Equal(t, []string{name}, in.Grown)
		require.Equal(t, Covered, effect())

		// It was one, and the run is closed.
		require.NoError(t, r.Append(RunStop{Reason: reason, By: "AB"}))
		both()
		require.Equal(t, Retest, effect())
		endRun(t, r, Closing{Damaged: !fold, Folds: btoi(fold)})
		require.NoError(t, r.Close())
		both()
		require.Equal(t, fileText(t, l.runPath(r.ID())), fileText(t, filepath.Join(other.dir, "runs", receivedFolder, r.ID()+".toml")))
		out, in = both()
		require.Empty(t, append(out.Grown, in.Grown...))
	}
}

// A run is written to by its own tablet alone while it is unfinished: what a stick has more of it,
// or otherwise, changes nothing here.
func TestExchangeNeverWritesToAnUnfinishedRun(t *testing.T) {
	l, _ := runLibrary(t)
	r := newRun(t, l)
	beginRun(t, r)
	require.NoError(t, r.Append(RunStop{Reason: run.StopFold, By: "AB"}))
	was := fileText(t, l.runPath(r.ID()))
	require.NoError(t, r.TakeBack(r.Engine().LastNumber()))
	longer := fileText(t, l.runPath(r.ID()))
	require.NoError(t, r.Close())
	writeInto(t, l, "runs/"+r.ID()+".toml", was)
	stick := t.TempDir()
	writeInto(t, &Library{dir: stick}, "runs/received/"+r.ID()+".toml", longer)
	x, err := l.Exchange(stick, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"runs/" + r.ID() + ".toml"}, x.Open)
	require.Equal(t, was, fileText(t, l.runPath(r.ID())))

	// One that went on otherwise is kept beside, and told.
	r, _, err = l.OpenRun(r.ID())
	require.NoError(t, err)
	require.NoError(t, r.Append(RunPoint{CableTemperature: quantity[q.Temperature](t, "44 °F")}))
	require.NoError(t, r.Close())
	mine := fileText(t, l.runPath(r.ID()))
	x, err = l.Exchange(stick, nil)
	require.NoError(t, err)
	require.Len(t, x.Differing, 1)
	require.Equal(t, mine, fileText(t, l.runPath(r.ID())))
	require.Equal(t, longer, fileText(t, filepath.Join(stick, "runs", receivedFolder, r.ID()+".toml")))
}
